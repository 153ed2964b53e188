"""Allocation and work between passes agree: what does not fit goes back, and is planned again.

The want is a tracking move from `left`, which is open in the closed run alone: whatever tracks
there has to be struck. The rail takes 18.5 min and the camera 2; 20 min are there. By
person-minutes three people have 45 of which 20.5 + 10 are wanted, so that the allocation alone sees
nothing wrong.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from typing import Any

import pytest

from kitplan.allocate.search import Found, Limits
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.produce.day import with_day
from kitplan.produce.rounds import ROUNDS, ROUNDS_LOOKED_AT, Shares, plan_that_fits
from kitplan.produce.solve import NoPlanInTime, Seen, plan_shoot, solve_shoot
from kitplan.produce.whole import solved_whole
from kitplan.shoot.brief import Brief
from kitplan.shoot.nogoods import NoGood, StandMove
from tests.small import (
    SHOOT_ID,
    items_used,
    person,
    position,
    role,
    run,
    show,
    small_brief,
    small_kit,
    support,
)

RAIL = support("rail", moves=("track",), setup_min=1, strike_min=18.5)
LONG_RAIL = support("long-rail", moves=("track",), setup_min=1, strike_min=19)


def brief_of(gap_min: float, *more: Any) -> Brief:
    """Return the shoot with so long a gap."""
    moving = role("moving", priority="want", moves=("track",), manner="operated", passes=("run",))
    return small_brief(
        small_kit(RAIL, *more),
        positions=(position("left", open_in=("run",)), position("front", open_in=("show",))),
        passes=(run(gap_after_min=gap_min), show()),
        crew=(person("ann"), person("ben"), person("cy", is_operator=False)),
        roles=(moving, role("close", passes=("show",))),
    )


def planner(plans: list[Plan]) -> Callable[[Brief], Plan]:
    """Return a function that plans, and keeps each plan."""

    def plan(brief: Brief) -> Plan:
        limits = Limits(seconds=5, seed=1, workers=1)
        plans.append(plan_shoot(brief, shoot_id=SHOOT_ID, limits=limits))
        return plans[-1]

    return plan


def test_what_fits_is_planned_once() -> None:
    plans: list[Plan] = []
    plan = plan_that_fits(brief_of(40), planner(plans))
    assert "rail" in items_used(plan, "run")
    assert plan.day is not None
    assert plan.day.work is not None
    assert plan.day.work.rounds == len(plans) == 1
    assert verify(plan) == ()


def test_what_does_not_fit_is_planned_again() -> None:
    """Both rails are ruled out at once: the long one takes even longer."""
    plans: list[Plan] = []
    told: list[NoGood] = []
    plan = plan_that_fits(brief_of(20, LONG_RAIL), planner(plans), tell=told.append)
    assert items_used(plans[0], "run") & {"rail", "long-rail"}
    assert not items_used(plan, "run") & {"rail", "long-rail"}
    (no_good,) = told
    assert no_good.is_proven
    assert [(move.kind, move.position) for move in no_good.moves] == [("strike", "left")]
    assert {("long-rail",)} <= set(no_good.moves[0].stands) <= {("rail",), ("long-rail",)}
    assert "Striking camera A at left" in no_good.words
    assert "20 min are there" in no_good.words
    assert plan.day is not None
    assert plan.day.work is not None
    assert plan.day.work.rounds == len(plans) == 2
    assert all(not gap.reason for gap in plan.day.work.gaps)
    assert verify(plan) == ()


def test_a_good_answer_that_no_plan_may_give_breaks_the_round_off() -> None:
    """The day is worked out once, for the plan that fits; the rail is given up as ever."""
    days: list[Plan] = []

    def with_work(plan: Plan) -> Plan:
        days.append(plan)
        return with_day(plan)

    told: list[NoGood] = []
    solved = solved_whole(
        brief_of(20, LONG_RAIL),
        SHOOT_ID,
        Limits(seconds=5, seed=1, workers=1),
        searching=lambda: nullcontext(lambda _: None),
        tell_again=told.append,
        add_day=with_work,
    )
    assert len(days) == 1
    (no_good,) = told
    assert no_good.is_proven
    assert not items_used(solved.plan, "run") & {"rail", "long-rail"}
    assert solved.plan.day is not None
    assert solved.plan.day.work is not None
    assert solved.plan.day.work.rounds == 2
    assert verify(solved.plan) == ()
    again = plan_that_fits(brief_of(20, LONG_RAIL), planner([]))
    assert [goal.value for goal in solved.plan.goals] == [goal.value for goal in again.goals]


def test_the_last_rounds_are_not_broken_off() -> None:
    """An answer that is never right would otherwise never become a plan."""
    shares = Shares(SHOOT_ID, Limits(seconds=10, workers=1))
    brief = brief_of(20)
    assert shares.look_of(brief) is not None
    late = no_good_of(round=ROUNDS_LOOKED_AT)
    shoot = brief.shoot.model_copy(update={"no_goods": (late,)})
    assert shares.look_of(Brief(shoot, brief.kit)) is None
    assert ROUNDS_LOOKED_AT < ROUNDS


def test_where_nothing_has_to_fit_nothing_is_looked_at() -> None:
    """Without a gap between passes, or where their work is left out."""
    limits = Limits(workers=1)
    assert Shares(SHOOT_ID, limits).look_of(small_brief(passes=(show(),))) is None
    assert Shares(SHOOT_ID, limits, has_work=False).look_of(brief_of(20)) is None


def test_all_rounds_share_the_time_asked_for() -> None:
    """What is left of it, and a fifth in any case."""
    shares = Shares(SHOOT_ID, Limits(seconds=10, workers=1))
    found = []
    for spent_s in (6.0, 3.0, 5.0):
        found.append(shares.limits.seconds)
        shares.spend(Found(spent_s=spent_s))
    assert [*found, shares.limits.seconds] == [10, 4, 2, 2]


def test_an_answer_that_does_not_fit_as_it_is_leaves_time_for_another_round(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Half of what is left after one of ten seconds."""
    monkeypatch.setattr("kitplan.produce.rounds.proven_no_goods", lambda *_: iter(()))
    shares = Shares(SHOOT_ID, Limits(seconds=10, workers=1))
    brief = brief_of(20)
    solved = solve_shoot(brief, shoot_id=SHOOT_ID, limits=Limits(seconds=5, seed=1, workers=1))
    plan = solved.plan
    assert "rail" in items_used(plan, "run")
    look = shares.look_of(brief)
    assert look is not None
    seen = Seen(plan.placements, (), solved.options, Found(spent_s=1.0), shares.limits)
    assert look(seen).seconds == pytest.approx(5.5)
    roomy = shares.look_of(brief_of(40))
    assert roomy is not None
    assert roomy(seen) == shares.limits


