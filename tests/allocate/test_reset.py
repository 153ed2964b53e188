"""The work between two passes: what it costs, who does it, what stays."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.gear.records import AnyItem
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from tests.small import (
    accessory,
    at,
    body,
    cameras,
    head,
    person,
    position,
    reached,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    support,
    words_of,
)

MOVES = (role("before", passes=("run",), positions=("left",)),
         role("after", passes=("show",), positions=("right",)))  # fmt: skip
STAYS = (role("before", passes=("run",), positions=("front",)),
         role("after", passes=("show",), positions=("front",)))  # fmt: skip
ANN = (person("ann"),)


def brief_of(
    *items: AnyItem, gap_min: float | None = None, passes: Any = None, **parts: Any
) -> Brief:
    """Return one camera in both passes and a gap of so many minutes to work in."""
    kit = small_kit(*items, counts={"cam": 1, **parts.pop("counts", {})})
    both = passes or (run(gap_after_min=gap_min), show())
    return small_brief(kit, **{"passes": both, "crew": ANN, "roles": MOVES, **parts})


def check(brief: Brief, is_possible: bool) -> Plan:
    """Solve; where the gap is too short the two roles clash."""
    plan = solve(brief)
    assert (plan.status == "solved") == is_possible
    assert set(plan.clash) == (set() if is_possible else words_of(plan, "before", "after"))
    return plan


def work_min(plan: Plan) -> float:
    """Return the work of the only reset."""
    return plan.resets[0].work_min


# -- how much there is -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gap_min", "is_possible"), [(19.9, False), (20, True), (21, True)], ids=str
)
def test_work_fits_people_times_minutes_less_slack(gap_min: float, is_possible: bool) -> None:
    """Strike 3 + 2 at the left, build 6 + 4 at the right: 15 minutes; 20 * 0.75 = 15.0."""
    plan = check(brief_of(gap_min=gap_min), is_possible)
    if is_possible:
        assert work_min(plan) == 15


@pytest.mark.parametrize(("slack", "is_possible"), [(0.25, True), (0.26, False), (0, True)])
def test_slack_is_a_rule(slack: float, is_possible: bool) -> None:
    """20 * (1 - 0.26) = 14.8 minutes."""
    check(brief_of(gap_min=20, rules={"reset_slack": slack}), is_possible)


@pytest.mark.parametrize(("number", "is_possible"), [(1, False), (2, True)])
def test_every_pair_of_hands_counts(number: int, is_possible: bool) -> None:
    """10 minutes of gap: 7.5 person-minutes each."""
    crew = (*ANN, person("ben", is_operator=False))[:number]
    check(brief_of(gap_min=10, crew=crew), is_possible)


# Run until 16:20, doors at 19:00. Ann alone has 10 * 0.75 = 7.5 of 15 minutes.
@pytest.mark.parametrize(
    ("ben", "run_people", "show_people", "is_possible"),
    [
        ({}, None, None, True),
        ({"since": at(16, 20)}, None, None, True),
        ({"since": at(16, 21)}, None, None, False),
        ({"until": at(19)}, None, None, True),
        ({"until": at(18, 59)}, None, None, False),
        ({}, ("ann",), None, False),
        ({}, None, ("ann",), False),
        ({}, ("ann", "ben"), ("ann", "ben"), True),
    ],
    ids=[
        "there",
        "from-the-end-on",
        "a-minute-late",
        "to-the-doors",
        "a-minute-short",
        "not-in-the-run",
        "not-in-the-show",
        "in-both",
    ],
)
def test_whoever_is_there_from_end_to_doors_and_in_both_passes_works(
    ben: dict[str, Any], run_people: Any, show_people: Any, is_possible: bool
) -> None:
    """Ben is needed for half of it."""
    passes = (run(gap_after_min=10, people=run_people), show(people=show_people))
    crew = (*ANN, person("ben", **ben))
    check(brief_of(passes=passes, crew=crew), is_possible)


@pytest.mark.parametrize(
    ("doors", "available"),
    [(at(19), 120.0), (None, 165.0), (at(16, 20), 0.0)],
    ids=["doors", "no-doors", "doors-at-once"],
)
def test_without_a_gap_given_the_clock_counts_to_the_doors(doors: Any, available: float) -> None:
    """16:20 to 19:00 are 160 minutes, to the start at 20:00 220: less a quarter."""
    plan = solve(brief_of(passes=(run(), show(doors=doors)), roles=()))
    assert plan.resets[0].available_min == available


# -- what it costs ---------------------------------------------------------------------------------

RAIL = {"stands_on": "rail"}
COSTS: dict[str, tuple[tuple[AnyItem, ...], dict[str, Any], float]] = {
    "support": ((), {}, 3 + 6),
    "slider": ((support(moves=("track",)),), {}, 4 + 9),
    "dolly-that-booms": ((support(moves=("boom",)),), {}, 3 + 6),
    "arm": ((support(is_arm=True),), {}, 30 + 60),
    "rail": ((support(stands_on=("rail",)), accessory("bond")), RAIL, 6 + 12),
    "bar": ((support(stands_on=("bar",)), accessory("bond")), {"stands_on": "bar"}, 20 + 45),
    "own-minutes": ((support(setup_min=1.5, strike_min=0.5),), {}, 2),
    "two-people": ((support(people=2),), {}, 2 * (3 + 6)),
    "head-of-the-table": ((support(fitting="bowl-75"), head()), {}, 3 + 6),
    "head-with-minutes": (
        (support(fitting="bowl-75"), head(setup_min=5, strike_min=2)),
        {},
        3 + 6 + 5 + 2,
    ),
}


@pytest.mark.parametrize("name", COSTS)
def test_strike_and_build_cost_the_minutes_of_the_table_or_the_item(name: str) -> None:
    """The stand's minutes, and 2 + 4 for the camera."""
    items, facts, stand_min = COSTS[name]
    spots = (position("left", **facts), position("right", **facts))
    crew = (*ANN, person("ben"))
    plan = check(brief_of(*items, positions=spots, crew=crew), True)
    assert work_min(plan) == stand_min + 6


