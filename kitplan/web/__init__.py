"""The page: a face on the same functions as the command line, for one project folder.

`project` is what may be read and written, `guard` keeps strangers out, `pages/` has the routes of
each page, `static/` and `templates/` what the browser gets. No route does anything that a command
could not do, and nothing is kept but in the shoot file, the plan files and the inventory.
"""
