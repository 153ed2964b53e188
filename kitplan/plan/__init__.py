"""The answer: its records, the file it is kept in, and the independent check of it."""
