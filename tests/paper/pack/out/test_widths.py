"""Widths of columns, and breaks in words too long for them."""

from __future__ import annotations

import pytest

from kitplan.paper.pack.out.widths import (
    BOX_MM,
    INSET_MM,
    KEEP,
    SOFT,
    breakable,
    column_widths_mm,
    lines_in,
    text_width,
)


def column(title: str, share: float, *, is_box: bool = False) -> dict[str, object]:
    """Return a column as plain data."""
    return {"title": title, "share": share, "is_strong": False, "is_box": is_box}


@pytest.mark.parametrize("stop", ["f/4.9", "f/5.6", "f/11", "f/2.8"])
def test_a_word_in_a_column_as_wide_as_itself_is_whole(stop: str) -> None:
    """Whatever the last digit of the sum is."""
    width = text_width(stop, 10.0, "regular")
    for room in (width, width + 2 * INSET_MM - 2 * INSET_MM, (width + 0.1) - 0.1):
        assert breakable(stop, room, 10.0) == stop
        assert lines_in(stop, room, 10.0, "regular") == 1
    assert SOFT in breakable(stop, width - 0.1, 10.0)


def test_a_column_of_boxes_is_as_wide_as_its_title_or_a_box() -> None:
    """The title stands over the boxes: it needs no room beside them."""
    table = {
        "columns": [column("when", 1.0), column("red", 0.0, is_box=True)],
        "rows": [("after the song", "")],
    }
    when, red = column_widths_mm(table, 100.0, 11.0, 11.0)
    title_mm = text_width("red", 11.0, "bold")
    assert BOX_MM < red < title_mm + BOX_MM + 2 * INSET_MM
    assert when == pytest.approx(100.0 - red)


@pytest.mark.parametrize("words", ["battery-m-4", "charger-f-2/1", "(card-64-5,"])
def test_an_id_that_has_room_on_a_line_is_kept_on_one(words: str) -> None:
    """Else it breaks at its hyphens; between letters only where these are far apart."""
    width = text_width(words, 10.0, "regular")
    assert breakable(f"new {words} in", width, 10.0) == f"new {KEEP}{words}{KEEP} in"
    broken = words.replace("-", f"-{SOFT}")
    assert breakable(f"new {words} in", width - 0.1, 10.0) == f"new {broken} in"
    assert SOFT in breakable(words, 2.0, 10.0)


@pytest.mark.parametrize("words", ["full-frame hybrid", "16-50 f/2.8 zoom", "house-left slash"])
def test_other_words_end_lines_at_their_hyphens(words: str) -> None:
    """They are no ids."""
    assert breakable(words, 100.0, 10.0) == words


def test_a_column_is_as_wide_as_its_widest_id() -> None:
    """Another one gives way, whose words are short."""
    table = {
        "columns": [column("unit", 1.0), column("note", 9.0)],
        "rows": [("one-inch-camcorder-12", "of a friend who brings it " * 3)],
    }
    unit, _ = column_widths_mm(table, 100.0, 10.0, 10.0)
    id_mm = text_width("one-inch-camcorder-12", 10.0, "regular")
    assert unit == pytest.approx(id_mm + 2 * INSET_MM)
