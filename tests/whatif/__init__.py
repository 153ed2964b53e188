"""Tests of the questions beside the plan."""
