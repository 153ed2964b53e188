"""Sheets as text for the terminal."""

from __future__ import annotations

from kitplan.paper.pack.blocks import Facts, Points, Sheet, Table
from kitplan.paper.pack.out.text import papers_text
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from tests.paper.pack.out.hard import HOSTILE, LONG, all_blocks, hard_sheets, table
from tests.plans import small_plan


def text(*sheets: Sheet) -> str:
    """Return some sheets as text."""
    return papers_text(Source(small_plan(), Setting()), sheets)


def test_no_line_is_longer_than_a_terminal_is_wide() -> None:
    """100 signs, whatever the names."""
    sheets = (*hard_sheets(), Sheet("a", LONG, all_blocks(LONG), (LONG,), letter="D"))
    assert max(map(len, text(*sheets).splitlines())) <= 100


def test_plan_and_mark_stand_over_and_under_all() -> None:
    """Old papers are told by it."""
    lines = text(Sheet("a", "b", ())).splitlines()
    mark = f"Plan {Source(small_plan(), Setting()).mark}. Papers with another mark are void."
    assert lines[0] == small_plan().title
    assert lines[2] == lines[-1] == mark


def test_boxes_numbers_and_labels_are_written_out() -> None:
    """As a crew lead would type it."""
    found = text(
        Sheet(
            "a",
            "b",
            (
                Points(("strike", "carry"), "number"),
                Points(("lens cap",), "box"),
                Facts((("Where", "pit"), ("ISO", "800"))),
                table(1, title="Camera A"),
            ),
            letter="A",
        )
    )
    assert "(A) b\n=====" in found
    assert "1. strike\n2. carry" in found
    assert "[ ] lens cap" in found
    assert "Where  pit\nISO    800" in found
    assert "[ ]  Tripod, medium 1  tripod-medium-1  Ada" in found


def test_no_control_reaches_the_terminal() -> None:
    """Neither escapes nor signs that reorder a line."""
    found = text(Sheet("a", HOSTILE[5], all_blocks(HOSTILE[5]) + all_blocks(HOSTILE[3])))
    assert not set(found) & set("\u202e\u2066\u200b\ufeff\x07\x1b\x00\t")
    assert "escape [31m" in found


def test_empty_blocks_leave_no_trace() -> None:
    """No table without rows."""
    found = text(Sheet("a", "b", (Table((), ()), Points(()), Facts(()))))
    assert len(found.split("\n\n\n")[1].splitlines()) == 2
