"""What stands on the PDF itself: read back with pypdf."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from io import BytesIO
from typing import Literal

import pytest
from PIL import Image
from pypdf import PdfReader

from kitplan.paper.pack.blocks import (
    Beside,
    Caution,
    Checklist,
    Column,
    Facts,
    Heading,
    Points,
    Sheet,
    Table,
    Tick,
    Words,
)
from kitplan.paper.pack.out.fit import MARGINS_MM
from kitplan.paper.pack.out.pdf import pdf_of, pngs_of
from kitplan.paper.pack.setting import HALVES_MM, PAGES_MM, PaperSize, Setting
from kitplan.paper.pack.source import Source
from tests.paper.pack.made import HARBOUR, stored_sheets
from tests.paper.pack.out.hard import HOSTILE, LONG, WORDS, all_blocks, hard_sheets, picture, table
from tests.plans import small_plan

MM_PER_PT = 25.4 / 72
FOOT_FREE_MM = 3.0
"""Nothing stands lower, not even the foot of a page."""


def source(paper: PaperSize = "a4") -> Source:
    """Return what a tiny plan's papers are filled from."""
    return Source(small_plan(), Setting(paper))


def pages(*sheets: Sheet, paper: PaperSize = "a4") -> list[str]:
    """Return the text of each page of some sheets."""
    made = PdfReader(BytesIO(pdf_of(source(paper), sheets, "Hard")))
    return [page.extract_text().replace("\u200b", "") for page in made.pages]


@cache
def hard() -> PdfReader:
    """Return the hard sheets as PDF."""
    return PdfReader(BytesIO(pdf_of(source(), hard_sheets(), "Hard <b>")))


@cache
def hard_texts() -> tuple[str, ...]:
    """Return what stands on each of its pages."""
    return tuple(page.extract_text() for page in hard().pages)


def packed(text: str) -> str:
    """Return a text without spaces: lines may break anywhere."""
    return re.sub(r"\s|\u200b", "", text)


def test_the_same_sheets_are_the_same_bytes() -> None:
    """Nothing depends on clock or chance."""
    sheet = Sheet("packing", "Twice", all_blocks("words"))
    assert pdf_of(source(), (sheet,), "a") == pdf_of(source(), (sheet,), "a")


def test_the_document_has_title_language_tags_and_a_bookmark_for_each_sheet() -> None:
    """For screen readers, and to find a sheet in the show pack."""
    about, catalog = hard().metadata, hard().root_object
    assert about is not None
    assert about.title == "Hard <b>"
    assert str(catalog["/Lang"]) == "en"
    assert "/StructTreeRoot" in catalog
    marks = [mark for mark in hard().outline if not isinstance(mark, list)]
    assert len(marks) == len(hard_sheets())


def test_every_page_carries_plan_mark_and_its_number_within_the_sheet() -> None:
    """A dropped page is noticed, and old papers are told by their mark; bare sheets included."""
    texts = hard_texts()
    counts = [re.search(r"page (\d+) of (\d+)", text) for text in texts]
    assert all(counts)
    assert all(f"Plan {source().mark}" in text and "void" in text for text in texts)
    numbers = [(int(found[1]), int(found[2])) for found in counts if found]
    whole = [of for number, of in numbers if number == 1]
    assert numbers == [(n, of) for of in whole for n in range(1, of + 1)]
    assert len(whole) == len(hard_sheets())


def test_pages_have_the_size_of_their_sheet() -> None:
    """Full, half and lying; A4 and Letter."""
    sheets = (
        Sheet("a", "Full", ()),
        Sheet("a", "Half", (), size="half"),
        Sheet("a", "Lying", (), is_lying=True),
    )
    for paper in ("a4", "letter"):
        made = PdfReader(BytesIO(pdf_of(source(paper), sheets, "x")))
        found = [(float(p.mediabox.width), float(p.mediabox.height)) for p in made.pages]
        full, half = PAGES_MM[paper], HALVES_MM[paper]
        wanted = [full, half, full[::-1]]
        assert [tuple(round(side * MM_PER_PT) for side in each) for each in found] == [
            tuple(round(side) for side in each) for each in wanted
        ]


