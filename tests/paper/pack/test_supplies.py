"""Battery rota and media log say what the plan's records say, with room for what is filled in."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from kitplan.paper.pack.blocks import Caution, Points, Table
from kitplan.paper.pack.contents import media, power
from kitplan.paper.pack.contents.power import level_before
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.day.power import Charge
from tests.paper.pack.test_restarts import SHOOTS, tables
from tests.stored import stored_plan


def changed(name: str, part: str, **changes: Any) -> Source:
    """Return a stored plan with a part of its day changed."""
    plan = stored_plan(name)
    assert plan.day is not None
    new = getattr(plan.day, part).model_copy(update=changes)
    day = plan.day.model_copy(update={part: new})
    return Source(plan.model_copy(update={"day": day}), Setting())


@pytest.mark.parametrize("name", SHOOTS)
def test_every_battery_and_charge_is_on_the_rota(name: str) -> None:
    """A row for each use and each charge, each once; what it really ran is to be filled in."""
    source = Source(stored_plan(name), Setting())
    (sheet,) = power.sheets(source)
    plan = source.day.power
    assert plan is not None
    charging = [t for t in tables(sheet) if t.columns[0].title == "bay"]
    uses = [t for t in tables(sheet) if t.columns[0].title == "in"]
    assert sorted(row[1] for t in uses for row in t.rows) == sorted(u.unit for u in plan.uses)
    assert {row[-1] for t in uses for row in t.rows} == {""}
    assert sorted(r[:2] for t in charging for r in t.rows) == sorted(
        (c.bay, c.unit) for c in plan.charges
    )
    flat = sum(row[5] == "FLAT" for t in uses for row in t.rows)
    assert flat == sum(use.is_short for use in plan.uses)
    is_told = any(isinstance(b, Caution) and b.title == "Does not last" for b in sheet.blocks)
    assert is_told == (flat > 0)


def test_a_battery_that_goes_in_later_says_when() -> None:
    """Where the roll plan changes a battery, the rota gives the time and the song before."""
    source = Source(stored_plan("depot-brass"), Setting())
    rolls = source.day.rolls
    assert rolls is not None
    (sheet,) = power.sheets(source)
    rows = {row[1]: row for t in tables(sheet) for row in t.rows}
    for touch in (t for t in rolls.touches if t.battery is not None):
        start = source.plan.pass_of(touch.pass_id)[1].start
        at = start + timedelta(seconds=touch.start_s)
        assert rows[touch.battery or ""][2].startswith(f"{at:%H:%M} after ")


def test_spares_are_in_no_camera() -> None:
    """A spare of a pass is used by nothing in that pass."""
    source = Source(stored_plan("depot-brass"), Setting())
    plan = source.day.power
    (sheet,) = power.sheets(source)
    assert plan is not None
    lines = [b.lines for b in sheet.blocks if isinstance(b, Points) and b.mark == "dash"]
    for pass_id, spare in zip(source.plan.pass_ids(), lines, strict=True):
        used = {use.unit for use in plan.uses if use.pass_id == pass_id}
        named = {word.rstrip(",.") for line in spare for word in line.split()}
        assert named & {u.id for u in source.plan.kit.units}
        assert not named & used


def test_the_charge_of_a_spare_follows_uses_and_charges() -> None:
    """Full at first; what the closed run left; what a bay put in afterwards."""
    source = Source(stored_plan("depot-brass"), Setting())
    plan = source.day.power
    assert plan is not None
    use = plan.uses[0]
    assert level_before(source, plan, use.unit, datetime(2027, 5, 15, 14, 30)) == 1.0
    assert level_before(source, plan, use.unit, datetime(2027, 5, 15, 17, 0)) == use.after
    charge = Charge(
        unit=use.unit,
        bay="charger-f-1/1",
        start=datetime(2027, 5, 15, 16, 10),
        end=datetime(2027, 5, 15, 17, 0),
        from_share=use.after,
        to_share=0.9,
        for_pass="depot-brass/show",
        needed_by=datetime(2027, 5, 15, 18, 30),
    )
    charged = plan.model_copy(update={"charges": (charge,)})
    assert level_before(source, charged, use.unit, datetime(2027, 5, 15, 17, 0)) == 0.9


@pytest.mark.parametrize("name", SHOOTS)
def test_every_card_is_in_the_log_with_its_copies(name: str) -> None:
    """A row for each card of a pass; every copy of the plan in exactly one cell; totals agree."""
    source = Source(stored_plan(name), Setting())
    (sheet,) = media.sheets(source)
    plan = source.day.media
    assert plan is not None
    rows = [row for table in tables(sheet) for row in table.rows]
    assert sorted(row[1] for row in rows) == sorted(use.card for use in plan.uses)
    times = [cell for row in rows for cell in row[6:10:2] if " to " in cell]
    assert len(times) == len(plan.copies)
    for table, pass_id in zip(tables(sheet), source.plan.pass_ids(), strict=True):
        mine = [use for use in plan.uses if use.pass_id == pass_id]
        total = sum(use.gb for use in mine)
        assert table.foot == f"{len(mine)} cards, {total:.0f} GB"
    told = sum(row[-1].startswith("format first") for row in rows)
    assert told == len(plan.formats)


def test_without_a_laptop_no_card_is_formatted() -> None:
    """No columns for copies; the caution says it first."""
    source = changed("depot-brass", "media", copies=(), formats=())
    (sheet,) = media.sheets(source)
    caution = next(b for b in sheet.blocks if isinstance(b, Caution))
    assert caution.lines[0].startswith("Nothing is copied")
    assert not any(c.title.startswith("disk") for t in tables(sheet) for c in t.columns)


def test_many_copies_share_a_column() -> None:
    """Five disks would not find room in columns of their own."""
    (sheet,) = media.sheets(changed("depot-brass", "media", disks=5))
    (first, *_) = (b for b in sheet.blocks if isinstance(b, Table))
    assert [c.title for c in first.columns].count("copies") == 1
    assert first.rows[0][6].endswith("none; none; none")


def test_nothing_is_printed_of_supplies_that_were_left_out() -> None:
    """Without a day there is neither rota nor log; with no use of anything neither."""
    plan = stored_plan("school-dance")
    source = Source(plan.model_copy(update={"day": None}), Setting())
    assert [*power.sheets(source), *media.sheets(source)] == []
    assert [*power.sheets(changed("school-dance", "power", uses=(), mains=()))] == []
    assert [*media.sheets(changed("school-dance", "media", uses=()))] == []
