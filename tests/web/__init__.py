"""The page, mostly without a server around it."""
