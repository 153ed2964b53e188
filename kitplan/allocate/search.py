"""The search: goals in strict order, each proven or with its gap, the incumbent held throughout.

Goal by goal: maximise it, then keep `goal >= best` while the next is improved. A later bound is
therefore conditional on the earlier values. When an earlier goal that was not proven gets better
by the way, the search goes on from there. Interrupting keeps the best answer so far.

The goals down to the viewpoints cannot tell all shots apart that later ones can, so they are
decided on a coarser model; its placements are then where the full one starts from.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Iterator, Sequence
from math import floor
from typing import Any

from ortools.sat.python import cp_model

from kitplan.allocate.adopt import Adoption
from kitplan.allocate.finish import approach, finish, settle_all
from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.placed import Placed, decisions_of, read_placed
from kitplan.allocate.prover import Prover
from kitplan.allocate.settle import fix, hint, settle, with_placements
from kitplan.allocate.solver import (
    LARGE,
    NEIGHBOUR_SHARE,
    NEIGHBOUR_SHARE_IF_LARGE,
    Found,
    Limits,
    Listener,
    Reached,
    Step,
    new_solver,
    run,
)

__all__ = ["Found", "Limits", "Listener", "Reached", "Step", "search"]

GROUPS = (("musts",), ("wants", "thinnest", "viewpoints"), ("variety",), ("quality",), ("economy",))
"""Goals that are maximised together as one weighted sum: one presolve and one relaxation instead of
three, still in strict order. Measured on the depot shoot: 5 s together, 11 s one by one."""
NUM_COARSE = 2
"""Groups that are decided on the coarser model. Measured on a small shoot (S 0, one thread): proven
in 2.3 s, on the full model in 16 s."""
SHARE_OF_TIME_LEFT = {
    "musts": 0.5,
    "viewpoints": 0.75,
    "variety": 0.4,
    "quality": 0.5,
    "economy": 1.0,
}
"""Share of the time left that a group may take, by its last goal."""
LEAST_SECONDS = 0.2
ROUNDING = 1e-6


def _quiet(_: Step) -> None:
    return None


def search(
    allocation: Allocation,
    limits: Limits,
    tell: Listener = _quiet,
    found: Found | None = None,
) -> Found:
    """Return the best answer for all goals within the limits.

    Args:
        found: Where to keep what is found, so that a caller can ask for an early stop.
    """
    found = found or Found()
    found.start = time.monotonic()
    coarse = build(allocation.variables.options, "viewpoints")
    second = Adoption(None if limits.is_repeatable else Prover(coarse, limits))
    try:
        _search(coarse, allocation, limits, tell, found, second)
    finally:
        second.stop()
    if found.goals:
        second.take_over(allocation, found.goals, limits, found, tell)
        if not found.is_proven:
            settle_all(allocation, found.goals, limits, found, tell)
        second.bound_the_next(found.goals, found)
    return found


def _search(
    coarse: Allocation,
    allocation: Allocation,
    limits: Limits,
    tell: Listener,
    found: Found,
    second: Adoption,
) -> None:
    slots = coarse.variables.slots
    # the empty plan, which only misses every must
    found.solver = settle(with_placements(coarse.model, slots, lambda _: 0), limits)
    coming = goals_in_order(coarse.variables, coarse.demands, coarse.resets)
    groups: list[tuple[Goal, ...]] = []
    _improve_in_turn(coarse, coming, groups, NUM_COARSE, limits, found, tell, second)
    if found.solver is None:
        return
    placed = read_placed(slots, found.solver.value)
    coming = goals_in_order(allocation.variables, allocation.demands, allocation.resets)
    groups = [tuple(itertools.islice(coming, len(group))) for group in groups]
    _start_from(allocation, groups, placed, limits, found)
    _improve_in_turn(allocation, coming, groups, len(GROUPS), limits, found, tell, second)
    found.goals = tuple(itertools.chain(*groups, coming))
    if not found.is_proven:
        finish(allocation, found.goals, limits, found, tell, second)


def _improve_in_turn(
    allocation: Allocation,
    coming: Iterator[Goal],
    groups: list[tuple[Goal, ...]],
    upto: int,
    limits: Limits,
    found: Found,
    tell: Listener,
    second: Adoption,
) -> None:
    """Take up one group of goals after the other, those before being held."""
    for names in GROUPS[len(groups) : upto]:
        if found.was_stopped or not found.has_answer:
            return
        groups.append(tuple(itertools.islice(coming, len(names))))
        place = len(groups) - 1
        while place < len(groups) and not found.was_stopped and found.has_answer:
            _improve(allocation, groups, place, limits, found, tell, second)
            place = _next_place(groups, place, found)


def _start_from(
    allocation: Allocation,
    groups: list[tuple[Goal, ...]],
    placed: Sequence[Placed | None],
    limits: Limits,
    found: Found,
) -> None:
    """Let a model go on from the placements that another one has found."""
    slots = allocation.variables.slots
    chosen = decisions_of(slots, placed)
    assert chosen is not None  # whatever is possible in a coarser model is so in a finer one
    goals = tuple(itertools.chain(*groups))
    if goals:  # else it was stopped before the first
        terms = zip(weights_in_order(goals), goals, strict=True)
        allocation.model.maximize(sum(weight * goal.expression for weight, goal in terms))
    found.holds.clear()
    found.solver = settle(
        with_placements(allocation.model, slots, lambda var: int(var.index in chosen)), limits
    )
    if found.solver is None:
        raise RuntimeError("the placements of an answer could not be counted")
    _next_place(groups, len(groups), found)
    for group in groups:
        _hold_group(allocation.model, group, found)


def _hold(model: cp_model.CpModel, expression: Any, value: int, found: Found) -> None:
    """Let a sum of goals not fall again; the end of the search lets go of it."""
    held = model.new_bool_var(f"held {len(found.holds)}")
    fix(model, held, 1)
    model.add(expression >= value).only_enforce_if(held)
    found.holds.append(held)


def _next_place(groups: list[tuple[Goal, ...]], place: int, found: Found) -> int:
    """Return which group to work on now: the one after any goal that got better by the way."""
    assert found.solver is not None
    for earlier, group in enumerate(groups[:place]):
        for goal in group:
            old = found.reached[goal.id]
            value = found.solver.value(goal.expression)
            if value != old.value:
                bound = max(old.bound, value)
                found.reached[goal.id] = Reached(goal.id, value, bound, old.at_s)
            if value > old.value:
                return earlier + 1
    return place + 1


def _improve(
    allocation: Allocation,
    groups: list[tuple[Goal, ...]],
    place: int,
    limits: Limits,
    found: Found,
    tell: Listener,
    second: Adoption,
) -> None:
    """Maximise a group of goals in its share of the time, hold what it reached, keep the answer."""
    model, group = allocation.model, groups[place]
    weights = weights_in_order(group)
    expression = sum(w * goal.expression for w, goal in zip(weights, group, strict=True))
    model.maximize(expression)
    if found.solver is not None:  # what follows from its placements in terms of these goals
        found.solver = _settled(allocation, found.solver, limits)
        hint(model, found.solver.response_proto.solution)
    names = tuple(goal.id for goal in group)
    bound = sum(w * goal.most for w, goal in zip(weights, group, strict=True))
    status = cp_model.UNKNOWN
    goals = tuple(itertools.chain(*groups[: place + 1]))
    if place and found.solver is not None and not second.has_proven(names):
        approach(allocation, goals, names, limits, found, tell)
        second.offer(allocation, found)
        hint(model, found.solver.response_proto.solution)
        model.maximize(expression)
    if not second.has_proven(names):
        status, bound = _solve(model, group, weights, limits, found, tell, second)
    if second.has_news:
        _let_go(model, found)
        second.take_over(allocation, tuple(itertools.chain(*groups)), limits, found, tell)
        for earlier in groups[:place]:
            _hold_group(model, earlier, found)
    if found.solver is None:
        return
    if place and status != cp_model.OPTIMAL and not second.has_proven(names):
        # what the whole model gained for one goal may have cost the next ones more than it need
        approach(allocation, goals, names, limits, found, tell)
        model.maximize(expression)
    if status != cp_model.OPTIMAL:
        found.solver = _settled(allocation, found.solver, limits)
    values = [found.solver.value(goal.expression) for goal in group]
    if status == cp_model.OPTIMAL:
        bound = max(bound, sum(w * value for w, value in zip(weights, values, strict=True)))
    at = found.clock_s(limits)
    for goal, value, most in zip(
        group, values, bounds_in_order(group, weights, values, bound), strict=True
    ):
        known = found.reached.get(goal.id)
        if known is None or not (known.is_proven and known.value == value):
            found.reached[goal.id] = Reached(goal.id, value, most, at)
            tell(Step(goal.id, value, most, found.elapsed_s))
    second.offer(allocation, found)
    _hold_group(model, group, found)


def _hold_group(model: cp_model.CpModel, group: tuple[Goal, ...], found: Found) -> None:
    """Hold what a group of goals has reached, as one sum in strict order."""
    assert found.solver is not None
    weights = weights_in_order(group)
    expression = sum(w * goal.expression for w, goal in zip(weights, group, strict=True))
    _hold(model, expression, found.solver.value(expression), found)


def _let_go(model: cp_model.CpModel, found: Found) -> None:
    """Hold nothing: a better answer to an earlier goal may be worse in a later one."""
    for held in found.holds:
        fix(model, held, 0)
    found.holds.clear()


def _solve(
    model: cp_model.CpModel,
    group: tuple[Goal, ...],
    weights: list[int],
    limits: Limits,
    found: Found,
    tell: Listener,
    second: Adoption,
) -> tuple[cp_model.CpSolverStatus, int]:
    """Return how a group's share of the time ended, and the bound of its sum."""
    is_large = len(model.proto.variables) > LARGE
    kept = NEIGHBOUR_SHARE_IF_LARGE if is_large else NEIGHBOUR_SHARE
    if group[0].id == "musts":
        kept = 0.0  # nothing can be bettered before there is a plan
    left = limits.seconds * (1 - kept) - found.clock_s(limits)
    solver = new_solver(max(left * SHARE_OF_TIME_LEFT[group[-1].id], LEAST_SECONDS), limits)
    watcher = _Watcher(group, weights, found, tell)
    solver.best_bound_callback = watcher.on_bound
    names = tuple(goal.id for goal in group)
    status = run(model, solver, watcher, found, lambda: second.has_proven(names))
    found.spent_s += solver.response_proto.deterministic_time
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        if found.solver is None or solver.objective_value >= _sum(group, weights, found):
            found.solver = solver  # cut short, it may not even have come to where it started
    elif status not in (cp_model.INFEASIBLE, cp_model.UNKNOWN):
        raise RuntimeError(f"the solver answered {solver.status_name(status)}")
    return status, _bound(solver, status, group, weights)


