"""What is told while CP-SAT works on a group of goals."""

from __future__ import annotations

import time
from math import floor

from ortools.sat.python import cp_model

from kitplan.allocate.goals import Goal
from kitplan.allocate.order import bounds_in_order
from kitplan.allocate.solver import Found, Listener, Step

ROUNDING = 1e-6
"""Bounds are whole numbers; one this close under the next one is rounding."""


class Watcher(cp_model.CpSolverSolutionCallback):
    """Tells of every better answer and bound, in terms of the goal that is not settled yet."""

    def __init__(self, group: tuple[Goal, ...], found: Found, tell: Listener) -> None:
        super().__init__()
        self._group, self._found, self._tell = group, found, tell
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
        bounds = bounds_in_order(self._group, self._values, floor(bound + ROUNDING))
        for goal, value, most in zip(self._group, self._values, bounds, strict=True):
            if value < most or goal is self._group[-1]:
                self._tell(Step(goal.id, value, most, elapsed))
                return