@pytest.mark.parametrize("text", HOSTILE[:3], ids=["typst", "html", "sheet"])
def test_hostile_text_comes_out_as_text(text: str) -> None:
    """In every block, as often as it was put there."""
    sheet = Sheet("packing", text, all_blocks(text), (text,))
    found = packed("".join(pages(sheet)))
    assert found.count(packed(text)) >= 20


def test_signs_that_the_font_lacks_are_replaced_visibly_and_controls_vanish() -> None:
    """No sign is lost without a trace, and nothing reorders a line."""
    (text,) = pages(Sheet("a", "b", tuple(map(Words, HOSTILE[3:]))))
    words = " ".join(text.split())
    assert "gnirts esrever iso zerowidth bom soft" in words
    assert "Trompéte [trumpet] Zoë Čapek Ωmega Жанна ???? ????? ????" in words
    assert "bell escape [31m tab line break nul" in words


@pytest.mark.parametrize(("text", "size"), [(LONG, "full"), (LONG, "half"), (WORDS * 4, "full")])
def test_nothing_leaves_the_page(text: str, size: Literal["full", "half"]) -> None:
    """Words of 300 letters, and many words, in every block: all margins stay white."""
    sheet = Sheet("packing", text, all_blocks(text), (text,), letter="A", size=size)
    dots = 40.0
    margin = round(MARGINS_MM[size]["side"] / 25.4 * dots) - 2
    foot = round(FOOT_FREE_MM / 25.4 * dots)
    for png in pngs_of(source(), (sheet,), "x", dots):
        image = Image.open(BytesIO(png)).convert("L")
        wide, high = image.size
        rims = ((0, 0, margin, high), (wide - margin, 0, wide, high), (0, high - foot, wide, high))
        for rim in rims:
            assert image.crop(rim).getextrema() == (255, 255)


def test_a_table_repeats_its_titles_and_keeps_its_ends_together() -> None:
    """On each page title, column titles and at least two rows; the foot with the last two."""
    found = pages(Sheet("packing", "List", (table(60, title="Camera A"),)))
    assert len(found) == 3
    for text in found:
        assert "Camera A" in text
        assert "thing unit owner kg" in text
        assert len(re.findall(r"Tripod, medium \d+", text)) >= 2
    assert "60 things" in found[-1]
    rows = [int(n) for text in found for n in re.findall(r"Tripod, medium (\d+)", text)]
    assert rows == list(range(1, 61))


def test_no_heading_is_left_alone_at_the_foot_of_a_page() -> None:
    """Wherever the page ends, title and rows go on together."""
    end = (Heading("Alone?"), table(9, title="Rows of it"))
    sheets = (
        Sheet("a", "b", (*(Words(f"line {n}") for n in range(lines)), *end))
        for lines in range(33, 47, 2)
    )
    texts = pages(*sheets)
    assert len(texts) > 10
    for text in texts:
        if "Alone?" in text:
            assert "Rows of it" in text
            assert "Tripod, medium 1 " in text
            assert "Tripod, medium 2 " in text


def test_a_list_that_the_next_page_has_whole_is_not_split() -> None:
    """Twelve rows, with a quarter of the page left."""
    sheet = Sheet("a", "b", (table(20, title="First"), table(12, title="Second")))
    first, second = pages(sheet)
    assert "Second" not in first
    assert "Tripod, medium 12" in second


def test_a_last_page_with_next_to_nothing_is_saved_by_splitting_a_list() -> None:
    """The second list would have the next page to itself, were it not for the lines at the end."""
    lists = (table(20, title="First"), table(12, title="Second"), table(14, title="Third"))
    first, second = pages(Sheet("a", "b", (*lists, *(Words(f"Line {n}") for n in range(4)))))
    assert "Second" in first
    assert "Line 3" in second
    first, _ = pages(Sheet("a", "b", lists))
    assert "Second" not in first


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_what_lies_in_a_case_stands_on_one_half_page(paper: PaperSize) -> None:
    """It is taped into the lid: where it would not fit, the names of things give way to the ids."""
    lids = [sheet for sheet in stored_sheets(HARBOUR, "packing") if sheet.size == "half"]
    assert len(lids) > 10
    assert len(pages(*lids, paper=paper)) == len(lids)


