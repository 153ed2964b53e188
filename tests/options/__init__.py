"""What is possible, and the figures of what is not."""
