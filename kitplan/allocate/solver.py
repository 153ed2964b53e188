"""How a search is run: limits, what is told while it runs, and what it has found."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from ortools.sat.python import cp_model, cp_model_helper

from kitplan.allocate.answer import Answer
from kitplan.allocate.goals import Goal

if TYPE_CHECKING:
    from kitplan.allocate.model import Allocation

ALL_ROWS = "all rows"
"""Name of a kind of search among those of a portfolio."""
NEIGHBOUR_SHARE, NEIGHBOUR_SHARE_IF_LARGE = 0.3, 0.8
"""Share of the time kept for bettering an answer that is not proven; more for large models."""


HAS_ANSWER = (cp_model.OPTIMAL, cp_model.FEASIBLE)
"""How a search ends that has found something."""
POLL_SECONDS = 0.02
GOAL_IDS = ("musts", "wants", "thinnest", "viewpoints", "variety", "quality", "economy")
"""Every goal, the most important first."""
DECIDING_GOALS = GOAL_IDS[:4]
"""Those that decide where cameras stand: the ones after them choose among equals."""


def usable_cores() -> int:
    """Return how many cores this process may use; some systems tell only how many there are."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def usual_workers() -> int:
    """Return how many threads suit this machine: 2 to 8, one a core.

    Measured before every search had all rows in its relaxation, on two cores beside the second
    solver, 20 s: six small shoots come to the same wants and viewpoints with two and with four
    threads but for S 2 (131600 and 129520) and S 5 (thinnest song 3 and 4), and the second solver
    proves sooner beside two.
    """
    return min(max(usable_cores(), 2), 8)


@dataclass(frozen=True)
class Limits:
    """How long to search and how. One worker with a seed gives the same plan every time."""

    seconds: float = 60.0
    seed: int = 1
    workers: int = field(default_factory=usual_workers)
    """Threads of the first solver; more than one, and a second solver works beside it."""

    @property
    def is_repeatable(self) -> bool:
        """Whether time is counted in the solver's own steps instead of by the clock."""
        return self.workers == 1


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
    at_s: float
    """When it was reached, as `Found.clock_s` counts."""

    @property
    def is_proven(self) -> bool:
        """Whether nothing better exists, given the goals before."""
        return self.value >= self.bound


@dataclass
class Found:
    """The state of a search: the incumbent and what each goal has reached."""

    answer: Answer | None = None
    allocation: Allocation | None = None
    """The model that the answer and the goals are of."""
    reached: dict[str, Reached] = field(default_factory=dict)
    was_stopped: bool = False
    first_s: float | None = None
    """Seconds to the first answer."""
    start: float = 0.0
    spent_s: float = 0.0
    """Time that solvers have counted in steps of their own."""
    holds: list[cp_model.IntVar] = field(default_factory=list)
    """Decisions that keep what has been reached from falling, as long as they are 1."""
    sizes: dict[str, dict[str, float]] = field(default_factory=dict)
    """How many slots a step of the neighbourhood search copes with, by last goal and kind."""
    goals: tuple[Goal, ...] = ()
    """All goals, in order."""

    @property
    def has_answer(self) -> bool:
        """Whether any plan was found."""
        return self.answer is not None

    @property
    def is_proven(self) -> bool:
        """Whether every goal has been reached and proven."""
        proven = [reached for reached in self.reached.values() if reached.is_proven]
        return len(proven) == len(GOAL_IDS)

    @property
    def elapsed_s(self) -> float:
        """Seconds since the start, for those who wait; nothing in a plan may come of it."""
        return time.monotonic() - self.start

    def clock_s(self, limits: Limits) -> float:
        """Seconds used up: by the clock, or where a run must repeat in the solvers' own steps."""
        return self.spent_s if limits.is_repeatable else self.elapsed_s

    def value(self, expression: Any) -> int:
        """Return the value of a decision or expression in the incumbent."""
        assert self.answer is not None
        return self.answer.value(expression)


Listener = Callable[[Step], None]
Look = Callable[["Allocation", Found, Limits], Limits]
"""Looks at an answer while the search goes on, and returns how long that may still be; what it
raises breaks the search off."""


