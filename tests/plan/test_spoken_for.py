"""What a plan has to have booked: each unit on the days of its own passes, travel included."""

from __future__ import annotations

from datetime import date

import pytest

from kitplan.gear.records import Case
from kitplan.plan.brought import brought
from kitplan.plan.spoken_for import days_by_unit, spans, spoken_for, units_of_pass
from tests.small import at, body, run, show, small_brief, small_kit, solve, unit
from tests.stored import stored_plan


def may(day: int) -> date:
    """Return a day of May."""
    return date(2027, 5, day)


@pytest.mark.parametrize(
    ("days", "travel_days", "found"),
    [
        ((), 1, ()),
        ((3,), 0, ((3, 3),)),
        ((3,), 2, ((1, 5),)),
        ((3, 4), 0, ((3, 4),)),
        ((3, 5), 0, ((3, 3), (5, 5))),
        ((3, 5), 1, ((2, 6),)),
        ((3, 6), 1, ((2, 7),)),
        ((3, 7), 1, ((2, 4), (6, 8))),
    ],
)
def test_days_in_a_row_are_one_stretch(
    days: tuple[int, ...], travel_days: int, found: tuple[tuple[int, int], ...]
) -> None:
    """A day between that nobody travels on parts two stretches."""
    expected = [(may(first), may(last)) for first, last in found]
    assert list(spans(map(may, days), travel_days)) == expected


def test_a_unit_is_booked_for_the_days_of_its_own_passes() -> None:
    """Two cameras; one of them is lent for the show alone, which is two days after the run."""
    box = Case(id="box", name="box", volume_l=90, most_load_kg=30)
    kit = small_kit(
        box,
        units=(
            unit("cam", 1, case="box-1"),
            unit("cam", 2, available_from=may(3)),
            unit("box", 1),
        ),
    )
    passes = (run(), show(start=at(20, day=3), doors=at(19, day=3)))
    plan = solve(small_brief(kit, passes=passes))
    found = days_by_unit(plan)
    assert found["cam-1"] == (may(1), may(3)) == found["box-1"]
    assert found["cam-2"] == (may(3),)
    rows = [(row.unit, row.begins, row.ends) for row in spoken_for(plan, 0)]
    assert [row for row in rows if row[0] == "cam-1"] == [
        ("cam-1", may(1), may(1)),
        ("cam-1", may(3), may(3)),
    ]
    assert ("cam-1", date(2027, 4, 30), may(4)) in [
        (row.unit, row.begins, row.ends) for row in spoken_for(plan, 1)
    ]


def test_the_shoot_says_how_long_its_gear_travels() -> None:
    """By default the days are those of the shoot."""
    plan = solve(small_brief(small_kit(body()), travel_days=2))
    assert {(row.begins, row.ends) for row in spoken_for(plan)} == {(date(2027, 4, 29), may(3))}


def test_everything_on_the_lists_of_a_real_plan_is_booked() -> None:
    """Rigs, chargers, sound, what the day gives beside them, and exactly the cases that travel."""
    plan = stored_plan("depot-brass")
    for pass_id in plan.pass_ids():
        assert set(brought(plan, pass_id)) <= set(units_of_pass(plan, pass_id))
    assert plan.day is not None
    assert plan.day.cases is not None
    assert plan.day.power is not None
    booked = set(days_by_unit(plan))
    (load,) = plan.day.cases.loads
    assert {packed.case for packed in load.cases} <= booked
    assert {use.unit for use in plan.day.power.uses} <= booked
    assert booked == {*load.case_of, *load.case_of.values(), *load.by_hand, *load.at_venue}
