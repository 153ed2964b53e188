"""The battery rota as a sheet: what it asks for, and what is read from it."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from kitplan.errors import BadInput
from kitplan.gear.history import Run
from kitplan.gear.listing import csv_text
from kitplan.gear.records import Battery, Body, Sound
from kitplan.plan.records import Plan
from kitplan.plan.rota import COLUMNS, pack_runs, rota_rows, runs_of
from tests.stored import stored_plan

NAME = "depot-brass"
DAY = date(2027, 5, 15)


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A stored plan with two passes on one day."""
    return stored_plan(NAME)


def read(plan: Plan, folder: Path, text: str) -> tuple[Run, ...]:
    """Return the runs of a sheet."""
    path = folder / "rota.csv"
    path.write_text(text, encoding="utf-8")
    return runs_of(plan, path)


def test_every_battery_of_the_plan_has_its_row(plan: Plan) -> None:
    """Each in something that takes it, with as many minutes as the plan asks of it."""
    assert plan.day is not None
    assert plan.day.power is not None
    rows = rota_rows(plan)
    assert len(rows) == len(plan.day.power.uses)
    items = plan.kit.items_by_id
    item_of = {unit.id: items[unit.item] for unit in plan.kit.units}
    for pack, use in zip(pack_runs(plan), plan.day.power.uses, strict=True):
        taker = items[pack.body]
        assert isinstance(taker, Body | Sound)
        assert taker.battery == item_of[pack.unit].id
        assert isinstance(item_of[pack.unit], Battery)
        assert (pack.planned_min, pack.day) == (use.minutes, DAY)


def test_a_plan_without_power_takes_the_batteries_of_its_rigs(plan: Plan) -> None:
    """Then nothing is known of planned minutes."""
    bare = plan.model_copy(update={"day": None})
    own = {(p.pass_id, p.letter, unit) for p in plan.placements for unit in p.batteries}
    assert {(pack.pass_id, pack.who, pack.unit) for pack in pack_runs(bare)} == own
    assert {pack.planned_min for pack in pack_runs(bare)} == {None}


def test_a_filled_sheet_becomes_runs(plan: Plan, tmp_path: Path) -> None:
    """Rows without minutes say nothing; x, yes and flat are flat."""
    rows = [[*row] for row in rota_rows(plan)]
    rows[0][4:] = [51.5, "x"]
    rows[1][4:] = [60, "no"]
    rows[3][4:] = [44, "Yes"]
    found = read(plan, tmp_path, csv_text(COLUMNS, rows))
    packs = pack_runs(plan)
    assert [(run.unit, run.minutes, run.is_to_flat) for run in found] == [
        (packs[0].unit, 51.5, True),
        (packs[1].unit, 60, False),
        (packs[3].unit, 44, True),
    ]
    assert {run.day for run in found} == {DAY}
    assert found[0].body == packs[0].body
    assert found[0].note == f"{packs[0].pass_id} {packs[0].who}"


def test_semicolons_and_decimal_commas_are_read(plan: Plan, tmp_path: Path) -> None:
    """A unit that runs once in the plan needs neither pass nor camera."""
    (unit,) = [p.unit for p in pack_runs(plan) if p.who == "E" and p.pass_id.endswith("/show")][:1]
    (run,) = read(plan, tmp_path, f"\ufeffUnit;Minutes\n{unit};61,5\n")
    assert (run.unit, run.minutes, run.is_to_flat) == (unit, 61.5, False)


def test_everything_wrong_is_told_with_its_row(plan: Plan, tmp_path: Path) -> None:
    """An unknown unit, minutes that are none, a strange word for flat, a strange pass."""
    first = pack_runs(plan)[0]
    text = (
        "pass,who,unit,minutes,flat\n"
        f",,{first.unit}x,50,\n"
        f"{first.pass_id},{first.who},{first.unit},fifty,\n"
        f"{first.pass_id},{first.who},{first.unit},50,perhaps\n"
        f"matinee,,{first.unit},50,\n"
        f"{first.pass_id},{first.who},{first.unit},0,\n"
    )
    with pytest.raises(BadInput) as caught:
        read(plan, tmp_path, text)
    problems = caught.value.problems
    assert [problem.line for problem in problems] == [2, 3, 4, 5, 6]
    assert "is in no camera and no recorder of the plan" in problems[0].wrong
    assert f"Did you mean '{first.unit}'" in problems[0].right
    assert problems[1].wrong == "minutes is 'fifty'"
    assert problems[2].wrong == "is_to_flat is 'perhaps'"
    assert problems[3].wrong == f"pass of {first.unit} is 'matinee'"


def test_a_unit_that_runs_twice_has_to_say_where(plan: Plan, tmp_path: Path) -> None:
    """Its minutes may be of either pass."""
    first, other = pack_runs(plan)[0], pack_runs(plan)[-1]
    assert plan.day is not None
    assert plan.day.power is not None
    use = plan.day.power.uses[-1].model_copy(update={"unit": first.unit})
    power = plan.day.power.model_copy(update={"uses": (*plan.day.power.uses[:-1], use)})
    twice = plan.model_copy(update={"day": plan.day.model_copy(update={"power": power})})
    with pytest.raises(BadInput, match=r"runs 2 times in the plan.*Fill in the columns"):
        read(twice, tmp_path, f"unit,minutes\n{first.unit},50\n")
    (run,) = read(twice, tmp_path, f"unit,minutes,pass\n{first.unit},50,{other.pass_id}\n")
    assert run.note == f"{other.pass_id} {other.who}"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("unit,mins\nx,5\n", "the column 'minutes' is missing"),
        ("unit,minutes,flatt\nx,5,\n", "unknown column 'flatt'.*Did you mean 'flat'"),
        ("", "the column 'unit' is missing"),
        ("unit,minutes\nx;5\n", "'x;5' is in no camera"),
        ('unit,minutes\n"x,5\n', "this is not a CSV table"),
    ],
)
def test_a_sheet_that_is_none(plan: Plan, tmp_path: Path, text: str, message: str) -> None:
    """Columns are named, quotes match."""
    with pytest.raises(BadInput, match=message):
        read(plan, tmp_path, text)
