"""Restart sheets: every touch once by clock and once on somebody's list; the tightest first."""

from __future__ import annotations

from collections import Counter

import pytest

from kitplan.paper.pack.blocks import Beside, Block, Sheet, Table
from kitplan.paper.pack.contents.restarts import least_left, sheets
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.paper.restarts import Left, rolls_of, toucher
from tests.stored import stored_plan

SHOOTS = ["depot-brass", "school-dance", "harbour-festival"]


def flat(blocks: tuple[Block, ...]) -> list[Block]:
    """Return blocks with those that stand beside each other one by one."""
    found: list[Block] = []
    for block in blocks:
        found += flat((*block.left, *block.right)) if isinstance(block, Beside) else [block]
    return found


def tables(sheet: Sheet) -> list[Table]:
    """Return the tables of a sheet."""
    return [block for block in flat(sheet.blocks) if isinstance(block, Table)]


@pytest.mark.parametrize("name", SHOOTS)
def test_every_touch_is_on_the_sheet_and_on_one_list(name: str) -> None:
    """As many rows by clock as the plan has touches, and the same over everybody's lists."""
    source = Source(stored_plan(name), Setting())
    found = list(sheets(source))
    assert len(found) == len(source.plan.pass_ids())
    for sheet, pass_id in zip(found, source.plan.pass_ids(), strict=True):
        touches = [t for t in rolls_of(source.plan).touches if t.pass_id == pass_id]
        by_clock, *others = tables(sheet)
        lists = [table for table in others if table.has_boxes]
        assert Counter((row[0], row[2]) for row in by_clock.rows) == Counter(
            (row[0], row[1]) for table in lists for row in table.rows
        )
        assert len(by_clock.rows) == len(touches)
        for table in lists:
            person = table.title.partition(": ")[0].casefold()
            mine = [t for t in touches if toucher(source.names, t).casefold() == person]
            assert len(table.rows) == len(mine) > 0


def test_what_is_left_stands_in_order() -> None:
    """The table for a late set begins with the camera that has the least left."""
    source = Source(stored_plan("depot-brass"), Setting())
    for sheet in sheets(source):
        late = next(table for table in tables(sheet) if table.title.startswith("If the set"))
        seconds = [
            sum(60**n * int(p) for n, p in enumerate(row[0].split(":")[::-1])) for row in late.rows
        ]
        assert seconds == sorted(seconds)
        assert len({row[1] for row in late.rows}) == len(late.rows)


def test_the_least_is_over_all_songs_and_kinds() -> None:
    """190 s of battery after the second song are less than 200 s of clip after the first."""
    left = [
        Left("A", "one", 200, 400, None, None),
        Left("A", "two", 600, 190, None, None),
        Left("A", "three", -5, None, None, None),  # it stands still by then
        Left("B", "one", 10, None, None, None),
    ]
    least = least_left(left, "A")
    assert least is not None
    assert (least.words, least.song) == ("battery 3:10", "two")
    assert least_left(left, "C") is None


def test_nothing_is_printed_of_rolls_that_were_left_out() -> None:
    """Without its rolls a plan has no restart sheet."""
    plan = stored_plan("school-dance")
    assert list(sheets(Source(plan.model_copy(update={"day": None}), Setting()))) == []
