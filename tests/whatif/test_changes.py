"""The smallest change: found by solving, and making it gives what was promised."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.venue import Permission
from kitplan.whatif.changed import earlier, with_one_more, with_shoot
from kitplan.whatif.changes import (
    Repair,
    can_meet,
    key_of,
    repair_of_clash,
    repair_of_role,
    repair_of_use,
)
from kitplan.whatif.why import Inquiry
from tests.small import (
    SHOOT_ID,
    adapter,
    at,
    body,
    demand_met,
    lens,
    optic,
    person,
    position,
    reached,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
)

Parts = dict[str, Any]
ONE = {"counts": {"cam": 1}}
FRONT = (position("front"),)
ASKED = Permission(state="asked", by="the house")
WANT: Parts = {"roles": (role(priority="want"),)}


def wants(*names: str, **facts: Any) -> Parts:
    """Return want roles of the singer, the first of most weight."""
    many = len(names)
    return {
        "roles": tuple(
            role(name, priority="want", weight=many - n, **facts) for n, name in enumerate(names)
        )
    }


CASES: dict[str, tuple[Parts, Parts, str, str, str]] = {
    "permission": (
        {},
        WANT | {"positions": (position("front", permission=ASKED),)},
        "close",
        "permission",
        "permission for front",
    ),
    "open": (
        {},
        WANT | {"positions": (position("front", open_in=()),)},
        "close",
        "open",
        "front open in show",
    ),
    "unit": (ONE, wants("one", "two"), "two", "unit", "one more cam"),
    "adapter": (
        {
            "items": (body("mounted", mount="E"), lens("foreign", mount="PL"), adapter("ring")),
            "without": ("cam",),
            "foreign": "B4",
        },
        WANT | {"positions": FRONT},
        "close",
        "adapter",
        "one more adapter (ring, but for B4 on E)",
    ),
    "hours": (
        {},
        {
            "roles": (role(priority="want", manner="operated"),),
            "crew": (person("ann", since=at(19, 30)),),
            "positions": FRONT,
        },
        "close",
        "hours",
        "ann on hand in show",
    ),
    "right": (
        {},
        WANT | {"positions": (position("front", is_on_stage=True),)},
        "close",
        "right",
        "ann allowed on stage",
    ),
    "person": (
        {},
        wants("one", "two", manner="operated") | {"crew": (person("ann"),)},
        "two",
        "person",
        "one more person",
    ),
    "iso": (
        {"items": (body(max_iso=400),)},
        WANT | {"positions": FRONT, "light": ({"dim_lux": 250, "bright_lux": 1000},)},
        "close",
        "iso",
        "ISO 800 accepted of cam",
    ),
    "drop": (
        {"counts": {"cam": 2}},
        wants("one", "two") | {"positions": FRONT},
        "two",
        "drop",
        "'one' given up",
    ),
}
"""Kit, shoot, the role that is missed, and the kind and words of the cheapest change."""


def brief_of(kit: Parts, shoot: Parts) -> Brief:
    """Return the brief of a case."""
    facts = dict(kit)
    items = list(facts.pop("items", ()))
    mount = facts.pop("foreign", None)
    if mount is not None:
        items[1] = lens("foreign", mount=mount)
    return small_brief(small_kit(*items, **facts), **shoot)


def repaired(kit: Parts, shoot: Parts, role_id: str) -> tuple[Plan, Repair]:
    """Return the plan as it is and the cheapest change."""
    plan = solve(brief_of(kit, shoot))
    assert not demand_met(plan, role_id)
    repair = repair_of_role(Inquiry(plan), role_id, 30)
    assert repair is not None
    return plan, repair


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_the_cheapest_change_keeps_its_promise(case: tuple[Parts, Parts, str, str, str]) -> None:
    """Its kind and words; made and solved again, the role is filled, nothing else is lost, and the
    goals come to what was promised.
    """
    kit, shoot, role_id, kind, words = case
    plan, repair = repaired(kit, shoot, role_id)
    assert repair.change is not None
    assert (repair.change.kind, repair.change.words) == (kind, words)
    again = solve(repair.change.brief)
    assert demand_met(again, role_id)
    met = {key_of(demand) for demand in again.demands if demand.is_met}
    assert {
        key_of(demand)
        for demand in plan.demands
        if demand.is_met and demand.id not in repair.change.given_up
    } <= met
    assert repair.after == {goal.goal: goal.value for goal in again.goals}
    assert repair.before == {goal.goal: goal.value for goal in plan.goals}
    assert reached(again, "wants") == sum(
        each.weight for each in repair.change.brief.roles if demand_met(again, each.id)
    )


def test_nothing_helps() -> None:
    """A close-up that no lens reaches, and nothing to borrow: every change is proven in vain."""
    _, repair = repaired({}, {"roles": (role("tight", sizes=("ECU",), priority="want"),)}, "tight")
    assert repair.change is None
    assert not repair.is_out_of_time
    assert repair.open == ()


def test_no_time_is_said() -> None:
    """Not the same as nothing found."""
    plan = solve(brief_of({}, CASES["permission"][1]))
    repair = repair_of_role(Inquiry(plan), "close", 0)
    assert repair is not None
    assert repair.change is None
    assert repair.is_out_of_time


def test_a_filled_role_needs_nothing() -> None:
    """There is nothing to repair."""
    assert repair_of_role(Inquiry(solve(small_brief(roles=(role(),)))), "close", 1) is None


def test_a_nice_role_is_asked_for_as_a_want() -> None:
    """Two operated viewpoints are worth more than a nice locked-off double of one of them."""
    asked = (role("spare", priority="nice", manner="locked-off", positions=("front",)),)
    kit = small_kit(counts={"cam": 1})
    plan = solve(small_brief(kit, roles=asked, positions=FRONT))
    assert not demand_met(plan, "spare")
    repair = repair_of_role(Inquiry(plan), "spare", 30)
    assert repair is not None
    assert repair.change is not None
    assert (repair.change.kind, repair.change.words) == ("want", "it is asked for as a want")
    assert demand_met(solve(repair.change.brief), "spare")
    # what it costs: the one camera is locked off, 4 points instead of 10
    assert repair.after["viewpoints"] < repair.before["viewpoints"]


def test_the_repair_of_a_clash() -> None:
    """Two musts, one body: one more makes room for both."""
    asked = (role("one"), role("two"))
    plan = solve(small_brief(small_kit(counts={"cam": 1}), roles=asked))
    assert plan.status == "musts-missed"
    assert len(plan.clash) == 2
    repair = repair_of_clash(Inquiry(plan), 30)
    assert repair is not None
    assert repair.change is not None
    assert repair.change.words == "one more cam"
    assert (repair.before["musts"], repair.after["musts"]) == (-1, 0)
    again = solve(repair.change.brief)
    assert again.status == "solved"
    assert repair_of_clash(Inquiry(again), 1) is None


def test_the_next_repairs_of_a_clash() -> None:
    """Two musts, one body: beside one more body nothing that is tried makes room for both; of two
    closed positions either one opened would do.
    """
    asked = (role("one"), role("two"))
    body_missing = solve(small_brief(small_kit(counts={"cam": 1}), roles=asked))
    repair = repair_of_clash(Inquiry(body_missing), 30)
    assert repair is not None
    assert repair.others == ()
    places = (position("left", open_in=()), position("right", permission=ASKED))
    repair = repair_of_clash(Inquiry(solve(small_brief(roles=(role(),), positions=places))), 30)
    assert repair is not None
    assert repair.change is not None
    words = {repair.change.words, *repair.others}
    assert words == {"left open in show", "permission for right"}


def test_the_cheapest_way_to_use_a_thing() -> None:
    """A lock alone where it is possible; with permission where that is missing; what it costs."""
    places = (position("front"), position("left", permission=ASKED))
    kit = small_kit(body("spare", built_in=optic(stop_wide=11)), counts={"cam": 2})
    plan = solve(small_brief(kit, positions=places))
    repair = repair_of_use(Inquiry(plan), "position", "left", 30)
    assert repair.change is not None
    assert repair.change.kind == "permission"
    assert repair.change.words == "permission for left, and a lock that asks for it"
    again = solve(repair.change.brief)
    assert {placement.position for placement in again.placements} == {"front", "left"}
    assert repair.after == {goal.goal: goal.value for goal in again.goals}
    repair = repair_of_use(Inquiry(plan), "item", "spare", 30)
    assert repair.change is not None
    assert repair.change.words == "a lock that asks for it"
    # at f/11 the spare body has light for grade 1 at most: less than the camera that stays away
    assert repair.after["viewpoints"] < repair.before["viewpoints"]


def test_can_meet_asks_the_solver() -> None:
    """Both roles with two bodies, not with one; a demand that is gone cannot be met."""
    asked = (role("one"), role("two"))
    brief = small_brief(roles=asked)
    needed = frozenset(key_of(demand) for demand in solve(brief).demands)
    assert can_meet(brief, needed, 5) == "yes"
    assert can_meet(small_brief(small_kit(counts={"cam": 1}), roles=asked), needed, 5) == "no"
    assert can_meet(small_brief(roles=asked[:1]), needed, 5) == "no"


def test_altered_briefs() -> None:
    """Earlier passes move with the people who come for them; the old brief stays as it is."""
    brief = small_brief(passes=(run(), show()), crew=(person("ann", since=at(16)),))
    moved = earlier(brief, 0, 40)
    assert moved.shoot.passes[0].start == at(15, 20)
    assert moved.shoot.passes[1].start == at(20)
    assert moved.shoot.gap_min(0) == brief.shoot.gap_min(0) + 40
    assert moved.shoot.crew[0].since == at(15, 20)
    assert brief.shoot.passes[0].start == at(16)
    given = small_brief(passes=(run(gap_after_min=30), show()))
    assert earlier(given, 0, 10).shoot.gap_min(0) == 40
    more = with_one_more(brief, "cam")
    assert len(more.kit.units_by_item["cam"]) == len(brief.kit.units_by_item["cam"]) + 1
    assert with_shoot(brief, title="Other").shoot.title == "Other"
    assert SHOOT_ID in solve(more, 1).shoots


def test_a_riser_over_heads() -> None:
    """People who stand before the camera hide the singer; 0.6 m higher it looks over them."""
    near = ((-3, -9.6), (3, -9.6), (3, -9.2), (-3, -9.2))
    crowd = ({"id": "floor", "outline_m": near, "state": "standing"},)
    rules = {"heads_standing_m": 1.7, "hidden_most": 0.3, "hidden_fair": 0.3, "hidden_full": 0.3}
    plan, repair = repaired(
        {"items": (body(built_in=optic(focal_min_mm=80)),)},
        WANT | {"positions": FRONT, "audience": crowd, "rules": rules},
        "close",
    )
    assert repair.change is not None
    assert repair.change.kind == "riser"
    assert repair.change.words.startswith("front raised by 0.")
    assert demand_met(solve(repair.change.brief), "close")
    assert not demand_met(plan, "close")
