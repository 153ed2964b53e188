"""The owned kit: what it is, where it is kept, how it gets in and out."""
