"""The files of the papers: one PDF a paper, the bound show pack, one page for phones, one text."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.papers import Paper
from kitplan.paper.pack.source import Source

BOUND, PAGE, TEXT = "show-pack.pdf", "papers.html", "papers.txt"


@dataclass(frozen=True)
class File:
    """A finished file."""

    name: str
    title: str
    content: bytes
    sheets: int
    """How many sheets of papers are in it."""


def files_of(
    source: Source,
    papers: Sequence[Paper],
    *,
    is_bound: bool = False,
    tell: Callable[[str], None] = lambda _: None,
) -> Iterator[File]:
    """Yield the files of some papers of a plan; a paper without sheets has none.

    Args:
        is_bound: Make one PDF of all of them as well.
        tell: Hears what is being made.
    """
    from kitplan.paper.pack.out.page import html_of
    from kitplan.paper.pack.out.pdf import pdf_of
    from kitplan.paper.pack.out.text import text_of

    filled: list[tuple[Paper, tuple[Sheet, ...]]] = []
    for paper in papers:
        tell(paper.title)
        if sheets := paper.sheets(source):
            filled.append((paper, sheets))
    for paper, sheets in filled:
        tell(f"{paper.title}, PDF")
        title = f"{source.plan.title}: {paper.title}"
        yield File(f"{paper.id}.pdf", paper.title, pdf_of(source, sheets, title), len(sheets))
    every = [sheet for _, sheets in filled for sheet in sheets]
    title = source.plan.title
    if is_bound:
        tell("Show pack, PDF")
        yield File(BOUND, "Show pack, bound", pdf_of(source, every, title), len(every))
    page = html_of(source, every, title).encode()
    yield File(PAGE, "All of them for a phone, without network", page, len(every))
    yield File(TEXT, "All of them as plain text", text_of(source, every).encode(), len(every))
