"""Tests of the papers: what stands on each, held against the plan."""
