"""Rules of the stock: slots, units, owners, what rigs depend on."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from tests.small import (
    accessory,
    adapter,
    at,
    body,
    cameras,
    head,
    items_used,
    lens,
    operators,
    person,
    places,
    position,
    reached,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    support,
    unit,
    words_of,
)

FRONT = position("front")
TWO = (role("one"), role("two"))
"""Two must roles that two placements have to do."""


def check(brief: Brief, is_possible: bool, *role_ids: str) -> Plan:
    """Solve; where it is not possible these roles alone clash."""
    plan = solve(brief)
    assert (plan.status == "solved") == is_possible
    assert set(plan.clash) == (set() if is_possible else words_of(plan, *role_ids))
    return plan


# -- slots (R) -------------------------------------------------------------------------------------


@pytest.mark.parametrize(("rigs", "is_possible"), [(1, False), (2, True), (3, True)])
def test_a_position_holds_so_many_rigs(rigs: int, is_possible: bool) -> None:
    """Two roles at one position take two rigs."""
    brief = small_brief(positions=(position("front", rigs=rigs, room_m=9),), roles=TWO)
    check(brief, is_possible, "one", "two")


@pytest.mark.parametrize(
    ("room_m", "is_possible"), [(1.99, False), (2.0, True), (2.01, True)], ids=str
)
def test_supports_share_the_room(room_m: float, is_possible: bool) -> None:
    """Two legs of 1 m each beside each other."""
    brief = small_brief(positions=(position("front", rigs=2, room_m=room_m),), roles=TWO)
    check(brief, is_possible, "one", "two")


def test_narrow_supports_are_taken_where_the_room_is_short() -> None:
    """1.5 m hold the light legs of 1 m and a heavy pole of 0.5 m, not two light ones."""
    kit = small_kit(support("pole", footprint_m=0.5, mass_kg=5))
    brief = small_brief(kit, positions=(position("front", rigs=2, room_m=1.5),), roles=TWO)
    assert {"legs", "pole"} <= items_used(check(brief, True))


# -- units (U) -------------------------------------------------------------------------------------

HEADED = (support(fitting="bowl-75"), head())
ADAPTED = (body(mount="E"), lens(mount="PL"), adapter())


@pytest.mark.parametrize(
    ("item", "items"),
    [
        ("cam", ()),
        ("legs", ()),
        ("zoom", (body(mount="E"), lens())),
        ("zoom", ADAPTED),
        ("ring", ADAPTED),
        ("fluid", HEADED),
    ],
    ids=["body", "support", "lens", "adapted-lens", "adapter", "head"],
)
@pytest.mark.parametrize(("number", "is_possible"), [(1, False), (2, True), (3, True)])
def test_no_item_is_used_more_often_than_it_has_units(
    item: str, items: tuple[Any, ...], number: int, is_possible: bool
) -> None:
    """Two roles take two of everything."""
    kit = small_kit(*items, counts={"zoom": 9, "ring": 9, "fluid": 9, item: number})
    check(small_brief(kit, roles=TWO), is_possible, "one", "two")


def test_fewer_units_mean_fewer_viewpoints() -> None:
    """Without must roles a missing unit costs its 10 points in both songs."""
    many, few = (solve(small_brief(small_kit(counts={"cam": number}))) for number in (2, 1))
    assert (reached(many, "viewpoints"), reached(few, "viewpoints")) == (40, 20)


@pytest.mark.parametrize(
    ("until", "is_possible"),
    [(date(2027, 4, 30), False), (date(2027, 5, 1), True), (date(2027, 5, 2), True)],
    ids=["the-day-before", "that-day", "the-day-after"],
)
def test_a_unit_is_lent_until_a_day(until: date, is_possible: bool) -> None:
    """The second unit counts only on days on which its owner lends it."""
    kit = small_kit(units=(unit("cam", 1), unit("cam", 2, available_until=until)))
    check(small_brief(kit, roles=TWO), is_possible, "one", "two")


def test_a_unit_that_comes_on_the_second_day_films_on_that_day_only() -> None:
    """On the first day there is no camera, and the second pass is filmed."""
    late = unit("cam", available_from=date(2027, 5, 2))
    kit = small_kit(body("dark", max_iso=101), units=(late,))  # a camera that sees nothing
    passes = (run(), show(start=at(20, day=2), doors=at(19, day=2)))
    plan = solve(small_brief(kit, passes=passes))
    assert (len(cameras(plan, "run")), len(cameras(plan, "show"))) == (0, 1)


# -- owners (U, owner_only) ------------------------------------------------------------------------


def _owned(*others: Any, item: str = "cam", crew: tuple[str, ...], **parts: Any) -> Brief:
    """A shoot in which a unit of `item` may be operated by Ben only."""
    own = unit(item, 9, owner="ben", owner_only=True)
    people = tuple(map(person, crew))
    return small_brief(small_kit(units=(own, *others)), crew=people, **parts)


@pytest.mark.parametrize("item", ["cam", "legs"])
def test_an_owners_unit_is_operated_by_its_owner(item: str) -> None:
    """One role, one unit: Ben does it, though Ann is there as well."""
    plan = check(_owned(item=item, crew=("ann", "ben"), roles=(role(),)), True)
    assert operators(plan) == {"ben"}


@pytest.mark.parametrize("item", ["cam", "legs"])
@pytest.mark.parametrize(
    ("crew", "manner", "is_possible"),
    [(("ann",), "either", False), (("ben",), "either", True), (("ben",), "locked-off", False)],
    ids=["owner-away", "owner-there", "locked-off"],
)
def test_an_owners_unit_stays_in_its_case_without_the_owner(
    item: str, crew: tuple[str, ...], manner: str, is_possible: bool
) -> None:
    """Neither another operator nor nobody may run it."""
    check(_owned(item=item, crew=crew, roles=(role(manner=manner),)), is_possible, "close")


@pytest.mark.parametrize(
    ("crew", "is_possible"), [(("ann", "cleo"), False), (("ann", "ben"), True)]
)
def test_an_owners_unit_adds_to_those_for_all(crew: tuple[str, ...], is_possible: bool) -> None:
    """Two operated roles take the unit for all and Ben's with Ben."""
    roles = tuple(role(name, manner="operated") for name in ("one", "two"))
    check(_owned(unit("cam"), crew=crew, roles=roles), is_possible, "one", "two")


