"""The checker of packings: an honest one holds, and every kind of tampering is found."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from random import Random

import pytest
from pydantic import ValidationError

from kitplan.gear.kit import Kit
from kitplan.plan.day.cases import CasePlan, Load, PackedCase, Remedy
from kitplan.plan.records import Day, Plan
from kitplan.plan.verify.day.cases import case_findings
from kitplan.plan.verify.scene import Scene
from tests.day.cases.small import packed

Spoil = Callable[[Load], Load]


@cache
def honest() -> Plan:
    """Return a packed plan."""
    return packed()


def rules_broken(plan: Plan) -> set[str]:
    """Return the rules that the packing of a plan breaks."""
    scenes = {each: Scene(shoot, plan.kit) for each, shoot in plan.shoots.items()}
    return {finding.rule for finding in case_findings(plan, scenes)}


def with_loads(plan: Plan, *loads: Load) -> Plan:
    """Return the plan with other loads."""
    assert plan.day is not None
    day = plan.day.model_copy(update={"cases": CasePlan(loads=loads)})
    return plan.model_copy(update={"day": day})


def load_of(plan: Plan) -> Load:
    """Return its one load."""
    assert plan.day is not None
    assert plan.day.cases is not None
    return plan.day.cases.loads[0]


def load(**facts: object) -> Spoil:
    """Spoil facts of the load."""
    return lambda each: each.model_copy(update=facts)


def case(name: str, change: Callable[[PackedCase], dict[str, object]]) -> Spoil:
    """Spoil facts of one case."""
    return lambda each: each.model_copy(
        update={
            "cases": tuple(
                one.model_copy(update=change(one)) if one.case == name else one
                for one in each.cases
            )
        }
    )


def moved(unit: str, goal: str) -> Spoil:
    """Put a unit into another case, and leave all figures as they were."""
    return lambda each: each.model_copy(
        update={
            "cases": tuple(
                one.model_copy(
                    update={
                        "units": (
                            *(u for u in one.units if u != unit),
                            *([unit] if one.case == goal else []),
                        )
                    }
                )
                for one in each.cases
            )
        }
    )


def test_an_honest_packing_holds() -> None:
    """Nothing is found."""
    assert rules_broken(honest()) == set()


@pytest.mark.parametrize(
    ("spoil", "rule"),
    [
        (case("bag-1", lambda one: {"units": one.units[1:]}), "packed-once"),
        (case("bag-1", lambda one: {"units": (*one.units, one.units[0])}), "packed-once"),
        (load(by_hand=()), "packed-once"),
        (load(left=("cam-1",)), "packed-once"),
        (case("bag-1", lambda one: {"units": (*one.units, "crate-1")}), "packed-unit"),
        (case("bag-1", lambda one: {"units": (*one.units, "nothing")}), "packed-unit"),
        (load(by_hand=("sandbag-1", "feed-1"), at_venue=()), "packed-by-hand"),
        (load(by_hand=(), at_venue=("feed-1", "sandbag-1")), "packed-at-venue"),
        (case("bag-1", lambda _: {"case": "cam-1"}), "packed-into"),
        (case("bag-1", lambda _: {"case": "pouch-1"}), "packed-into"),
        (case("bag-1", lambda _: {"case": "nothing"}), "packed-into"),
        (case("bag-1", lambda _: {"case": "long-1"}), "case-twice"),
        (moved("legs-2", "bag-1"), "case-long"),
        (moved("cam-1", "long-1"), "case-wrapped"),
        (case("bag-1", lambda _: {"wrapped": ("cam-1",)}), "case-wrapped"),
        (case("bag-1", lambda one: {"used_l": one.used_l - 0.5}), "packed-figure"),
        (case("bag-1", lambda one: {"gross_kg": one.gross_kg - 0.5}), "packed-figure"),
        (case("long-1", lambda _: {"hands": 2}), "packed-figure"),
        (load(volume_l=1), "packed-figure"),
        (load(mass_kg=1), "packed-figure"),
        (load(order=("long-1", "bag-1", "sandbag-1")), "loading-order"),
        (load(order=("sandbag-1", "bag-1")), "loading-order"),
        (load(order=()), "loading-order"),
        (load(value=(0,) * 9), "packed-value"),
        (load(value=()), "packed-value"),
        (load(bound=(9,) * 9), "packed-bound"),
        (load(bound=(0, 0)), "packed-bound"),
        (load(is_proven=False), "packed-proven"),
        (load(remedy=Remedy(add="crate")), "remedy"),
        (load(shoot="other"), "packed-shoot"),
    ],
)
def test_tampering_is_found(spoil: Spoil, rule: str) -> None:
    """Of each kind."""
    plan = honest()
    assert rule in rules_broken(with_loads(plan, spoil(load_of(plan))))


@pytest.mark.parametrize("number", [0, 2])
def test_each_shoot_is_packed_once(number: int) -> None:
    """Neither never nor twice."""
    plan = honest()
    assert rules_broken(with_loads(plan, *[load_of(plan)] * number)) == {"packed-shoot"}


def _kit_with(plan: Plan, item: str, **facts: object) -> Plan:
    """Return the plan with facts of an item changed after it was packed."""
    items = [one.model_copy(update=facts) if one.id == item else one for one in plan.kit.items]
    return plan.model_copy(update={"kit": Kit(items=tuple(items), units=plan.kit.units)})


@pytest.mark.parametrize(
    ("item", "facts", "rule"),
    [
        ("long", {"volume_l": 24.99}, "case-litres"),
        ("long", {"most_load_kg": 9.99}, "case-kilograms"),
        ("long", {"mass_kg": 2.5}, "packed-figure"),
        ("bag", {"is_padded": False}, "case-wrapped"),
        ("cam", {"is_fragile": False}, None),
    ],
)
def test_a_changed_kit_is_noticed(item: str, facts: dict[str, object], rule: str | None) -> None:
    """Legs and head fill 25 l and 10 kg of the long bag."""
    broken = rules_broken(_kit_with(honest(), item, **facts))
    assert broken == set() if rule is None else rule in broken


@pytest.mark.parametrize(
    ("facts", "rule"),
    [({"volume_l": 85}, "vehicle-litres"), ({"most_load_kg": 25}, "vehicle-kilograms")],
)
def test_a_smaller_vehicle_is_noticed(facts: dict[str, float], rule: str) -> None:
    """85.8 l and 25.75 kg travel."""
    plan = honest()
    shoots = {
        name: shoot.model_copy(update={"vehicle": shoot.vehicle.model_copy(update=facts)})
        for name, shoot in plan.shoots.items()
    }
    assert rules_broken(plan.model_copy(update={"shoots": shoots})) == {rule}


# -- whatever else is written into a plan ----------------------------------------------------------

STRANGE: tuple[object, ...] = (
    "nothing",
    "cam-1",
    "bag-1",
    "crate-1",
    "feed-1",
    "",
    0,
    -1,
    1e6,
    True,
)


def _paths(data: object, path: tuple[object, ...] = ()) -> Iterator[tuple[object, ...]]:
    """Yield the way to every single value of plain data."""
    if isinstance(data, dict | list):
        pairs = data.items() if isinstance(data, dict) else enumerate(data)
        for key, value in pairs:
            yield from _paths(value, (*path, key))
    else:
        yield path


def _with(data: object, path: tuple[object, ...], value: object) -> object:
    if not path:
        return value
    if isinstance(data, dict):
        return {key: _with(v, path[1:], value) if key == path[0] else v for key, v in data.items()}
    assert isinstance(data, list)
    return [_with(v, path[1:], value) if n == path[0] else v for n, v in enumerate(data)]


@pytest.mark.parametrize("seed", range(4))
def test_the_checker_never_raises(seed: int) -> None:
    """Single values of packing and kit replaced by strange ones, wherever the records allow it."""
    plan, random = honest(), Random(seed)
    assert plan.day is not None
    data = {
        "day": plan.day.model_dump(mode="json"),
        "kit": {"items": [], "units": [dict(one) for one in plan.kit.units]},
    }
    tried = 0
    for path in random.sample(sorted(_paths(data), key=str), 120):
        spoiled = _with(data, path, random.choice(STRANGE))
        assert isinstance(spoiled, dict)
        try:
            kit = Kit(items=plan.kit.items, units=spoiled["kit"]["units"])
            day = Day.model_validate(spoiled["day"])
        except ValidationError:
            continue
        rules_broken(plan.model_copy(update={"kit": kit, "day": day}))
        tried += 1
    assert tried > 20
