"""Shortfall list: what the plan lacks, each with its help, and nothing that it has."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.gear.kit import Kit
from kitplan.gear.records import Accessory
from kitplan.paper.lacks import kit_lacks, shortages
from kitplan.paper.lists import pass_lists
from kitplan.paper.names import Names
from kitplan.paper.pack.answers import GainsAnswer
from kitplan.paper.pack.blocks import Table
from kitplan.plan.day.rolls import Cover, Uncovered
from kitplan.plan.records import Plan
from tests.paper.pack.made import (
    DANCE,
    DEPOT,
    HARBOUR,
    sheets_of,
    source_of,
    stored_sheets,
    words_of,
)
from tests.small import body, position, small_kit, small_shoot
from tests.stored import stored_plan
from tests.whatif.small import hand_plan, placed, safety


def worth(label: str, **changes: Any) -> dict[str, Any]:
    """Return what one more thing adds, as the command writes it."""
    return {"label": label, "what": "body", "says": "1 viewpoint", "is_proven": True, **changes}


def gained(*rows: dict[str, Any]) -> str:
    """Return the list with an answer of gains as text."""
    answer = GainsAnswer.model_validate({"gains": rows, "pairs": [], "hired": ["crane (crane-1)"]})
    return words_of(sheets_of(source_of(stored_plan(DEPOT), gains=answer), "shortfall"))


def flawless() -> Plan:
    """Return a plan in which all is met and measured, and every song has two viewpoints."""
    places = tuple(position(each, measured=("at_m",)) for each in ("front", "left", "right"))
    light = ({"dim_lux": 500, "bright_lux": 1000, "measured": ("dim_lux",)},)
    kit = small_kit()
    items = (body(measured=("battery_min",)), *(i for i in kit.items if i.id != "cam"))
    return hand_plan(
        small_shoot(positions=places, light=light),
        (safety("A"), placed("B", "left")),
        kit=Kit(items=items, units=kit.units),
    )


@pytest.mark.parametrize("name", [DANCE, DEPOT, HARBOUR])
def test_all_that_the_plan_misses_is_on_it(name: str) -> None:
    """Demands, moments, things: the figures are those of the plan."""
    plan, text = stored_plan(name), words_of(stored_sheets(name, "shortfall"))
    for demand in plan.demands:
        assert (demand.words in text) == (not demand.is_met)
    assert plan.day is not None
    assert plan.day.shots is not None
    for row in plan.day.shots.moments:
        if row.first is None:
            assert row.moment in text
    for each in pass_lists(Names(plan), plan.pass_ids()):
        for missing in each.missing:
            assert missing.what in text


def test_missing_dependants_are_counted_once_for_all_passes() -> None:
    """Without bonds in the kit each overhead camera lacks one, at most one at a time."""
    plan = stored_plan(DEPOT)
    items = plan.kit.items_by_id

    def is_bond(unit: str) -> bool:
        item = items[next(u.item for u in plan.kit.units if u.id == unit)]
        return isinstance(item, Accessory) and item.serves == "bond"

    bare = tuple(
        p.model_copy(update={"accessories": tuple(u for u in p.accessories if not is_bond(u))})
        for p in plan.placements
    )
    (lack,) = kit_lacks(Names(plan.model_copy(update={"placements": bare})))
    assert lack.what == "1 x bond"
    assert lack.why == "Camera E (Closed run): not in the kit"
    assert lack.help == "borrow or buy 1"


def test_what_is_not_covered_comes_with_its_repair() -> None:
    """As the proof of cover found it."""
    plan = stored_plan(DEPOT)
    gap = Uncovered(
        song="cobbles", pass_id=None, start_s=65, end_s=80, stands=(), repair="a second card in A"
    )
    assert plan.day is not None
    day = plan.day.model_copy(update={"cover": Cover(uncovered=(gap,))})
    (lack,) = shortages(Names(plan.model_copy(update={"day": day})))
    assert "no usable shot" in lack.what
    assert lack.help == "a second card in A"


def test_a_battery_that_does_not_last_has_its_way_out() -> None:
    """The harbour's camera G; the load-in that is too long says by how much."""
    lacks = shortages(Names(stored_plan(HARBOUR)))
    assert any("does not last" in each.what and "socket" in each.help for each in lacks)
    late = next(each for each in lacks if each.what.startswith("Load-in for Closed run"))
    assert late.why == "about 30 min too long"  # 1680 s, in steps of five minutes


def test_gains_become_a_list_to_borrow_from() -> None:
    """What adds nothing is not on it; prices where there are any; not tried is said."""
    text = gained(
        worth("one more camcorder", price=120.0),
        worth("tall legs", says=""),
        worth("ring", is_proven=False),
    )
    assert "one more camcorder 1 viewpoint 120" in text
    assert "tall legs 1" not in text
    assert "not all of it proven" in text
    assert "not all of it proven" not in gained(worth("ring"))
    assert "have to be hired: crane (crane-1)" in text
    assert "price" not in gained(worth("ring"))
    assert "None of the single things" in gained(worth("ring", says=""))


def test_without_gains_it_says_how_to_get_them() -> None:
    """With the command and the name of the file."""
    text = words_of(stored_sheets(DEPOT, "shortfall"))
    assert "kitplan gains depot-brass.yaml --one-more --out depot-brass-gains.json" in text


def test_where_nothing_is_missing_it_says_so() -> None:
    """No empty table, nothing left to measure."""
    (sheet,) = sheets_of(source_of(flawless()), "shortfall")
    assert "Nothing is missing: all that was asked for is met." in words_of((sheet,))
    assert not [block for block in sheet.blocks if isinstance(block, Table)]
