"""The moments list has every moment, and says loudly what nobody holds."""

from __future__ import annotations

import pytest

from kitplan.paper.pack.blocks import Caution, Table
from kitplan.paper.pack.contents.moments import NOBODY, sheets
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.records import Day
from tests.stored import stored_plan


@pytest.mark.parametrize("name", ["depot-brass", "school-dance", "harbour-festival"])
def test_every_moment_has_a_row_and_who_holds_it(name: str) -> None:
    """In the order of the songs, with camera, operator and pass of the first and the second."""
    plan = stored_plan(name)
    (shoot,) = plan.shoots.values()
    assert plan.day is not None
    assert plan.day.shots is not None
    (sheet,) = sheets(Source(plan, Setting()))
    (table,) = [block for block in sheet.blocks if isinstance(block, Table)]
    moments = [(f"{n} {s.label}", m.name) for n, s in enumerate(shoot.songs, 1) for m in s.moments]
    assert [row[:2] for row in table.rows] == moments
    by_name = {(held.song, held.moment): held for held in plan.day.shots.moments}
    held = [by_name[song.id, moment.name] for song in shoot.songs for moment in song.moments]
    for row, each in zip(table.rows, held, strict=True):
        assert row[5].startswith(NOBODY if each.first is None else f"{each.first[1]}, ")
        assert row[6].startswith("" if each.second is None else f"{each.second[1]}, ")
    missed = [each.moment for each in held if each.first is None]
    cautions = [line for b in sheet.blocks if isinstance(b, Caution) for line in b.lines]
    assert len(cautions) == len(missed)
    assert all(name in line for name, line in zip(missed, cautions, strict=True))


def test_without_moments_or_shots_there_is_no_list() -> None:
    """No empty table."""
    plan = stored_plan("depot-brass")
    assert list(sheets(Source(plan.model_copy(update={"day": Day()}), Setting()))) == []
    assert plan.day is not None
    assert plan.day.shots is not None
    shots = plan.day.shots.model_copy(update={"moments": ()})
    day = plan.day.model_copy(update={"shots": shots})
    assert list(sheets(Source(plan.model_copy(update={"day": day}), Setting()))) == []
