"""Pure geometry of the venue: numbers in, numbers out, no records."""