# -- what stays ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gap_min", "is_possible"), [(5.33, False), (5.34, True), (6, True)], ids=str
)
def test_a_rig_that_stays_costs_a_few_minutes(gap_min: float, is_possible: bool) -> None:
    """4 minutes: 5.34 * 0.75 = 4.005 are enough, 5.33 * 0.75 = 3.998 are not. Then either role
    alone is too much as well: 3 + 2 minutes to strike it, or 6 + 4 to build it.
    """
    plan = solve(brief_of(gap_min=gap_min, roles=STAYS))
    assert (plan.status == "solved") == is_possible
    assert len(plan.clash) == (0 if is_possible else 1)
    if is_possible:
        assert work_min(plan) == 4
        assert plan.resets[0].stays == ("A",)


def test_staying_is_cheaper_than_moving() -> None:
    """Two places beside each other are one viewpoint: the camera stays where it is."""
    spots = (position("front"), position("beside", at_m=(0.3, -10)))
    roles = (role(in_passes="every"),)
    plan = solve(brief_of(positions=spots, roles=roles))
    assert {p.position for p in cameras(plan, "run")} == {p.position for p in cameras(plan, "show")}
    assert reached(plan, "economy") == -(2 * 3 + 4)


def test_a_stand_that_stays_costs_nothing_whatever_stands_on_it() -> None:
    """The first camera is not lent for the show: legs stay, 2 + 4 minutes for the cameras."""
    only = body("only", mode={"clip_limit_min": 5})
    roles = (
        role("before", passes=("run",), positions=("front",)),
        role("after", passes=("show",), positions=("front",), rolls_throughout=True),
    )
    light = body("light", mode={"clip_limit_min": 5}, mass_kg=0.1)
    kit = small_kit(light, only, counts={"cam": 1})
    never = ({"pass": "run", "body": "cam"},)
    brief = small_brief(
        kit,
        passes=(run(), show()),
        positions=(position("front"),),
        crew=ANN,
        roles=roles,
        locks={"never": never},
    )
    plan = check(brief, True)
    assert work_min(plan) == 2 + 4
    assert plan.resets[0].stays == ()


def test_a_camera_does_not_stay_where_its_stand_goes() -> None:
    """Locks ask for legs in the run and for the tower in the show: all is struck and built."""
    keep = ({"pass": "run", "support": "legs"}, {"pass": "show", "support": "tower"})
    brief = brief_of(support("tower"), roles=STAYS, locks={"keep": keep}, positions=(
        position("front"),))  # fmt: skip
    plan = check(brief, True)
    assert work_min(plan) == 3 + 2 + 6 + 4


@pytest.mark.parametrize(("before", "after", "minutes"), [(2, 2, 8), (2, 1, 4 + 5), (1, 2, 4 + 10)])
def test_rigs_at_one_position_are_counted_not_numbered(
    before: int, after: int, minutes: float
) -> None:
    """The smaller of the numbers stays at 4 minutes each; the rest is struck or built."""
    roles = tuple(
        role(f"{each}-{n}", passes=(each,))
        for each, number in (("run", before), ("show", after))
        for n in range(number)
    )
    spots = (position("front", rigs=2, room_m=9),)
    never = tuple(
        {"pass": each, "person": "ben"} for each, n in (("run", before), ("show", after)) if n < 2
    )
    crew = (*ANN, person("ben"))
    # one camera too few for a second one where a pass has one role
    kit = small_kit(counts={"cam": 2})
    rules = {"minds_per_operator": 0, "minds_per_floater": 0}
    brief = small_brief(
        kit,
        positions=spots,
        passes=(run(), show()),
        crew=crew,
        roles=roles,
        rules=rules,
        locks={"never": never},
    )
    plan = check_free(brief)
    assert (len(cameras(plan, "run")), len(cameras(plan, "show"))) == (before, after)
    assert work_min(plan) == minutes


def check_free(brief: Brief) -> Plan:
    """Solve something that is possible."""
    plan = solve(brief)
    assert plan.status == "solved"
    return plan


def test_the_plan_stays_where_the_gap_is_too_short_to_move() -> None:
    """A want role at the right in the show is left where the gap takes no move; nothing clashes."""
    roles = (MOVES[0], MOVES[1].model_copy(update={"priority": "want"}))
    short, long = (solve(brief_of(gap_min=gap, roles=roles)) for gap in (19.9, 20))
    assert (reached(short, "wants"), reached(long, "wants")) == (0, 1)
    assert short.status == "solved"


def test_the_work_that_is_told_is_the_least_there_is() -> None:
    """Where reset minutes cost no points, a rig that stays still takes 4 minutes and not 15."""
    plan = solve(brief_of(roles=STAYS, rules={"reset_points": 0}))
    assert work_min(plan) == 4
