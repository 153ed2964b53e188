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

from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.model import Allocation

SUBSOLVERS = ("max_lp", "reduced_costs", "quick_restart", "default_lp")
"""Workers in order of use. Measured on the depot shoot's viewpoints (two cores): these first two
prove it in 5 s, the solver's own choice of eight takes 13 to 22 s, of two more than 30 s: the bound
comes from the full linear relaxation (max_lp), which smaller choices leave out."""
SHARE_OF_TIME_LEFT = {
    "musts": 0.5,
    "wants": 0.4,
    "thinnest": 0.3,
    "viewpoints": 0.5,
    "variety": 0.4,
    "quality": 0.5,
    "economy": 1.0,
}
LEAST_SECONDS = 0.2
ROUNDING = 1e-6


@dataclass(frozen=True)
class Limits:
    """How long to search and how. One worker with a seed gives the same plan every time."""

    seconds: float = 60.0
    seed: int = 1
    workers: int = 2


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
    start: float = 0.0
    goals: tuple[Goal, ...] = ()
    """The goals worked on, in order."""

    @property
    def has_answer(self) -> bool:
        """Whether any plan was found."""
        return self.solver is not None


Listener = Callable[[Step], None]


def _quiet(_: Step) -> None:
    return None


def search(allocation: Allocation, limits: Limits, tell: Listener = _quiet) -> Found:
    """Return the best answer for all goals within the limits."""
    found = Found(start=time.monotonic())
    goals: list[Goal] = []
    for goal in goals_in_order(allocation.variables, allocation.demands, allocation.resets):
        goals.append(goal)
        place = len(goals) - 1
        while place < len(goals) and not found.was_stopped:
            _improve(allocation.model, goals[place], limits, found, tell)
            if not found.has_answer:
                return found
            place = _next_place(goals, place, found)
        if found.was_stopped:
            break
    found.goals = tuple(goals)
    return found


def _next_place(goals: list[Goal], place: int, found: Found) -> int:
    """Return which goal to work on now: the one after any that got better by the way."""
    assert found.solver is not None
    for earlier, goal in enumerate(goals[:place]):
        old = found.reached[goal.id]
        value = found.solver.value(goal.expression)
        if value > old.value:
            found.reached[goal.id] = Reached(goal.id, value, old.bound, old.elapsed_s)
            return earlier + 1
    return place + 1


def _improve(
    model: cp_model.CpModel, goal: Goal, limits: Limits, found: Found, tell: Listener
) -> None:
    """Maximise one goal in its share of the time, hold what it reached, keep the answer."""
    model.maximize(goal.expression)
    if found.solver is not None:
        _hint(model, found.solver)
    left = limits.seconds - (time.monotonic() - found.start)
    solver = new_solver(max(left * SHARE_OF_TIME_LEFT[goal.id], LEAST_SECONDS), limits)
    watcher = _Watcher(goal, found, tell)
    solver.best_bound_callback = watcher.on_bound
    status = _solve(model, solver, watcher, found)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        found.solver = solver
        value = round(solver.objective_value)
    elif status == cp_model.UNKNOWN and found.solver is not None:
        value = found.solver.value(goal.expression)
    elif status in (cp_model.INFEASIBLE, cp_model.UNKNOWN):
        return
    else:
        raise RuntimeError(f"the solver answered {solver.status_name(status)}")
    bound = value
    if status != cp_model.OPTIMAL:
        bound = max(value, floor(solver.best_objective_bound + ROUNDING))
    elapsed = time.monotonic() - found.start
    found.reached[goal.id] = Reached(goal.id, value, bound, elapsed)
    model.add(goal.expression >= value)
    tell(Step(goal.id, value, bound, elapsed))


def new_solver(seconds: float, limits: Limits, workers: int | None = None) -> cp_model.CpSolver:
    """Return a solver with the parameters that measurement has chosen.

    With one worker time is counted in the solver's own steps, never by the clock, so that the same
    seed gives the same plan however busy the machine is.
    """
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = limits.seed
    solver.parameters.catch_sigint_signal = False
    number = workers or limits.workers
    if number == 1:
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2
        solver.parameters.max_deterministic_time = seconds
    else:
        solver.parameters.num_workers = min(number, len(SUBSOLVERS))
        solver.parameters.subsolvers.extend(SUBSOLVERS[:number])
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

    def __init__(self, goal: Goal, found: Found, tell: Listener) -> None:
        super().__init__()
        self._goal, self._found, self._tell = goal, found, tell
        self._best: int | None = None

    def on_solution_callback(self) -> None:
        elapsed = time.monotonic() - self._found.start
        if self._found.first_s is None:
            self._found.first_s = elapsed
        self._best = round(self.objective_value)
        bound = floor(self.best_objective_bound + 1e-6)
        self._tell(Step(self._goal.id, self._best, bound, elapsed))

    def on_bound(self, bound: float) -> None:
        elapsed = time.monotonic() - self._found.start
        self._tell(Step(self._goal.id, self._best, floor(bound + 1e-6), elapsed))
