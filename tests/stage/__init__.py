"""Pure geometry of the venue."""
