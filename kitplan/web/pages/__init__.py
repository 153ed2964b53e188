"""The routes of each page: a module with `routes(project)` for each."""
