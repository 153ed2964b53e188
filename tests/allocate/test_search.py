"""The search: repeatable, told as it goes, honest about what it has not proven."""

from __future__ import annotations

from itertools import count
from types import SimpleNamespace
from typing import Any

import pytest

from kitplan.allocate.climb import GROUPS
from kitplan.allocate.search import Limits, Reached, Step, search
from kitplan.allocate.solver import new_solver
from kitplan.allocate.solver import run as run_solver
from kitplan.options.spots import find_options
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.produce.solve import NoPlanInTime, plan_shoot
from kitplan.shoot.brief import Brief
from tests.small import (
    WIDE,
    body,
    optic,
    reached,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
)

NAMES = ["musts", "wants", "thinnest", "viewpoints", "variety", "quality", "economy"]
ONE = Limits(seconds=5, seed=1, workers=1)
BRIEFS: dict[str, Brief] = {
    "show": small_brief(),
    "run-and-show": small_brief(passes=(run(), show()), roles=(role(in_passes="every"),)),
    "zooms": small_brief(
        small_kit(body(built_in=optic(**WIDE))), passes=(show(needs_safety=True),)
    ),
    "clash": small_brief(roles=(role("tight", sizes=("CU",)), role())),
}


def text_of(plan: Plan) -> str:
    """Return the plan file's text without the seconds, the only thing that may differ."""
    goals = tuple(goal.model_copy(update={"seconds": 0.0}) for goal in plan.goals)
    return plan.model_copy(update={"goals": goals}).model_dump_json(by_alias=True)


@pytest.mark.parametrize("name", BRIEFS)
def test_the_same_seed_gives_the_same_plan(name: str) -> None:
    """Byte for byte, with one worker."""
    assert text_of(solve(BRIEFS[name])) == text_of(solve(BRIEFS[name]))


@pytest.mark.parametrize("name", BRIEFS)
def test_seeds_and_workers_change_no_value(name: str) -> None:
    """Every goal is proven, so every way of searching comes to the same."""
    values = {
        tuple(goal.value for goal in plan.goals)
        for limits in (ONE, Limits(5, seed=7, workers=1), Limits(5, seed=1, workers=2))
        for plan in (plan_shoot(BRIEFS[name], shoot_id="small", limits=limits),)
    }
    assert len(values) == 1


def test_every_goal_is_reached_in_order() -> None:
    """Seven goals, each with a bound that it meets."""
    found = search(find_options(BRIEFS["run-and-show"]), ONE)
    assert [goal.id for goal in found.goals] == NAMES
    assert list(found.reached) == NAMES
    assert all(one.is_proven for one in found.reached.values())
    assert found.has_answer
    assert found.first_s is not None
    assert not found.was_stopped


@pytest.mark.parametrize(("value", "bound", "is_proven"), [(4, 5, False), (5, 5, True)])
def test_a_value_at_its_bound_is_proven(value: int, bound: int, is_proven: bool) -> None:
    """Nothing better exists."""
    assert Reached("wants", value, bound, 0.0).is_proven == is_proven


def test_every_goal_is_told_of() -> None:
    """The listener hears of each, and never of a value above its bound."""
    told: list[Step] = []
    search(find_options(BRIEFS["show"]), ONE, told.append)
    assert {step.goal for step in told} == set(NAMES)
    assert all(
        step.best <= step.bound for step in told if step.best is not None and step.bound is not None
    )
    assert [step.elapsed_s for step in told] == sorted(step.elapsed_s for step in told)


class _Never:
    """Stands for a solver that is stopped before it finds anything."""

    def __init__(self, goal: str, monkeypatch: pytest.MonkeyPatch) -> None:
        self.goal, self.calls = goal, 0
        monkeypatch.setattr("kitplan.allocate.climb.new_solver", self)

    def __call__(self, seconds: float, limits: Limits, workers: int | None = None) -> Any:
        solver = new_solver(seconds, limits, workers)
        if workers is not None:  # not the search itself but what settles its answer
            return solver
        group = GROUPS[min(self.calls, len(GROUPS) - 1)]
        self.calls += 1
        if self.goal in group:
            solver.parameters.max_deterministic_time = 0.0
            solver.parameters.max_time_in_seconds = 0.0
        return solver


def test_with_one_worker_the_clock_changes_no_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine on which every look at the clock finds 0.3 s gone searches as far as any other."""

    def limits_on_a_machine(tick_s: float) -> list[float]:
        clock, given = count(0.0, tick_s), []

        def listed(seconds: float, limits: Limits, workers: int | None = None) -> Any:
            given.append(seconds)
            return new_solver(seconds, limits, workers)

        fast = SimpleNamespace(monotonic=lambda: next(clock))
        monkeypatch.setattr("kitplan.allocate.climb.new_solver", listed)
        monkeypatch.setattr("kitplan.allocate.search.time", fast)
        search(find_options(BRIEFS["show"]), ONE)
        return given

    assert limits_on_a_machine(0.0) == limits_on_a_machine(0.3)


def test_without_any_plan_in_time_the_user_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is missing and what to do: the empty plan that every search starts from is none."""

    def at_once(seconds: float, limits: Limits, workers: int | None = None) -> Any:
        return new_solver(0.0 * seconds, limits, workers)

    monkeypatch.setattr("kitplan.allocate.begin.first_plan", lambda _: frozenset())
    monkeypatch.setattr("kitplan.allocate.climb.new_solver", at_once)
    monkeypatch.setattr("kitplan.allocate.solver.new_solver", at_once)
    with pytest.raises(NoPlanInTime, match=r"Small: no plan was found in 5 s\. Give it more time"):
        solve(BRIEFS["show"])


@pytest.mark.parametrize("goal", NAMES[1:])
def test_a_goal_that_finds_nothing_keeps_the_plan_so_far(
    goal: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The search is cut short in one goal: there is a plan, and the goal is not called proven."""
    _Never(goal, monkeypatch)
    plan = solve(BRIEFS["show"])
    assert plan.status == "solved"
    found = {each.goal: each for each in plan.goals}
    assert found[goal].bound >= found[goal].value


@pytest.mark.parametrize("goal", ["variety", "quality", "economy"])
def test_a_late_goal_that_finds_nothing_is_counted_right(
    goal: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever was cut short, the plan's figures are those of its placements."""
    _Never(goal, monkeypatch)
    assert verify(solve(BRIEFS["show"])) == ()


@pytest.mark.parametrize("goal", ["wants", "thinnest", "viewpoints"])
def test_an_early_goal_that_finds_nothing_leaves_the_later_ones_counted_right(
    goal: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Bettering the viewpoints in the end changes the placements: 7 of variety, and not 0."""
    _Never(goal, monkeypatch)
    assert verify(solve(BRIEFS["show"])) == ()


def test_a_goal_that_finds_nothing_is_not_called_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cut short before it counts any viewpoint, it must not say that there are none: 40 points."""
    _Never("viewpoints", monkeypatch)
    found = {each.goal: each for each in solve(BRIEFS["show"]).goals}
    assert found["viewpoints"].value == 40 or not found["viewpoints"].is_proven


def test_an_interrupt_keeps_the_best_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped while it works on the viewpoints."""

    def interrupted(model: Any, solver: Any, watcher: Any, found: Any, *more: Any) -> Any:
        status = run_solver(model, solver, watcher, found, *more)
        found.was_stopped = found.was_stopped or len(found.reached) > 0
        return status

    monkeypatch.setattr("kitplan.allocate.climb.run", interrupted)
    plan = solve(BRIEFS["show"])
    assert plan.status == "stopped-early"
    assert reached(plan, "musts") == 0
    assert verify(plan) == ()
