"""The work between two passes: tasks, the engine that puts them on the clock, what it comes to."""