def test_one_owner_counts_once_for_two_units() -> None:
    """Ben owns both cameras and operates one at a time: the other stays unused."""
    own = unit("cam", 8, owner="ben", owner_only=True)
    plan = solve(_owned(own, crew=("ann", "ben")))
    assert [placement.operator for placement in cameras(plan)] == ["ben"]


def test_the_owner_performs_somewhere_else() -> None:
    """Ben cannot operate at a position he may not be at: his camera goes where he may."""
    spots = (position("front", only_people=("ann",)), position("left"))
    assert places(solve(_owned(crew=("ann", "ben"), positions=spots))) == {"left"}


# -- what rigs depend on (N) -----------------------------------------------------------------------

KEEPER = {"state": "given", "by": "the keeper"}
RIGGERS = (person("ann", skills=("rigging",)), person("ben"))
LOCKED: dict[str, Any] = {"manner": "locked-off"}
Setup = dict[str, Any]
NEEDS: dict[str, tuple[str, int, Setup]] = {
    "plate-of-the-support": ("plate", 1, {"items": (support(plate="slide"),)}),
    "plate-of-the-head": (
        "plate",
        1,
        {"items": (support(fitting="bowl-75", plate="other"), head(plate="slide"))},
    ),
    "bond-overhead": (
        "bond",
        1,
        {"front": {"is_overhead": True, "permission": KEEPER}, "crew": RIGGERS},
    ),
    "sandbag-on-tall-legs": ("sandbag", 1, {"front": {"lens_height_m": 1.81}}),
    "sandbags-on-an-arm": ("sandbag", 2, {"items": (support(is_arm=True),)}),
    "sandbag-unattended": ("sandbag", 1, {"front": {"has_public": True}, "role": LOCKED}),
    "sandbag-outdoors": ("sandbag", 1, {"front": {"is_outdoors": True}}),
    "lead-for-the-body": (
        "mains-lead",
        1,
        {"items": (body(runs_on_mains=True),), "front": {"has_mains": True}},
    ),
    "lead-for-the-support": (
        "mains-lead",
        1,
        {"items": (support(needs_mains=True),), "front": {"has_mains": True}},
    ),
    "lead-for-the-head": (
        "mains-lead",
        1,
        {
            "items": (support(fitting="bowl-75"), head(needs_mains=True)),
            "front": {"has_mains": True},
        },
    ),
}
"""What it serves, how many a rig takes, and the shoot in which it takes them."""


