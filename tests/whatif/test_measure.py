"""What to measure first: the quick look, and plans made anew, with sums by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from kitplan.allocate.solver import Limits
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.shoot.brief import Brief
from kitplan.whatif.facts import assumed_facts
from kitplan.whatif.measure import MeasureFirst, planned_anew
from kitplan.whatif.screening import Screen, Screened, in_brief
from kitplan.whatif.sweep import STOPPED, Job, Result, result_of, run
from tests.small import SHOOT_ID, body, position, role, small_brief, small_kit, solve, support

WEAK = small_kit(body(max_iso=800), counts={"cam": 1})
"""At f/2.8 and 1/50 s ISO 250 x 7.84 / (500 x 0.02) x 2^0.3 = 241 is asked for at 500 lux, 483 at
250 lux: 0.73 stops to spare, grade 2. So a darker stage costs the full grade, no more.
"""


def brief_of(**parts: object) -> Brief:
    """Return a shoot with one position and one camera."""
    return small_brief(WEAK, positions=(position("front"),), **parts)


def screened(brief: Brief, plan: Plan) -> dict[str, Screened]:
    """Return every fact after a quick look, by its key."""
    screen = Screen(plan, brief)
    return {fact.key: screen.look_at(fact) for fact in assumed_facts(brief)}


def first_of(brief: Brief, plan: Plan, most: int = 50) -> MeasureFirst:
    """Return what to measure first, worked out in this process."""

    def anew(briefs: Sequence[tuple[str, Brief]]) -> dict[str, Result]:
        limits = Limits(seconds=2, seed=1, workers=1)
        jobs = [Job(key, each, SHOOT_ID, limits, plan) for key, each in briefs]
        return dict(run(jobs, processes=1, tell=lambda *_: None))

    looked = list(screened(brief, plan).values())
    return planned_anew("Small", brief, result_of(plan, brief), looked, most, anew)


def test_a_plan_that_stands_and_comes_to_less() -> None:
    """Darker: nothing breaks, the grade falls. Brighter: all is as it was."""
    brief = brief_of()
    looks = screened(brief, solve(brief))["light row 1"].looks
    assert [(look.broken, look.is_other) for look in looks] == [(0, True), (0, False)]
    assert looks[0].changed > 0


def test_a_plan_that_breaks() -> None:
    """An ISO limit of 200 refuses the shot outright."""
    kit = small_kit(body(max_iso=400), counts={"cam": 1})
    brief = small_brief(kit, positions=(position("front"),))
    plan = solve(brief)
    assert verify(plan) == ()
    low, high = screened(brief, plan)["iso cam"].looks
    assert low.broken == 1
    assert high.broken == 0


def test_what_changes_nothing_is_settled_without_a_search() -> None:
    """A lighter camera on legs for 10 kg; but time between passes is never settled by a look."""
    brief = brief_of()
    found = screened(brief, solve(brief))
    assert found["mass cam"].is_settled
    assert not found["light row 1"].is_settled
    assert not found["distance front"].is_settled


def test_a_plan_in_a_changed_brief_is_checked_against_it() -> None:
    """Its placements stay, its figures are those of before."""
    brief = brief_of()
    plan = solve(brief)
    darker = next(f for f in assumed_facts(brief) if f.kind == "light").ends[0].brief
    moved = in_brief(plan, darker)
    assert moved.placements == plan.placements
    assert {finding.rule for finding in verify(moved)} >= {"figure-iso", "figure-grade"}


def test_the_greatest_change_comes_first() -> None:
    """A must from a place 1 m narrower than its legs outweighs light, which costs points only."""
    places = (position("front", room_m=1.5),)
    kit = small_kit(body(max_iso=800), support(footprint_m=1.2), counts={"cam": 1})
    brief = small_brief(kit, positions=places, roles=(role(),))
    found = first_of(brief, solve(brief), most=6)
    first, second = found.first[:2]
    assert first.fact.key == "room front"
    narrow, wide = first.effects
    assert narrow.difference is not None
    assert wide.difference is not None
    assert narrow.difference.musts == -1
    assert not any(wide.difference.order)
    assert second.fact.kind in ("light", "iso")
    assert second.effects[0].difference is not None
    # grade 2 gives 60 % of 20 points
    assert second.effects[0].difference.points == pytest.approx(-8)
    assert second.effects[0].moved in (0, 1)


def test_only_the_most_promising_are_planned_with() -> None:
    """All others are only screened, and said to be."""
    brief = brief_of()
    found = first_of(brief, solve(brief), most=1)
    everything = (*found.first, *found.rest)
    assert sum(each.is_solved for each in everything) == 1
    assert {e.reason for each in found.rest for e in each.effects} == {"only screened"}


def test_what_was_stopped_is_not_called_without_effect() -> None:
    """No difference is known of it."""
    brief = brief_of()
    plan = solve(brief)

    def stopped(briefs: Sequence[tuple[str, Brief]]) -> dict[str, Result]:
        limits = Limits(seconds=1, seed=1, workers=1)
        (done,) = run([Job(briefs[0][0], brief, SHOOT_ID, limits)], processes=1, tell=print)
        return {key: Result(None, STOPPED) for key, _ in briefs} | dict([done])

    looked = list(screened(brief, plan).values())
    found = planned_anew("Small", brief, result_of(plan, brief), looked, 50, stopped)
    assert found.first == ()
    assert {e.reason for each in found.rest for e in each.effects} >= {STOPPED}


def test_a_plan_that_stands_is_an_answer() -> None:
    """A search that found less in its time than the present plan comes to is not called a loss;
    what the present plan itself comes to is one.
    """
    brief = brief_of()
    plan = solve(brief)
    standing = result_of(plan, brief)
    assert standing.figures is not None
    poor = replace(standing, figures=replace(standing.figures, points=0.0, is_proven=False))
    looked = [screened(brief, plan)["light row 1"]]
    found = planned_anew(
        "Small", brief, standing, looked, 1, lambda briefs: {key: poor for key, _ in briefs}
    )
    (light,) = (*found.first, *found.rest)
    darker, brighter = (effect.difference for effect in light.effects)
    assert darker is not None
    assert brighter is not None
    assert darker.points == pytest.approx(-8)
    assert not any(brighter.order)
    assert all(effect.moved == 0 for effect in light.effects)
