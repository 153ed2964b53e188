"""Tests of kitplan; the folders mirror the package."""
