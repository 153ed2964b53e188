"""The papers of a plan: what people hold in their hands on the day.

`blocks` says what a sheet consists of, `contents/` fills the sheets of each paper from a plan,
`papers` lists them in the order of the show pack, `out/` turns sheets into PDF, HTML and text.
"""
