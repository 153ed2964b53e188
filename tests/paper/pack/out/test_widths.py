"""Widths of columns, and breaks in words too long for them."""

from __future__ import annotations

import pytest

from kitplan.paper.pack.out.widths import (
    BOX_MM,
    INSET_MM,
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
