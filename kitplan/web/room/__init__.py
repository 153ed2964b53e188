"""The room: changes of a shoot file by small operations, and what a lens sees from a position.

`operations` is what a page may ask for, `applying` does it to plain data, `writing` to the text of
the file, `draft` holds both against each other and against the reader, `sighting` answers what a
camera sees. Nothing here knows of the server.
"""
