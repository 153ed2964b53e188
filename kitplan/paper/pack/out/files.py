"""The files of the papers: one PDF a paper, the bound show pack, one page for phones, one text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
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
) -> list[File]:
    """Return the files of some papers of a plan; a paper without sheets has none.

    Args:
        is_bound: Make one PDF of all of them as well.
        tell: Hears what is being made.
    """
    from kitplan.paper.pack.out.bound import bound_pdf
    from kitplan.paper.pack.out.page import html_of
    from kitplan.paper.pack.out.pdf import pdf_of
    from kitplan.paper.pack.out.signs import on_paper
    from kitplan.paper.pack.out.text import papers_text

    title, every = source.plan.title, list[Sheet]()
    made: list[tuple[Paper, int, Future[bytes]]] = []
    # typst leaves Python alone while it sets pages, so the next paper is drawn meanwhile.
    with ThreadPoolExecutor(max_workers=2) as pool:
        for paper in papers:
            tell(paper.title)
            if sheets := paper.sheets(source):
                every += sheets
                words = f"{title}: {paper.title}"
                made.append((paper, len(sheets), pool.submit(pdf_of, source, sheets, words)))
        tell("one page for a phone, and text")
        page = html_of(source, every, title).encode()
        text = papers_text(source, every).encode()
        tell("PDF")
        files = [File(f"{p.id}.pdf", p.title, pdf.result(), number) for p, number, pdf in made]
    if is_bound:
        tell("the show pack")
        parts = [(each.title, each.content) for each in files]
        pack = bound_pdf(parts, on_paper(title), source.setting.paper)
        files.append(File(BOUND, "Show pack, bound", pack, len(every)))
    return [
        *files,
        File(PAGE, "All of them for a phone, without network", page, len(every)),
        File(TEXT, "All of them as plain text", text, len(every)),
    ]
