"""The show pack: the pages of all papers in one PDF."""

from __future__ import annotations

from functools import cache
from io import BytesIO
from itertools import chain

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
        *(Sheet("b", f"Card {n}", (Words("hold"),), size="half") for n in (1, 2, 3)),
        Sheet("b", "Wide", (), is_lying=True),
    )
    source = Source(small_plan(), Setting())
    return (
        ("#panic() <a>", pdf_of(source, long, "x")),
        ("Cards", pdf_of(source, small, "y")),
    )


def sizes(pdf: bytes) -> list[tuple[int, int]]:
    """Return width and height of each page in points."""
    found = PdfReader(BytesIO(pdf)).pages
    return [(round(page.mediabox.width), round(page.mediabox.height)) for page in found]


def words(pdf: bytes) -> list[str]:
    """Return the words of each page."""
    return [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]


def test_every_page_of_every_paper_is_in_it_once_and_in_order() -> None:
    """Full pages as they are; two half ones on a full one, and the third alone."""
    (_, long), (_, small) = papers()
    bound = bound_pdf(papers(), "Show")
    first, second, third, lying = words(small)
    *full, pair, alone, last = words(bound)
    assert full == words(long)
    assert pair.split() == f"{first} {second}".split()
    assert (alone.split(), last) == (third.split(), lying)
    assert sizes(bound) == [*sizes(long), (842, 595), (842, 595), (842, 595)]


def test_a_card_that_runs_on_shifts_no_other() -> None:
    """Its third page stands alone; the sides of the next card are beside each other."""
    rows = (4, 40, 4, 4)
    sheets = [
        Sheet("b", f"Side {n}", (table(many, title="A"),), size="half")
        for n, many in enumerate(rows)
    ]
    pdf = pdf_of(Source(small_plan(), Setting()), sheets, "y")
    pages = [text.split() for text in words(pdf)]
    bound = bound_pdf([("Cards", pdf)], "Show")
    own = len(pages) - 2  # the pages of the first card
    leaves = [[*chain(*pages[at : min(at + 2, own)])] for at in range(0, own, 2)]
    assert own > 2
    assert [text.split() for text in words(bound)] == [*leaves, pages[-2] + pages[-1]]
    assert set(sizes(bound)) == {(842, 595)}


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
