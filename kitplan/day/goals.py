"""Goals of a part of the day in strict order: each made as small as can be, then held.

One worker, a fixed seed and the solver's own steps instead of the clock: the same input gives the
same answer however busy the machine is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

STEPS = 4.0
"""Most steps of the solver for one goal (its deterministic time, about seconds)."""
LAST_STEPS = 1.0
"""And for the last one, which only chooses among answers that are as good in all else."""


@dataclass(frozen=True)
class Answer:
    """What the goals came to, and the solver that knows the value of each decision."""

    solver: cp_model.CpSolver
    value: tuple[int, ...]
    bound: tuple[int, ...]
    """The best that any answer could have, given the goals before."""

    @property
    def is_proven(self) -> bool:
        """Whether nothing better exists."""
        return self.value == self.bound


def least_in_order(model: cp_model.CpModel, goals: Sequence[Any]) -> Answer:
    """Return an answer with the least of each goal, given the goals before.

    Raises:
        RuntimeError: If the model has no answer at all.
    """
    values: list[int] = []
    bounds: list[int] = []
    solver = cp_model.CpSolver()
    for number, goal in enumerate(goals, 1):
        model.minimize(goal)
        found = _solve(model, STEPS if number < len(goals) else LAST_STEPS)
        if found is None and not values:
            raise RuntimeError("no answer: the model of this part of the day contradicts itself")
        if found is not None:
            solver = found
        value = round(solver.value(goal))
        bound = -(-round(solver.best_objective_bound * 1e6) // 10**6) if found else min(0, value)
        values.append(value)
        bounds.append(min(value, bound))
        model.add(goal <= value)
        _hint(model, solver)
    return Answer(solver, tuple(values), tuple(bounds))


def _solve(model: cp_model.CpModel, steps: float) -> cp_model.CpSolver | None:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = steps
    status = solver.solve(model)
    return solver if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def _hint(model: cp_model.CpModel, solver: cp_model.CpSolver) -> None:
    """Begin the next goal from this answer."""
    model.proto.solution_hint.vars.clear()
    model.proto.solution_hint.values.clear()
    for index in range(len(model.proto.variables)):
        var = model.get_int_var_from_proto_index(index)
        model.add_hint(var, solver.value(var))
