"""Tests of `kitplan.paper.drawings`."""
