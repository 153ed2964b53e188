"""The files of the papers: one PDF a paper, the bound show pack, one page for phones, one text."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from types import MappingProxyType

from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.papers import READER, Paper
from kitplan.paper.pack.source import Source

Later = Mapping[str, Callable[[], tuple[Sheet, ...]]]
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
    later: Later = MappingProxyType({}),
    tell: Callable[[str], None] = lambda _: None,
) -> list[File]:
    """Return the files of some papers of a plan; a paper without sheets has none.

    Args:
        is_bound: Make one PDF of all of them as well.
        later: What waits for the sheets of papers that are drawn elsewhere meanwhile, in the
            order in which they come.
        tell: Hears what is being made.
    """
    from kitplan.paper.pack.out.bound import bound_pdf
    from kitplan.paper.pack.out.page import html_of
    from kitplan.paper.pack.out.pdf import pdf_of
    from kitplan.paper.pack.out.signs import on_paper
    from kitplan.paper.pack.out.text import papers_text

    title, pdfs = source.plan.title, dict[str, Future[bytes]]()
    # typst leaves Python alone while it sets pages, so the next paper is drawn meanwhile.
    with ThreadPoolExecutor(max_workers=2) as pool:
        for paper in _in_order(papers, list(later)):
            tell(paper.title)
            if paper.id in later and paper.id not in source.made:
                source.made[paper.id] = later[paper.id]()
            if sheets := paper.sheets(source):
                words = f"{title}: {paper.title}"
                pdfs[paper.id] = pool.submit(pdf_of, source, sheets, words)
        every = [sheet for each in papers for sheet in each.sheets(source)]
        tell("one page for a phone, and text")
        page = html_of(source, every, title).encode()
        text = papers_text(source, every).encode()
        tell("PDF")
        files = [
            File(f"{each.id}.pdf", each.title, pdfs[each.id].result(), len(each.sheets(source)))
            for each in papers
            if each.id in pdfs
        ]
    if is_bound:
        tell("the show pack")
        parts = [(each.title, each.content) for each in files]
        bound = bound_pdf(parts, on_paper(title), source.setting.paper)
        files.append(File(BOUND, "Show pack, bound", bound, len(every)))
    return [
        *files,
        File(PAGE, "All of them for a phone, without network", page, len(every)),
        File(TEXT, "All of them as plain text", text, len(every)),
    ]


def _in_order(papers: Sequence[Paper], later: Sequence[str]) -> list[Paper]:
    """Return papers as their sheets are to be had: those drawn elsewhere as they come from there,
    and last the one that reads all others.
    """
    turns = {name: turn for turn, name in enumerate(later, 1)}
    return sorted(papers, key=lambda each: (each.id == READER, turns.get(each.id, 0)))
