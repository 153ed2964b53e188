"""What is possible: cameras, stands, views, shots, and why the rest is not."""