def _in_need(name: str, number: int | None, *, other: bool = False) -> Brief:
    """The shoot of a need with so many things that serve it, or with none in the kit's list.

    Args:
        other: Whether a left position without the need would do as well.
    """
    serves, _, setup = NEEDS[name]
    thing = accessory(serves, "slide" if serves == "plate" else None)
    listed = () if number is None else (thing,)
    extra = (body("spare", mass_kg=5), support("tower", mass_kg=9)) if other else ()
    kit = small_kit(*setup.get("items", ()), *listed, *extra, counts={serves: number or 0})
    spots = (position("front", **setup.get("front", {})),)
    facts = {"positions": spots, "crew": setup.get("crew", RIGGERS)}
    if other:
        facts["positions"] = (*spots, position("left"))
    return small_brief(kit, roles=(role(**setup.get("role", {})),), **facts)


@pytest.mark.parametrize("name", NEEDS)
def test_a_need_is_met_just_so(name: str) -> None:
    """As many as the rig takes are enough, and they are handed out."""
    serves, count, _ = NEEDS[name]
    plan = check(_in_need(name, count), True)
    (placement,) = cameras(plan)
    assert len(placement.accessories) == count
    assert serves in items_used(plan)


@pytest.mark.parametrize("name", NEEDS)
def test_a_need_that_is_not_met_makes_the_role_impossible(name: str) -> None:
    """One too few."""
    count = NEEDS[name][1]
    check(_in_need(name, count - 1), False, "close")


@pytest.mark.parametrize("name", NEEDS)
def test_a_need_that_is_not_met_moves_the_rig(name: str) -> None:
    """With other gear and another position the role is done without the need."""
    count = NEEDS[name][1]
    plan = check(_in_need(name, count - 1, other=True), True)
    assert NEEDS[name][0] not in items_used(plan)


@pytest.mark.parametrize("name", NEEDS)
def test_only_bonds_and_plates_are_needed_where_the_kit_lists_none(name: str) -> None:
    """A kit that lists no sandbags is not held to them."""
    check(_in_need(name, None), NEEDS[name][0] not in ("bond", "plate"), "close")


@pytest.mark.parametrize(("height_m", "is_possible"), [(1.79, True), (1.8, True), (1.81, False)])
def test_legs_are_tall_above_the_limit(height_m: float, is_possible: bool) -> None:
    """A lens at 1.8 m still needs no sandbag."""
    kit = small_kit(accessory("sandbag"), counts={"sandbag": 0})
    spots = (position("front", lens_height_m=height_m),)
    check(small_brief(kit, positions=spots, roles=(role(),)), is_possible, "close")


def test_a_plate_of_another_system_does_not_serve() -> None:
    """The plate must be of the system of the head."""
    kit = small_kit(support(plate="slide"), accessory("plate", "other"))
    check(small_brief(kit, roles=(role(),)), False, "close")


def test_sandbags_of_two_reasons_are_counted_together() -> None:
    """Tall legs outdoors take 1 + 1 sandbags; the kit has one."""
    kit = small_kit(accessory("sandbag"))
    spots = (position("front", lens_height_m=1.9, is_outdoors=True),)
    check(small_brief(kit, positions=spots, roles=(role(),)), False, "close")


def test_sandbags_of_two_placements_are_counted_together() -> None:
    """One for tall legs at the front, one for the legs outdoors; the kit has one."""
    kit = small_kit(accessory("sandbag"))
    spots = (position("front", lens_height_m=1.9), position("left", is_outdoors=True))
    check(small_brief(kit, positions=spots, roles=TWO), False, "one", "two")
