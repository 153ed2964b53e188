"""What must hold across a shoot, and between a shoot and its kit: a module for each kind of check.

`every` is the table of contents. It stands apart, so that one check costs no more than itself.
"""
