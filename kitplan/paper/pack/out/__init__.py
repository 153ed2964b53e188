"""Sheets as PDF (typst), as one HTML page, and as plain text."""
