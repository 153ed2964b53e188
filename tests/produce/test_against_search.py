"""The solver against an exhaustive search: the same best values, goal by goal, on random shoots.

The search asks every rule of the independent checker and shares nothing with the solver but the
records. Economy and quality are left to the checks of figures: they break ties of placements by the
thousand, which an exhaustive search cannot afford.
"""

from __future__ import annotations

from collections import Counter
from functools import cache

import pytest

from kitplan.allocate.search import Limits
from kitplan.gear.checks import faults
from kitplan.plan.records import Plan
from kitplan.plan.verify import SHOWN_PER_WHOLE, Scene, count_best, goal_values, verify
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.checks.every import problems
from tests.examples import usual
from tests.oracle import Best, Values, best_plan, can_meet
from tests.random_shoots import MOST_SLOTS, TWISTS, draft_of, random_brief, turns_of
from tests.random_shoots.relaxed import RELAXED, Change

LIMITS = Limits(seconds=20, seed=1, workers=1)
SEEDS = range(500)
QUICK_SEEDS = range(12)
CLASH_SEEDS = range(60)
REFUSING = (
    *("closed", "permission", "overhead", "nobody-rigs", "mode", "shutter", "mount", "flange"),
    "image-circle",
    *("fitting", "stands-on", "height", "room", "mains", "hands", "payload", "skill"),
    *("needs-hand", "needs-remote", "needs-rest", "automatic"),
    *("not-operator", "not-on-hand", "performs"),
    *("not-allowed-there", "on-stage", "shut-in", "no-audience", "too-long", "too-short", "light"),
    *("closest-focus", "roam", "focus", "endurance", "stock", "needs", "one-camera-each"),
    *("people", "minding", "cards", "batteries", "reset"),
    *("hidden", "laser", "consent", "empty-seats", "steadiness", "pictures"),
)
"""Rules that refuse placements, or sets of them, which break no other rule."""


@cache
def best_of(seed: int) -> Best:
    """Return what an exhaustive search finds."""
    return best_plan(random_brief(seed))


@cache
def plan_of(seed: int) -> Plan:
    """Return the solver's plan."""
    return plan_shoot(random_brief(seed), shoot_id="small", limits=LIMITS)


def values_of(plan: Plan) -> Values:
    """Return what a plan comes to in the goals that the search knows, in whole numbers."""
    goals = {goal.goal: goal for goal in plan.goals}
    assert all(goals[name].is_proven for name in Values._fields)
    return Values(
        *(round(goals[name].value * SHOWN_PER_WHOLE.get(name, 1)) for name in Values._fields)
    )


def check(seed: int) -> None:
    """The plan is proven, holds, and is exactly as good as the best there is."""
    plan = plan_of(seed)
    assert [str(finding) for finding in verify(plan)] == []
    assert values_of(plan) == best_of(seed).values


@pytest.mark.parametrize("seed", QUICK_SEEDS)
def test_a_plan_is_the_best_there_is(seed: int) -> None:
    """On some shoots, always."""
    check(seed)


@pytest.mark.long
@pytest.mark.parametrize("seed", SEEDS[len(QUICK_SEEDS) :])
def test_every_plan_is_the_best_there_is(seed: int) -> None:
    """On many shoots, now and then."""
    check(seed)


# -- the clash -------------------------------------------------------------------------------------


def check_clash(seed: int) -> bool:
    """All demands of a clash cannot be met, all but any one can; return whether there is one."""
    brief, plan = random_brief(seed), plan_of(seed)
    assert (plan.clash != ()) == (best_of(seed).values.musts < 0)
    places = [number for number, demand in enumerate(plan.demands) if demand.words in plan.clash]
    musts = {number for number in places if plan.demands[number].priority == "must"}
    assert len(musts) == len(plan.clash)
    assert not musts or not can_meet(brief, frozenset(musts))
    for dropped in musts:
        assert can_meet(brief, frozenset(musts - {dropped}))
    return bool(musts)


def test_a_clash_is_minimal() -> None:
    """On some shoots, always."""
    assert sum(map(check_clash, QUICK_SEEDS[:10])) > 2


@pytest.mark.long
def test_every_clash_is_minimal() -> None:
    """On many shoots, of which many have a clash."""
    assert sum(map(check_clash, CLASH_SEEDS)) > 20


# -- the search itself -----------------------------------------------------------------------------


@pytest.mark.parametrize("seed", usual(len(QUICK_SEEDS), range(25)))
def test_what_the_search_finds_comes_to_what_it_says(seed: int) -> None:
    """The placements behind its values, counted at their best, have these values for the checker;
    menus aside, which it only counts.
    """
    best, brief = best_of(seed), random_brief(seed)
    scene = Scene(brief.shoot, brief.kit)
    values = goal_values(scene, count_best(scene, best.setups))
    assert tuple(values[name] for name in Values._fields[:-1]) == best.values[:-1]
    assert values["variety"] <= best.values.variety


# -- the shoots ------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_shoot_is_small_and_sound(seed: int) -> None:
    """It passes the checks of kits and shoots, as the program only plans what does; but for rings
    too thin to exist, without which the rule of flange distances would have nothing to refuse.
    """
    brief = random_brief(seed)
    assert draft_of(seed).slots <= MOST_SLOTS
    assert [str(problem) for problem in problems(brief, lambda _: 1, "shoot")] == []
    wrong = [fault.wrong for fault in faults(brief.kit)]
    assert [words for words in wrong if "'ring' cannot exist" not in words] == []
    assert random_brief(seed) == brief


def test_every_twist_has_its_turn() -> None:
    """Every twist comes up in twenty shoots or more."""
    turns = Counter(twist for seed in SEEDS for twist in turns_of(seed))
    assert min(turns[twist] for twist in TWISTS) >= 20


def _binds(seed: int, change: Change) -> bool:
    """Whether the best plan comes to something else without a rule."""
    brief = random_brief(seed)
    relaxed = change(brief)
    return relaxed != brief and best_plan(relaxed).values != best_of(seed).values


@pytest.mark.long
@pytest.mark.parametrize("rule", RELAXED)
def test_every_rule_binds_in_some_shoot(rule: str) -> None:
    """Taken out, it changes what the best plan comes to."""
    assert any(_binds(seed, RELAXED[rule]) for seed in SEEDS)


@pytest.mark.long
def test_every_rule_refuses_something_in_some_shoot() -> None:
    """Each is the only one that some placements, or sets of them, break."""
    shoots = Counter(rule for seed in SEEDS for rule in best_of(seed).refused)
    assert {rule: shoots[rule] for rule in REFUSING if shoots[rule] == 0} == {}