def test_giving_up_says_what_does_not_fit() -> None:
    plan = plan_that_fits(brief_of(20), planner([]), rounds=1)
    assert plan.day is not None
    assert plan.day.work is not None
    (gap, _) = plan.day.work.gaps
    assert gap.is_too_short
    assert "Striking camera A at left (rail) takes 21 min at least" in gap.reason
    assert gap.end_s > 20 * 60, "what there is to do is shown all the same"
    assert verify(plan) == ()


def test_without_another_plan_the_last_one_is_returned() -> None:
    plans: list[Plan] = []
    first = planner(plans)

    def once(brief: Brief) -> Plan:
        if plans:
            raise NoPlanInTime("none", where="here", fix="More time")
        return first(brief)

    plan = plan_that_fits(brief_of(20), once)
    assert plan.day is not None
    assert plan.day.work is not None
    assert plan.day.work.gaps[0].is_too_short


def test_no_plan_at_all_is_an_error() -> None:
    def never(_: Brief) -> Plan:
        raise NoPlanInTime("none", where="here", fix="More time")

    with pytest.raises(NoPlanInTime):
        plan_that_fits(brief_of(20), never)


def no_good_of(**parts: Any) -> NoGood:
    """Return that the rail may not be struck."""
    rail = StandMove(kind="strike", position="left", stands=(("rail",),))
    facts = {"after": "run", "before": "show", "moves": (rail,), "is_proven": True}
    return NoGood(**{**facts, "words": "Too long", "gap_min": 40, "crew": ("ann",), **parts})


def test_a_no_good_is_told_apart_from_what_was_asked_for() -> None:
    """A plan that asks for what it says it may not is found out."""
    plan = plan_that_fits(brief_of(40), planner([]))
    shoot = plan.shoots[SHOOT_ID]
    no_good = no_good_of()
    shoots = {SHOOT_ID: shoot.model_copy(update={"no_goods": (no_good,)})}
    rules = {finding.rule for finding in verify(plan.model_copy(update={"shoots": shoots}))}
    assert rules == {"no-good", "work-rounds"}


def test_in_later_rounds_the_work_as_a_whole_is_ruled_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where single moves never end: no more than four fifths of what was too much."""
    monkeypatch.setattr("kitplan.produce.rounds.ROUNDS_BY_MOVES", 0)
    told: list[NoGood] = []
    plans: list[Plan] = []
    plan = plan_that_fits(brief_of(20), planner(plans), tell=told.append)
    caps = [each for each in told if each.most_work_min is not None]
    assert [each.most_work_min for each in caps] == [round(0.8 * plans[0].resets[0].work_min, 1)]
    assert not caps[0].is_proven
    assert plan.resets[0].work_min <= 0.8 * plans[0].resets[0].work_min
    assert verify(plan) == ()
    # the first plan asks for more than that, and says so
    shoots = {SHOOT_ID: plan.shoots[SHOOT_ID].model_copy(update={"no_goods": tuple(caps)})}
    spoilt = plans[0].model_copy(update={"shoots": shoots, "day": plan.day})
    assert "no-good" in {finding.rule for finding in verify(spoilt)}
