"""The show pack: the pages of all papers in one PDF."""

from __future__ import annotations

from functools import cache
from io import BytesIO

from pypdf import PdfReader

from kitplan.paper.pack.blocks import Sheet, Words
from kitplan.paper.pack.out.bound import bound_pdf
from kitplan.paper.pack.out.pdf import pdf_of
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from tests.paper.pack.out.hard import table
from tests.plans import small_plan


@cache
def papers() -> tuple[tuple[str, bytes], ...]:
    """Return two papers: full pages that run on, and half and lying ones."""
    long = (Sheet("a", "Long", (table(60, title="Camera A"),)),)
    small = (
        Sheet("b", "Card", (Words("hold"),), size="half"),
        Sheet("b", "Wide", (), is_lying=True),
    )
    source = Source(small_plan(), Setting())
    return ("#panic() <a>", pdf_of(source, long, "x")), ("Cards", pdf_of(source, small, "y"))


def test_every_page_of_every_paper_is_in_it_once_and_in_order() -> None:
    """With its size and its words."""
    bound = PdfReader(BytesIO(bound_pdf(papers(), "Show")))
    pages = [page for _, pdf in papers() for page in PdfReader(BytesIO(pdf)).pages]
    assert len(pages) == 5
    assert [page.extract_text() for page in bound.pages] == [page.extract_text() for page in pages]
    sizes = [
        [(round(p.mediabox.width), round(p.mediabox.height)) for p in one]
        for one in (bound.pages, pages)
    ]
    assert sizes[0] == sizes[1]


def test_each_paper_has_a_bookmark_and_the_pack_a_title() -> None:
    """Hostile titles are text."""
    bound = PdfReader(BytesIO(bound_pdf(papers(), "Show <b> #panic()")))
    assert bound.metadata is not None
    assert bound.metadata.title == "Show <b> #panic()"
    marks = [mark for mark in bound.outline if not isinstance(mark, list)]
    assert [mark.title for mark in marks] == ["#panic() <a>", "Cards"]
    assert [bound.get_destination_page_number(mark) for mark in marks] == [0, 3]


def test_the_same_papers_are_the_same_bytes() -> None:
    """Wherever they lie meanwhile."""
    assert bound_pdf(papers(), "Show") == bound_pdf(papers(), "Show")