def new_solver(seconds: float, limits: Limits, workers: int | None = None) -> cp_model.CpSolver:
    """Return a solver with the parameters that measurement has chosen.

    With one worker time is counted in the solver's own steps, never by the clock, so that the same
    seed gives the same plan however busy the machine is.
    """
    number = workers or min(limits.workers, usable_cores())
    solver = _solver(seconds, limits, number, is_by_clock=workers != 1)
    if number == 1:
        _relax_all(solver.parameters)
    else:
        kind = cp_model_helper.SatParameters()
        kind.name = ALL_ROWS
        _relax_all(kind)
        solver.parameters.subsolver_params.append(kind)
        solver.parameters.extra_subsolvers.append(ALL_ROWS)
    return solver


def _solver(seconds: float, limits: Limits, number: int, *, is_by_clock: bool) -> cp_model.CpSolver:
    """Return a solver on so many threads, without any parameters of its own."""
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = limits.seed
    solver.parameters.catch_sigint_signal = False
    solver.parameters.num_workers = number
    if is_by_clock and not limits.is_repeatable:
        solver.parameters.max_time_in_seconds = seconds
    else:
        solver.parameters.max_deterministic_time = seconds
    return solver


def _relax_all(parameters: Any) -> None:
    """Let a search have every row in its relaxation from the start, and look for no cuts.

    The one kind of search that bounds these models well. Measured with one thread on the goals down
    to the viewpoints, proven: S 0 in 2.3 s, S 3 in 6.0 s, S 6 in 5.1 s, where the usual parameters
    have not proven the viewpoints of any of them in ten.
    """
    parameters.linearization_level = 2
    parameters.add_lp_constraints_lazily = False
    parameters.cut_level = 0
    parameters.cp_model_probing_level = 0
    parameters.symmetry_level = 0


def unrelaxed_solver(seconds: float, limits: Limits) -> cp_model.CpSolver:
    """Return a solver that goes by the rows alone, on one thread, for goals of which the relaxation
    says nothing.
    """
    solver = _solver(seconds, limits, 1, is_by_clock=True)
    solver.parameters.linearization_level = 0
    return solver


def part_solver(seconds: float, limits: Limits, workers: int = 1) -> cp_model.CpSolver:
    """Return a solver for a model of which most is known, such as a plan with a few slots freed.

    Measured on 60 parts each of two small and two middling shoots, one thread: 6.3 s and 12.4 s;
    with rows added as they are broken 7.7 s and 16.5 s, with cuts as well 8.3 s and 19.0 s, with
    less of a relaxation 19 s and 58 s. HiGHS takes 28 s for the middling ones. To simplify the rows
    once, and not to look for what many have in common, took 12.1 s instead of 15.5 s for 40 parts
    of M 1; not to look for rows within rows nor to merge cliques, 3.3 s instead of 4.5 s for 20 of
    L 0 and 1.5 s instead of 1.6 s for 20 of M 0.
    """
    solver = new_solver(seconds, limits, workers)
    _relax_all(solver.parameters)
    solver.parameters.max_presolve_iterations = 1
    solver.parameters.find_big_linear_overlap = False
    solver.parameters.presolve_inclusion_work_limit = 0
    solver.parameters.merge_at_most_one_work_limit = 0.0
    return solver


def run(
    model: cp_model.CpModel,
    solver: cp_model.CpSolver,
    watcher: cp_model.CpSolverSolutionCallback | None,
    found: Found,
    is_settled: Callable[[], bool] = lambda: False,
) -> cp_model.CpSolverStatus:
    """Solve on a thread, so that an interrupt can stop the search and keep its best answer; so does
    `is_settled`, once another solver has proven what this one works on.
    """
    answer: list[cp_model.CpSolverStatus] = []
    thread = threading.Thread(target=lambda: answer.append(solver.solve(model, watcher)))
    thread.start()
    while thread.is_alive():
        thread.join(POLL_SECONDS)  # back at once when the solver is: small searches take less
        if found.was_stopped or is_settled():
            solver.stop_search()
    return answer[0]


@contextmanager
def keeping_interrupts(found: Found) -> Iterator[None]:
    """Take an interrupt as the wish to stop the search, wherever planning is at that moment.

    The third one in a row breaks off at once. Off the main thread nothing changes.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    number = 0

    def note(*_: object) -> None:
        nonlocal number
        number += 1
        found.was_stopped = True
        if number > 2:
            raise KeyboardInterrupt

    before = signal.signal(signal.SIGINT, note)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
