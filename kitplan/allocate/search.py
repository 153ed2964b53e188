"""The search: goals in strict order, each proven or with its gap, the incumbent held throughout.

Goal by goal: maximise it, then keep `goal >= best` while the next is improved. A later bound is
therefore conditional on the earlier values. When an earlier goal that was not proven gets better
by the way, the search goes on from there. Interrupting keeps the best answer so far.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from math import floor

from ortools.sat.python import cp_model

from kitplan.allocate.goals import Goal
from kitplan.allocate.model import Allocation


@dataclass(frozen=True)
class Limits:
    """How long to search and how. One worker with a seed gives the same plan every time."""

    seconds: float = 60.0
    seed: int = 1
    workers: int = 8
    """Eight even on two cores: the bound comes from workers that a lower count leaves out."""


@dataclass(frozen=True)
class Step:
    """Something to tell while solving: the goal being worked on, best so far, bound, seconds."""

    goal: str
    best: int | None
    bound: int | None
    elapsed_s: float


@dataclass(frozen=True)
class Reached:
    """What a goal came to."""

    goal: str
    value: int
    bound: int
    elapsed_s: float

    @property
    def is_proven(self) -> bool:
        """Whether nothing better exists, given the goals before."""
        return self.value >= self.bound


@dataclass
class Found:
    """The state of a search: the incumbent and what each goal has reached."""

    solver: cp_model.CpSolver | None = None
    reached: dict[str, Reached] = field(default_factory=dict)
    was_stopped: bool = False
    first_s: float | None = None
    """Seconds to the first answer."""

    @property
    def has_answer(self) -> bool:
        """Whether any plan was found."""
        return self.solver is not None


Listener = Callable[[Step], None]


def _quiet(_: Step) -> None:
    return None


def search(allocation: Allocation, limits: Limits, tell: Listener = _quiet) -> Found:
    """Return the best answer for all goals within the limits."""
    found = Found()
    start = time.monotonic()
    place = 0
    goals = allocation.goals
    while place < len(goals) and not found.was_stopped:
        goal = goals[place]
        left = limits.seconds - (time.monotonic() - start)
        share = max(left / (len(goals) - place), 0.05) if place else max(left * 0.5, 0.05)
        _improve(allocation, goal, share, limits, found, start, tell)
        if not found.has_answer:
            return found
        place = _next_place(goals, place, found)
    return found


def _next_place(goals: tuple[Goal, ...], place: int, found: Found) -> int:
    """Return which goal to work on now: one that an accident has bettered comes again first."""
    assert found.solver is not None
    for earlier, goal in enumerate(goals[:place]):
        old = found.reached[goal.id]
        value = found.solver.value(goal.expression)
        if value > old.value:
            found.reached[goal.id] = Reached(goal.id, value, old.bound, old.elapsed_s)
            return earlier + 1
    return place + 1


def _improve(
    allocation: Allocation,
    goal: Goal,
    seconds: float,
    limits: Limits,
    found: Found,
    start: float,
    tell: Listener,
) -> None:
    model = allocation.model
    model.maximize(goal.expression)
    if found.solver is not None:
        _hint(model, found.solver)
    solver = _solver(seconds, limits)
    watcher = _Watcher(goal, found, start, tell)
    solver.best_bound_callback = watcher.on_bound
    status = _solve(model, solver, watcher, found)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        found.solver = solver
        value = int(solver.objective_value)
        bound = value if status == cp_model.OPTIMAL else floor(solver.best_objective_bound + 1e-6)
    elif found.solver is not None and status in (cp_model.UNKNOWN, cp_model.MODEL_INVALID):
        value = found.solver.value(goal.expression)
        bound = floor(solver.best_objective_bound + 1e-6)
    elif status in (cp_model.INFEASIBLE, cp_model.UNKNOWN):
        return
    else:
        raise RuntimeError(f"the solver answered {solver.status_name(status)}")
    elapsed = time.monotonic() - start
    found.reached[goal.id] = Reached(goal.id, value, max(bound, value), elapsed)
    model.add(goal.expression >= value)
    tell(Step(goal.id, value, max(bound, value), elapsed))


def _solver(seconds: float, limits: Limits) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = limits.seed
    solver.parameters.num_workers = limits.workers
    solver.parameters.catch_sigint_signal = False
    if limits.workers == 1:
        solver.parameters.max_deterministic_time = seconds
    else:
        solver.parameters.max_time_in_seconds = seconds
    return solver


def _hint(model: cp_model.CpModel, solver: cp_model.CpSolver) -> None:
    model.clear_hints()  # type: ignore[no-untyped-call]
    for index, value in enumerate(solver.response_proto.solution):
        model.add_hint(model.get_int_var_from_proto_index(index), value)


def _solve(
    model: cp_model.CpModel, solver: cp_model.CpSolver, watcher: _Watcher, found: Found
) -> cp_model.CpSolverStatus:
    """Solve on a thread, so that an interrupt stops the search and keeps its best answer."""
    answer: list[cp_model.CpSolverStatus] = []
    thread = threading.Thread(target=lambda: answer.append(solver.solve(model, watcher)))
    thread.start()
    while thread.is_alive():
        try:
            thread.join(0.05)
        except KeyboardInterrupt:
            found.was_stopped = True
            solver.stop_search()
    return answer[0]


class _Watcher(cp_model.CpSolverSolutionCallback):
    """Tells of every better answer and bound."""

    def __init__(self, goal: Goal, found: Found, start: float, tell: Listener) -> None:
        super().__init__()
        self._goal, self._found, self._start, self._tell = goal, found, start, tell
        self._best: int | None = None

    def on_solution_callback(self) -> None:
        elapsed = time.monotonic() - self._start
        if self._found.first_s is None:
            self._found.first_s = elapsed
        self._best = int(self.objective_value)
        bound = floor(self.best_objective_bound + 1e-6)
        self._tell(Step(self._goal.id, self._best, bound, elapsed))

    def on_bound(self, bound: float) -> None:
        elapsed = time.monotonic() - self._start
        self._tell(Step(self._goal.id, self._best, floor(bound + 1e-6), elapsed))
