"""Shot sheets, one tiny hall at a time."""
