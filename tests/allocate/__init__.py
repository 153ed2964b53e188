"""Rules and goals of the allocation, one tiny shoot at a time."""
