"""Gear from the spreadsheet that people already have.

`words` knows what things are called, `columns` which column means what, `amounts` reads numbers
with their units, `facts` a cell, `rows` a row; `building` makes items and units of rows, `guesses`
says what stands in where a list is silent, `reading` runs it all over tables. What cannot be read
is reported row by row; nothing is guessed without being listed in the item.
"""
