"""Tests of taking gear in from spreadsheets."""
