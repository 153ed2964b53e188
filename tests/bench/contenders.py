"""Those that `allocate` measures, each on one brief for so many seconds.

Ours is `plan_shoot` as anybody runs it. The general solvers get the very same rows as ours, and
once more in their plain formulation (`plain`), goal by goal: a goal's best value is held while the
next is maximised, their last answer is their start for the next, and each goal may take the share
of the time left that ours allows. All cores there are; gaps of less than one whole count as none.
Where their time ends, the placements that they have are counted exactly for all goals, by CP-SAT
and off the clock. The crew lead needs no model.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import dataclass
from math import floor
from typing import Any

import numpy as np
from ortools.sat.python import cp_model
from scipy.sparse import csr_matrix

from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.matrix import rows_of, run, to_highs, value_of
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.settle import decisions, fix
from kitplan.options.spots import Options, find_options
from kitplan.plan.verify import SHOWN_PER_WHOLE, verify
from kitplan.produce.solve import NoPlanInTime, plan_shoot
from kitplan.shoot.brief import Brief
from tests.bench.by_hand import Lead
from tests.bench.plain import build_plain

SHARES = {
    "musts": 0.5, "wants": 0.5, "thinnest": 0.5, "viewpoints": 0.75, "variety": 0.4,
    "quality": 0.5, "economy": 1.0,
}  # fmt: skip
"""Share of the time left that a goal may take."""
PLAIN = " plain"
"""Ends the names of those that get the plain formulation."""
NEXT_WHOLE, ROUNDING = 0.99, 1e-4
SETTLE_SECONDS = 10.0
MOST = 1e15
HAND_SECONDS = 600.0
"""The crew lead plans to the end, whatever the others are given; this is for the largest shoots."""


@dataclass(frozen=True)
class Tried:
    """How one goal ended in a general solver."""

    solution: list[float] | None
    bound: float | None
    is_optimal: bool


Solver = Callable[[cp_model.CpModel, list[float], float], Tried]
Result = dict[str, Any]
"""`goals`: by id [value, bound or None, is proven, at s]; empty where nothing was found."""


def cores() -> int:
    """Return how many cores this process may use."""
    return len(os.sched_getaffinity(0))


def measure(contender: str, brief: Brief, seconds: float, last: str | None = None) -> Result:
    """Return what a contender reaches; general solvers end with the goal `last`, if given."""
    if contender == "ours":
        return _ours(brief, seconds)
    if contender == "hand":
        return _hand(brief)
    name = contender.removesuffix(PLAIN)
    formulate = build if name == contender else build_plain
    return _general(brief, seconds, SOLVERS[name], last, formulate)


def _ours(brief: Brief, seconds: float) -> Result:
    from kitplan.allocate.search import Limits

    start = time.monotonic()
    try:
        plan = plan_shoot(brief, shoot_id="shoot", limits=Limits(seconds=seconds))
    except NoPlanInTime:
        return {"goals": {}, "took_s": time.monotonic() - start}
    took = time.monotonic() - start
    findings = verify(plan)
    goals = {}
    for each in plan.goals:
        scale = SHOWN_PER_WHOLE.get(each.goal, 1.0)
        value, bound = round(each.value * scale), round(each.bound * scale)
        goals[each.goal] = [value, bound, each.is_proven, each.seconds]
    return {"goals": goals, "took_s": took, "faults": [str(finding) for finding in findings[:3]]}


def _hand(brief: Brief) -> Result:
    start = time.monotonic()
    lead = Lead(brief, HAND_SECONDS)
    values = lead.plan()
    took = time.monotonic() - start
    goals = {goal: [value, None, False, took] for goal, value in values.items()}
    return {
        "goals": goals,
        "took_s": took,
        "cut_short": lead.is_out_of_time,
        "faults": lead.faults()[:3],
    }


# -- general solvers -------------------------------------------------------------------------------


def _general(
    brief: Brief,
    seconds: float,
    solve: Solver,
    last: str | None,
    formulate: Callable[[Options], Allocation],
) -> Result:
    """Go through the goals in strict order."""
    began = time.monotonic()
    allocation = formulate(find_options(brief))
    model = allocation.model
    start, goals, ends = time.monotonic(), [], {}
    solution: list[float] | None = None
    for goal in goals_in_order(allocation.variables, allocation.demands, allocation.resets):
        goals.append(goal)
        left = seconds - (time.monotonic() - start)
        if left <= 0:
            continue
        model.maximize(goal.expression)
        known = solution if solution is not None else [0.0] * len(model.proto.variables)
        tried = solve(model, known, left * SHARES[goal.id])
        ends[goal.id] = (tried, time.monotonic() - start)
        if tried.solution is not None:
            solution = tried.solution
            model.add(goal.expression >= value_of(model, goal.expression, solution))
        if goal.id == last:
            break
    took = time.monotonic() - start
    settled = {} if solution is None else _settled(allocation, goals, solution)
    return {
        "goals": {goal: _row(value, *ends.get(goal, (None, took)))
                  for goal, value in settled.items()},
        "took_s": took,
        "build_s": start - began,
        "columns": len(model.proto.variables),
        "rows": len(model.proto.constraints),
        "faults": [] if settled or solution is None else ["its answer breaks rows"],
    }  # fmt: skip


def _row(value: int, tried: Tried | None, at_s: float) -> list[Any]:
    if tried is None or tried.bound is None or abs(tried.bound) > MOST:
        return [value, None, False, at_s]
    bound = max(floor(tried.bound + ROUNDING), value)
    return [value, bound, tried.is_optimal and value >= bound, at_s]


def _settled(allocation: Allocation, goals: list[Goal], solution: list[float]) -> dict[str, int]:
    """Return the exact values of all goals for the placements of an answer."""
    model = allocation.model
    for slot in allocation.variables.slots:
        for var in decisions(slot):
            fix(model, var, round(solution[var.index]))
    found: dict[str, int] = {}
    for goal in goals:
        model.maximize(goal.expression)
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = SETTLE_SECONDS
        if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return {}
        found[goal.id] = int(solver.value(goal.expression))
        model.add(goal.expression >= found[goal.id])
    return found


def cp_sat(model: cp_model.CpModel, known: list[float], seconds: float) -> Tried:
    """CP-SAT with its own defaults and as many workers as cores."""
    model.clear_hints()  # type: ignore[no-untyped-call]
    for index, value in enumerate(known):
        model.add_hint(model.get_int_var_from_proto_index(index), round(value))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(seconds, 0.05)
    solver.parameters.num_workers = cores()
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Tried(None, None, False)
    solution = [float(value) for value in solver.response_proto.solution]
    return Tried(solution, solver.best_objective_bound, status == cp_model.OPTIMAL)


def highs(model: cp_model.CpModel, known: list[float], seconds: float) -> Tried:
    """HiGHS on the same rows."""
    import highspy

    # whoever was first in this process has settled how many threads there are
    highspy.Highs.resetGlobalScheduler(True)
    solver = to_highs(model)
    for name, value in {
        "time_limit": max(seconds, 0.05),
        "threads": cores(),
        "mip_rel_gap": 0.0,
        "mip_abs_gap": NEXT_WHOLE,
    }.items():
        solver.setOptionValue(name, value)
    places = np.arange(len(known), dtype=np.int32)
    solver.setSolution(len(known), places, np.array(known, dtype=float))
    run(solver)
    info = solver.getInfo()
    solution = list(solver.getSolution().col_value)
    has_answer = abs(info.objective_function_value) < MOST and len(solution) > 0
    is_optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return Tried(solution if has_answer else None, info.mip_dual_bound, is_optimal)


def scip(model: cp_model.CpModel, known: list[float], seconds: float) -> Tried:
    """SCIP, as OR-Tools ships it, on the same rows."""
    from ortools.linear_solver.python import model_builder

    matrix, variables, objective = rows_of(model), model.proto.variables, model.proto.objective
    scale = objective.scaling_factor or 1.0
    cost = np.zeros(len(variables))
    for column, value in zip(objective.vars, objective.coeffs, strict=True):
        cost[column] = value * scale
    domains = [list(variable.domain) for variable in variables]
    rows = csr_matrix(
        (matrix.values, matrix.columns, [*matrix.starts, len(matrix.columns)]),
        shape=(len(matrix.low), len(variables)),
    )
    peer: Any = model_builder.Model()  # type: ignore[no-untyped-call]
    peer.helper.fill_model_from_sparse_data(
        np.array([float(domain[0]) for domain in domains]),
        np.array([float(domain[-1]) for domain in domains]),
        cost,
        np.array(matrix.low),
        np.array(matrix.high),
        rows,
    )
    for column in range(len(variables)):
        peer.helper.set_var_integrality(column, True)
    peer.helper.set_objective_offset(objective.offset * scale)
    peer.helper.set_maximize(scale < 0)
    for column, value in enumerate(known):
        peer.add_hint(peer.var_from_index(column), value)
    solver = model_builder.Solver("scip")
    solver.set_time_limit_in_seconds(max(seconds, 0.05))
    solver.set_solver_specific_parameters(f"limits/gap = 0\nlimits/absgap = {NEXT_WHOLE}")
    status = solver.solve(peer)
    if status not in (model_builder.SolveStatus.OPTIMAL, model_builder.SolveStatus.FEASIBLE):
        return Tried(None, None, False)
    values = solver.values(peer.get_variables())
    is_optimal = status == model_builder.SolveStatus.OPTIMAL
    return Tried([float(v) for v in values], solver.best_objective_bound, is_optimal)


SOLVERS: dict[str, Solver] = {"cp-sat": cp_sat, "highs": highs, "scip": scip}
PEERS = (*SOLVERS, *(f"{name}{PLAIN}" for name in SOLVERS), "hand")
CONTENDERS = ("ours", *PEERS)
