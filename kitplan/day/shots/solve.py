"""The search: the goals one after the other, each held before the next one is asked for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ortools.sat.python import cp_model

from kitplan.day.shots.model import CueKey, Row, Sheets, ShotGoal, goals_in_order
from kitplan.day.shots.reach import Pair

STEPS = 5.0
"""Most that a goal may take, in the solver's own steps (about a second each): the same input gives
the same sheets however busy the machine is. Measured: the demo shoots are proven in less than 0.1
in all."""
SEED = 1
_ROUNDING = 1e-6


@dataclass(frozen=True)
class Answer:
    """What is held, and what the goals came to."""

    shots: dict[Row, Pair]
    cues: dict[CueKey, Pair]
    values: tuple[int, ...]
    bounds: tuple[int, ...]


def solve(sheets: Sheets, steps: float = STEPS) -> Answer:
    """Return the best sheets: goals in strict order, each with a bound given those before it."""
    model = sheets.model
    values: list[int] = []
    bounds: list[int] = []
    goals: list[ShotGoal] = []
    known: list[int] = []
    solver = cp_model.CpSolver()
    for goal in goals_in_order(sheets):
        model.maximize(goal.expression)
        model.clear_hints()  # type: ignore[no-untyped-call]
        for index, value in enumerate(known):
            model.add_hint(model.get_int_var_from_proto_index(index), value)
        solver = _solver(steps)
        status = solver.solve(model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            raise RuntimeError("holding the main shots was no answer")  # it always is one
        value = round(solver.objective_value)
        bound = min(goal.most, math.floor(solver.best_objective_bound + _ROUNDING))
        known = list(solver.response_proto.solution)
        model.add(goal.expression >= value)
        goals.append(goal)
        values.append(value)
        bounds.append(max(bound, value))
    return Answer(
        shots={key: _chosen(solver, row) for key, row in sheets.shots.items()},
        cues={
            key: _chosen(solver, cues)
            for key, cues in sheets.cues.items()
            if any(solver.value(cue) for cue in cues.values())
        },
        values=tuple(values),
        bounds=tuple(bounds),
    )


def _chosen(solver: cp_model.CpSolver, choice: dict[Pair, cp_model.IntVar]) -> Pair:
    return next(pair for pair, var in choice.items() if solver.value(var))


def _solver(steps: float) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = SEED
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2  # without it fewest changes stay unproven
    solver.parameters.max_deterministic_time = steps
    solver.parameters.catch_sigint_signal = False
    return solver
