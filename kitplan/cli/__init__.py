"""The command line: thin commands that parse, call and print."""