def test_fields_stay_with_the_list_they_sign() -> None:
    """Nobody signs an empty page."""
    text = [text for text in hard_texts() if "Packing list: Show" in text][-1]
    assert "Counted out" in text
    assert "Tripod" in text


def test_empty_blocks_leave_nothing() -> None:
    """No header of a table without rows."""
    (text,) = (text for text in hard_texts() if text.startswith("Nothing"))
    assert "owner" not in text


def test_ids_stand_on_one_line_each() -> None:
    """Beside their marks on the list of a lid, and in the words of a card."""
    words = "after 5 The Nine to the Basin (gap 60 s, 19:53): new battery battery-m-4, roll again"
    ticks = (Tick("fluid head with a long name", ("light-fluid-1", "light-fluid-2"), ("H F", "K")),)
    note = (replace(ticks[0], more=("of somebody with a name as long as people give it",)),)
    lid = Checklist(note, ("out", "in"), columns=(Column("note"),))
    (text,) = pages(Sheet("packing", "Lid", (Words(words), lid), size="half"))
    for unit in ("battery-m-4", "light-fluid-1", "light-fluid-2"):
        assert unit in text


def test_a_name_in_a_script_that_the_font_lacks_stays_in_its_column() -> None:
    """Its signs are question marks, before which typst ends no line of its own accord."""
    name = "\u05e9\u05dc\u05d5\u05dd " * 12
    columns = (Column("what", 1.0), Column("who", 3.0))
    sheet = Sheet("day", "Day", (Table(columns, ((name, "x"),)),))
    lines = pages(sheet)[0].splitlines()
    assert max(len(line) for line in lines if "????" in line) < 35  # 60 stand on one line of it all


def test_what_is_higher_than_a_page_goes_on_and_covers_nothing() -> None:
    """A point, a fact, a caution of 1500 words: all of them come, in their order."""
    words = tuple(" ".join(f"{sign}{n}" for n in range(1500)) for sign in "abcd")
    blocks = (
        Beside((Points(words[:1]),), (Facts((("Where", words[1]),)),)),
        Caution("Mind", words[2:]),
        table(3, title="After it"),
    )
    found = pages(Sheet("cover", "Long", blocks))
    assert len(found) > 4
    assert "After it" in found[-1]
    assert {f"{sign}{n}" for sign in "abcd" for n in range(1500)} <= set(" ".join(found).split())
    assert "c1499" not in found[0]


def test_a_long_list_before_a_picture_begins_under_its_head() -> None:
    """Only short words stay with what they lead up to: a head alone would be a wasted page."""
    lines = tuple(f"{n}: {WORDS * 3}" for n in range(14))
    found = pages(Sheet("restarts", "Restarts", (Points(lines), picture(182, 150))))
    assert "0: Hold" in found[0]
    assert len(found) == 2


def test_halves_leave_the_edge_of_the_paper_white() -> None:
    """Printers do not reach it; a title that is too long for the foot is cut, not wrapped."""
    named = small_plan().model_copy(update={"title": "A festival with a long name " * 5})
    sheet = Sheet("cards", "Card", (table(60, title="Long"),), letter="A", size="half")
    dots, edge_mm = 100.0, 3.5
    pngs = pngs_of(Source(named, Setting()), (sheet,), "x", dots)
    assert len(pngs) > 2
    for png in pngs:
        image = Image.open(BytesIO(png)).convert("L")
        wide, high = image.size
        edge = round(edge_mm / 25.4 * dots)
        for rim in ((0, 0, wide, edge), (0, high - edge, wide, high)):
            assert image.crop(rim).getextrema() == (255, 255)
