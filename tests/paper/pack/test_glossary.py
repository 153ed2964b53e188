"""The glossary explains the words of the other papers, and no others."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from kitplan.paper.drawings.lessons import shot_size, sides
from kitplan.paper.drawings.svg import NAMESPACE
from kitplan.paper.pack.blocks import Beside, Cell, Frames, Sheet, Table, Words
from kitplan.paper.pack.contents import glossary
from kitplan.paper.pack.papers import PAPERS
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.shoot.sizes import LADDER
from tests.stored import stored_plan


def with_text(text: str) -> Source:
    """Return a source whose other papers say nothing but this."""
    source = Source(stored_plan("school-dance"), Setting())
    source.made.update({paper.id: () for paper in PAPERS})
    source.made[PAPERS[0].id] = (Sheet(PAPERS[0].id, "Sheet", (Words(text),)),)
    return source


def words_of(source: Source) -> list[str]:
    """Return the words that it explains."""
    return [
        row[0]
        for sheet in glossary.sheets(source)
        for block in sheet.blocks
        if isinstance(block, Beside)
        for each in (*block.left, *block.right)
        if isinstance(each, Table)
        for row in each.rows
    ]


def sizes_of(source: Source) -> list[str]:
    """Return the shot sizes that it draws."""
    cells: list[Cell] = []
    for sheet in glossary.sheets(source):
        for block in sheet.blocks:
            if isinstance(block, Frames):
                cells += block.cells
    return [cell.title.partition(":")[0] for cell in cells]


def test_only_words_in_use_are_explained() -> None:
    """Whole words, whatever their case; sizes only in capitals."""
    source = with_text("Bond on. Camera B: Singer MCU, locked off. ms of delay; vagabonds.")
    assert words_of(source) == ["bond", "locked off"]
    assert sizes_of(source) == ["MCU"]


def test_directions_are_drawn_where_somebody_has_to_know_them() -> None:
    """House left is not stage left."""
    (sheet,) = glossary.sheets(with_text("Stand house left."))
    (beside,) = sheet.blocks
    assert isinstance(beside, Beside)
    assert beside.left == ()
    assert len(beside.right) == 1


def test_nothing_to_explain_needs_no_page() -> None:
    """An empty page helps nobody."""
    assert tuple(glossary.sheets(with_text("Hello."))) == ()


def test_every_word_is_found_as_it_stands_in_the_list() -> None:
    """The pattern of a word fits the word itself, in the order of the alphabet."""
    for word, _, pattern in glossary.WORDS:
        assert glossary._is_in(pattern, word.partition(",")[0]), word
    words = [word.casefold() for word, _, _ in glossary.WORDS]
    assert words == sorted(words)


def test_the_papers_of_a_shoot_are_explained_on_one_page() -> None:
    """All shot sizes in use, at most one page of words."""
    source = Source(stored_plan("depot-brass"), Setting())
    (sheet,) = glossary.sheets(source)
    used = {p.shot.size for p in source.plan.placements}
    assert used <= set(sizes_of(source))
    assert len(sheet.blocks) == 2


@pytest.mark.parametrize("size", LADDER)
def test_every_shot_size_can_be_drawn(size: str) -> None:
    """Somebody is in each of the frames."""
    assert shot_size(size).svg().count("<path") >= 5


def test_house_and_stage_sides_are_opposite() -> None:
    """Stage left lies on house right."""
    texts = ET.fromstring(sides().svg()).iter(f"{{{NAMESPACE}}}text")
    at = {(each.text or ""): float(each.get("x", "0")) for each in texts}
    assert at["stage right"] < at["stage left"]
    assert at["house left"] < at["house right"]
