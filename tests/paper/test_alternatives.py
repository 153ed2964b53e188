"""Alternatives on paper: what moves, what it costs, how sure that is."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.paper.alternatives import alternatives_records, alternatives_text
from kitplan.plan.alternatives import Alternative, Alternatives, Ending
from kitplan.plan.records import Plan
from tests.small import position, small_brief, small_kit, solve

FRONT, LEFT = position("front", name="Pit"), position("left", name="Wing")
ONE = small_kit(counts={"cam": 1})


def plan_at(*positions: Any) -> Plan:
    """Return the plan of a camera at each of some positions of one and the same venue."""
    kit = small_kit(counts={"cam": len(positions)})
    plan = solve(small_brief(kit, positions=positions))
    shoot = small_brief(ONE, positions=(FRONT, LEFT)).shoot
    return plan.model_copy(update={"shoots": {"small": shoot}})


def with_goals(plan: Plan, **changed: dict[str, Any]) -> Plan:
    """Return a plan with other figures of some goals."""
    goals = tuple(goal.model_copy(update=changed.get(goal.goal, {})) for goal in plan.goals)
    return plan.model_copy(update={"goals": goals})


def text_of(
    first: Plan, *others: Plan, ending: Ending = "all-found", is_proven: bool = False
) -> str:
    """Return the page without line breaks."""
    found = tuple(Alternative(other, is_proven=is_proven) for other in others)
    page = alternatives_text(Alternatives(first, found, ending), has_table=True)
    return " ".join(page.split())


def test_a_camera_elsewhere_at_no_cost() -> None:
    """Named by its places; what is not proven is not called so."""
    words = text_of(plan_at(FRONT), plan_at(LEFT))
    assert (
        "Alternative 1: 1 of 1 camera stands elsewhere (show: Wing instead of Pit); nothing else "
        "gained or lost; the most different found." in words
    )
    assert "* Pit A: singer MS" in words
    assert "* Wing A: singer MS" in words


def test_what_is_proven_is_called_so() -> None:
    """As different as possible."""
    assert "proven as different as possible" in text_of(
        plan_at(FRONT), plan_at(LEFT), is_proven=True
    )


def test_a_camera_more_or_less_is_said() -> None:
    """Somewhere nobody stands any more, or somebody as well."""
    both = plan_at(FRONT, LEFT)
    assert "1 of 2 cameras stands elsewhere (show: nobody at Wing)" in text_of(both, plan_at(FRONT))
    assert "(show: also Wing)" in text_of(plan_at(FRONT), both)


def test_what_it_costs_in_the_order_of_goals() -> None:
    """Better ones, worse ones; reset work in steps of five minutes."""
    first, other = plan_at(FRONT), plan_at(LEFT)
    first = with_goals(
        first,
        variety={"value": 7.0},
        quality={"value": -4.0},
        economy={"parts": {"reset tenths": 300.0, "grams": 9400.0, "lens changes": 0.0}},
    )
    other = with_goals(
        other,
        variety={"value": 8.0},
        quality={"value": -7.0},
        economy={"parts": {"reset tenths": 480.0, "grams": 7000.0, "lens changes": 1.0}},
    )
    words = text_of(first, other)
    assert (
        "variety of subjects, sizes, angles of view 8 instead of 7, picture quality 3 marks worse, "
        "20 more person-minutes of reset work, 2 fewer kilograms to bring and 1 more lens change"
        in words
    )


@pytest.mark.parametrize(
    ("ending", "none", "fewer"),
    [
        ("none-left", "There is none: proven", "There is no other: proven"),
        ("none-found", "No other plan as good was found", "No other plan as good was found"),
        ("stopped", "Stopped before one was found", "Stopped before another was found"),
    ],
)
def test_why_there_are_no_more(ending: Ending, none: str, fewer: str) -> None:
    """Proof and lack of time are told apart."""
    first = plan_at(FRONT)
    assert none in text_of(first, ending=ending)
    assert "Where cameras stand" not in text_of(first, ending=ending)
    assert fewer in text_of(first, plan_at(LEFT), ending=ending)


def moved(plan: Plan, *position_ids: str) -> Plan:
    """Return a plan with a camera at each of some positions of a venue that has six."""
    spots = tuple(position(f"p{number}", name=f"P{number}") for number in range(1, 7))
    (placement,) = plan.placements
    return plan.model_copy(
        update={
            "shoots": {"small": small_brief(ONE, positions=spots).shoot},
            "placements": tuple(
                placement.model_copy(update={"position": each}) for each in position_ids
            ),
        }
    )


def test_rigs_of_one_position_are_counted() -> None:
    """Not listed one by one."""
    plan = plan_at(FRONT)
    words = text_of(moved(plan, "p1", "p1"), moved(plan, "p2", "p3"))
    assert "2 of 2 cameras stand elsewhere (show: P2 and P3 instead of P1 (2 rigs))" in words


def test_long_lists_of_places_are_cut() -> None:
    """Four are named, of five the first three."""
    plan = plan_at(FRONT)
    five = moved(plan, "p2", "p3", "p4", "p5", "p6")
    assert "(show: also P3, P4, P5 and P6)" in text_of(moved(plan, "p2"), five)
    assert "(show: P2, P3, P4 and 2 more instead of P1)" in text_of(moved(plan, "p1"), five)


def test_names_are_short_where_that_is_clear() -> None:
    """Up to the comma, unless two places begin alike."""
    plan, other = plan_at(FRONT), plan_at(LEFT)
    for names, words in {
        ("Pit, by the door", "Wing, upstairs"): "(show: Wing instead of Pit)",
        ("Wing, by the door", "Wing, upstairs"): (
            "(show: Wing, upstairs instead of Wing, by the door)"
        ),
    }.items():
        spots = tuple(
            position(each, name=n) for each, n in zip(("front", "left"), names, strict=True)
        )
        shoots = {"small": small_brief(ONE, positions=spots).shoot}
        assert words in text_of(*(p.model_copy(update={"shoots": shoots}) for p in (plan, other)))


def test_without_alternatives_there_is_nothing_to_record() -> None:
    """But why."""
    data = alternatives_records(Alternatives(plan_at(FRONT), (), "none-left"), [])
    assert (data["ending"], data["found"]) == ("none-left", [])
