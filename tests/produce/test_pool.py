"""Two shoots from one pool: who gets what, worked out by hand and against every division."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from kitplan.allocate.search import Limits
from kitplan.gear.history import Booking
from kitplan.gear.store import Store
from kitplan.paper.pool import pool_record, pool_text
from kitplan.plan.pool import Apart, Shared, Way
from kitplan.plan.records import Plan
from kitplan.plan.spoken_for import spoken_for
from kitplan.plan.verify import verify
from kitplan.produce.pool import plan_two, values_of
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from tests.oracle import Values
from tests.produce.pairs import best_division, judged, random_pair
from tests.small import (
    at,
    body,
    items_used,
    optic,
    person,
    position,
    role,
    show,
    small_brief,
    small_kit,
)

LIMITS = Limits(seconds=10, seed=1, workers=1)
WAYS: tuple[Way, ...] = ("in-order", "balanced")
FRONT = (position("front"),)
LONG = body("long", built_in=optic(focal_max_mm=250), mass_kg=0.5)
"""Takes closer shots than the other body, and is lighter: alone everybody would take it."""
ONE_EACH = {"cam": 1, "long": 1}


def shared(first: Brief, second: Brief, way: Way = "in-order") -> Shared:
    """Plan two shoots."""

    def solve(brief: Brief, shoot_id: str, start: Any) -> Plan:
        return plan_shoot(brief, shoot_id=shoot_id, limits=LIMITS, start=start)

    return plan_two((first, second), ("one", "two"), way, LIMITS, solve=solve, finish=solve)


def shoot(title: str, **parts: Any) -> Brief:
    """Return a show at one position with the two bodies; somebody minds, nobody operates."""
    kit = parts.pop("kit", None) or small_kit(body("cam"), LONG, counts=ONE_EACH)
    crew = (person(f"{title}-minder", is_operator=False),)
    return small_brief(kit, title=title, **{"positions": FRONT, "crew": crew, **parts})


def five(plan: Plan) -> Values:
    """Return what a plan comes to down to variety."""
    values = values_of(plan)
    return Values(*(values[goal] for goal in Values._fields))


def used(plan: Plan) -> set[str]:
    """Return the bodies that a plan uses."""
    return {p.rig.body for p in plan.placements}


@cache
def given_back() -> Shared:
    """The first show would take the light long body, but any will do; the second one needs it."""
    return shared(shoot("First", roles=(role(),)), shoot("Second", roles=(role(sizes=("CU",)),)))


def test_the_first_gives_back_what_it_does_not_need() -> None:
    """It stays as good as alone down to variety, one kilogram heavier; the second has its must."""
    found = given_back()
    assert used(found.alone[0]) == {"long-1"}
    assert [used(plan) for plan in found.plans] == [{"cam-1"}, {"long-1"}]
    assert five(found.plans[0]) == five(found.alone[0])
    assert five(found.plans[1]) == five(found.alone[1])
    assert found.steps
    assert all(step.value == step.bound for step in found.steps)


def test_both_plans_hold_and_can_both_be_booked() -> None:
    """Each carries what the other has as days away; no unit is in both."""
    found = given_back()
    assert [verify(plan) for plan in found.plans] == [(), ()]
    first, second = ({each.unit for each in spoken_for(plan)} for plan in found.plans)
    assert not first & second
    own = {unit.id: unit for unit in found.plans[1].kit.units}
    assert str(own["cam-1"].away[0]) == "planned for First until 1 May 2027"
    with Store.in_memory(small_kit(body("cam"), LONG, counts=ONE_EACH)) as store:
        for name, plan in zip(("one", "two"), found.plans, strict=True):
            booking = Booking(id=name, title=plan.title, plan=name, booked=spoken_for(plan))
            assert store.bookings.book(booking) is None


def test_a_plan_that_takes_from_the_other_does_not_hold() -> None:
    """Tampered with: the second plan takes the body that is planned for the first."""
    plan = given_back().plans[1]
    (placement,) = plan.placements
    rig = placement.rig.model_copy(update={"body": "cam-1"})
    spoilt = plan.model_copy(update={"placements": (placement.model_copy(update={"rig": rig}),)})
    assert "unit-not-free" in {finding.rule for finding in verify(spoilt)}


@pytest.mark.parametrize(("way", "missed"), [("in-order", [0, 1]), ("balanced", [0, 0])])
def test_balanced_no_must_is_missed_for_a_want(way: Way, missed: list[int]) -> None:
    """The first wants the long body, the second must have it: in order the want comes first."""
    want = role("face", sizes=("CU",), priority="want")
    must = role(sizes=("CU",))
    found = shared(shoot("First", roles=(want,)), shoot("Second", roles=(must,)), way)
    assert [-five(plan).musts for plan in found.plans] == missed


def test_enough_for_both_is_not_divided() -> None:
    """Two of each body: both are as good as alone, and nothing is searched for further."""
    kit = small_kit(body("cam"), LONG, counts={"cam": 2, "long": 2})
    first, second = (shoot(title, kit=kit, roles=(role(),)) for title in ("First", "Second"))
    found = shared(first, second)
    assert found.steps is None
    assert list(map(values_of, found.plans)) == list(map(values_of, found.alone))
    assert "Nothing to divide" in pool_text(found)


@pytest.mark.parametrize(("travel_days", "bodies"), [(0, {"long-1"}), (1, {"cam-1"})])
def test_other_days_share_everything(travel_days: int, bodies: set[str]) -> None:
    """Two days apart; with a day on the road for each of them they clash."""
    wanted = {"roles": (role(sizes=("CU",)),), "travel_days": travel_days}
    later = show(start=at(20, day=3), doors=at(19, day=3))
    found = shared(shoot("First", **wanted), shoot("Second", passes=(later,), **wanted))
    assert used(found.plans[0]) == {"long-1"}
    assert used(found.plans[1]) == bodies


def test_nobody_films_in_two_places() -> None:
    """Ann is in both crews: on the common day she is with the first one."""
    kit = small_kit(body("cam"), LONG, counts={"cam": 2, "long": 2})
    crew = (person("ann"), person("bo", is_operator=False))
    first = shoot("First", kit=kit, crew=crew)
    second = shoot("Second", kit=kit, crew=(person("ann"), person("cy", is_operator=False)))
    found = shared(first, second)
    assert found.apart == (Apart("ann", (at(20).date(),)),)
    who = [{p.operator for p in plan.placements} for plan in found.plans]
    assert who == [{"ann"}, {None}]
    assert "ann is in both crews and films for First on 1 May 2027" in pool_text(found)
    assert pool_record(found)["in_both_crews"] == [{"person": "ann", "days": ["2027-05-01"]}]


def test_the_page_says_what_sharing_costs() -> None:
    """Each beside what it could have alone, and what is proven."""
    text = " ".join(pool_text(given_back()).split())
    assert "First is as good as alone, down to variety" in text
    assert "Proven best: what Second has beside it." in text
    assert "cam" in items_used(given_back().plans[0], None)


def _agrees(seed: int, way: Way) -> None:
    pair = random_pair(seed)
    found = shared(*pair, way)
    alone, now = (tuple(map(five, plans)) for plans in (found.alone, found.plans))
    assert [verify(plan) for plan in found.plans] == [(), ()]
    assert judged(way, alone[:2], now[:2]) == best_division(pair, way)  # type: ignore[arg-type]


def test_no_division_is_better() -> None:
    """A random pair against every way to divide its units, each half searched exhaustively."""
    _agrees(1, "balanced")


@pytest.mark.long
@pytest.mark.parametrize("seed", range(1, 41))
@pytest.mark.parametrize("way", WAYS)
def test_no_division_is_better_in_many_pairs(seed: int, way: Way) -> None:
    """The same for many pairs."""
    _agrees(seed, way)