def _sum(group: tuple[Goal, ...], weights: list[int], found: Found) -> int:
    return sum(w * found.value(goal.expression) for w, goal in zip(weights, group, strict=True))


def _bound(
    solver: cp_model.CpSolver,
    status: cp_model.CpSolverStatus,
    group: tuple[Goal, ...],
    weights: list[int],
) -> int:
    """Return the proven bound of a group's sum; a search that found nothing has proven nothing."""
    most = sum(w * goal.most for w, goal in zip(weights, group, strict=True))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return most
    return min(floor(solver.best_objective_bound + ROUNDING), most)


def _settled(
    allocation: Allocation, solver: cp_model.CpSolver, limits: Limits
) -> cp_model.CpSolver:
    """Return the same placements with everything that follows from them counted at its best.

    An answer that is not optimal may count a viewpoint too few or a kilogram too many; with rigs,
    people and shots fixed the rest is settled in a moment.
    """
    slots = allocation.variables.slots
    model = with_placements(allocation.model, slots, solver.value)
    return settle(model, limits, solver.response_proto.solution) or solver


def weights_in_order(group: tuple[Goal, ...]) -> list[int]:
    """Return weights that keep the goals of a group in strict order: one more of a goal outweighs
    all that the goals after it can give.
    """
    weights = [1]
    for goal in reversed(group[1:]):
        weights.append(weights[-1] * (goal.most + 1))
    return weights[::-1]


