"""Tests of the gear inventory."""
