"""Slips stand in two columns of about the same height; long ones may run over."""

from __future__ import annotations

from kitplan.paper.pack.blocks import Beside, Column, Table
from kitplan.paper.pack.contents.slips import MOST_LINES, SIGNS_A_LINE, is_short, two_columns


def slip(title: str, rows: int) -> Table:
    """Return a list of so many rows."""
    return Table((Column("do"),), (("x",),) * rows, title=title)


def test_columns_are_about_as_high_as_each_other() -> None:
    """Title and foot count as three rows: 13 beside 5 + 4 + 4; order goes down each column."""
    slips = [slip("Ann", 10), slip("Bo", 2), slip("Cy", 1), slip("Di", 1)]
    (beside,) = two_columns(slips)
    assert isinstance(beside, Beside)
    assert [block.title for block in beside.left if isinstance(block, Table)] == ["Ann"]
    assert [block.title for block in beside.right if isinstance(block, Table)] == ["Bo", "Cy", "Di"]


def test_a_single_slip_takes_the_whole_width() -> None:
    """Nothing stands beside it; without any there is nothing."""
    assert list(two_columns([slip("Ann", 3)])) == [slip("Ann", 3)]
    assert list(two_columns([])) == []


def test_what_surely_fits_on_a_page_is_kept_whole() -> None:
    """A row is as high as its box, or as its words: 22 boxes fit, one line more does not."""
    boxes = [("16:00", "Strike")] * (MOST_LINES // 2)
    assert is_short(boxes)
    assert not is_short([*boxes, ("16:00", "Strike")])
    assert is_short([("16:00", "x" * SIGNS_A_LINE * MOST_LINES)])
    assert not is_short([("16:00", "x" * (SIGNS_A_LINE * MOST_LINES + 1))])