def bounds_in_order(
    group: tuple[Goal, ...], weights: list[int], values: list[int], bound: int
) -> list[int]:
    """Return a bound for each goal of a group from the bound of their weighted sum.

    As long as a goal's value meets its bound, what is left of the sum bounds the next one; after
    the first gap nothing is known but the most that any plan gives.
    """
    bounds = []
    left, is_tight = bound, True
    for goal, weight, value in zip(group, weights, values, strict=True):
        most = max(min(left // weight, goal.most) if is_tight else goal.most, value)
        bounds.append(most)
        is_tight = is_tight and most == value
        left -= weight * value
    return bounds


class _Watcher(cp_model.CpSolverSolutionCallback):
    """Tells of every better answer and bound, in terms of the goal that is not settled yet."""

    def __init__(
        self, group: tuple[Goal, ...], weights: list[int], found: Found, tell: Listener
    ) -> None:
        super().__init__()
        self._group, self._weights, self._found, self._tell = group, weights, found, tell
        self._values: list[int] | None = None

    def on_solution_callback(self) -> None:
        if self._found.first_s is None:
            self._found.first_s = time.monotonic() - self._found.start
        self._values = [self.value(goal.expression) for goal in self._group]
        self._report(self.best_objective_bound)

    def on_bound(self, bound: float) -> None:
        self._report(bound)

    def _report(self, bound: float) -> None:
        elapsed = time.monotonic() - self._found.start
        if self._values is None:
            self._tell(Step(self._group[0].id, None, None, elapsed))
            return
        bounds = bounds_in_order(self._group, self._weights, self._values, floor(bound + ROUNDING))
        for goal, value, most in zip(self._group, self._values, bounds, strict=True):
            if value < most or goal is self._group[-1]:
                self._tell(Step(goal.id, value, most, elapsed))
                return
