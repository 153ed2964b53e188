"""What stands on each paper: one module a paper, each with a function `sheets(source)`."""
