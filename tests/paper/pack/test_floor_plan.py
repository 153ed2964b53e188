"""The floor plan of each pass fills a page of the size asked for, and is told in words."""

from __future__ import annotations

import re
from functools import cache

import pytest

from kitplan.paper.pack.blocks import Picture, Sheet
from kitplan.paper.pack.contents.floor_plan import sheets, spot_words
from kitplan.paper.pack.setting import PAGES_MM, PaperSize, Setting
from kitplan.paper.pack.source import Source
from tests.stored import stored_plan


@cache
def made(paper: PaperSize) -> tuple[Source, list[Sheet]]:
    """Return the floor plans of the depot: in metres on A4, in feet on Letter."""
    source = Source(stored_plan("depot-brass"), Setting(paper, "m" if paper == "a4" else "ft"))
    return source, list(sheets(source))


def picture(sheet: Sheet) -> Picture:
    """Return the only block of a bare sheet."""
    (block,) = sheet.blocks
    assert isinstance(block, Picture)
    return block


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_each_pass_has_a_plan_that_fills_a_page(paper: PaperSize) -> None:
    """Its size is that of the page, upright or lying; its scale says on which paper it holds."""
    _, found = made(paper)
    assert [s.title.partition(": ")[2] for s in found] == ["Closed run", "Show"]
    for sheet in found:
        drawn = picture(sheet)
        size = (drawn.width_mm, drawn.height_mm)
        assert sheet.is_bare
        assert (size[::-1] if sheet.is_lying else size) == PAGES_MM[paper]
        assert f" on {'A4' if paper == 'a4' else 'Letter'}<" in drawn.svg


def test_lengths_are_in_feet_where_they_are_wanted() -> None:
    """The balcony rail is 4.5 m up: 14 ft 9 in; no length in metres is left."""
    _, found = made("letter")
    for sheet in found:
        words = [
            text.replace("\u00a0", " ") for text in re.findall(r">([^<]+)<", picture(sheet).svg)
        ]
        assert any("rail at 14 ft 9 in" in text for text in words)
        assert any(re.fullmatch(r"\d+ ft", text) for text in words)  # the scale bar
        assert not any(re.search(r"\d m\b", text) for text in words)


def test_every_camera_is_told_in_words() -> None:
    """Where nobody sees the drawing, each camera has its line: place, height, who, shot."""
    source, found = made("a4")
    for sheet, pass_id in zip(found, source.plan.pass_ids(), strict=True):
        lines = picture(sheet).lines
        placed = source.plan.placements_in(pass_id)
        assert len(lines) == len(placed)
        for line, placement in zip(lines, placed, strict=True):
            assert line.startswith(f"{placement.letter}, {source.names.place(placement)}: ")
            assert source.names.operator(placement) in line


@pytest.mark.parametrize(
    ("at_m", "words"),
    [
        ((-3.7, -0.8), "3.7 m house left of centre, 0.8 m into the house from the stage edge"),
        ((4.6, 4.2), "4.6 m house right of centre, 4.2 m upstage from the stage edge"),
        ((0.0, 0.0), "on the centre line, at the stage edge"),
    ],
    ids=["house-left", "house-right", "middle"],
)
def test_places_are_told_from_centre_and_stage_edge(at_m: tuple[float, float], words: str) -> None:
    """x is house right, y upstage, both from the middle of the stage's front edge."""
    assert spot_words(Setting(), at_m) == words


def test_hours_are_told_as_the_setting_says() -> None:
    """Half past seven in the evening, where people say so."""
    source = Source(stored_plan("depot-brass"), Setting(clock="12"))
    show = picture(list(sheets(source))[1])
    assert "7:30 pm to 8:30 pm, doors 6:30 pm" in show.svg
    assert "19:30" not in show.svg
