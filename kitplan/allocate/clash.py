"""Which demands clash: a smallest set of musts that cannot all hold.

A separate satisfaction model, minimised by deletion: a core taken from a model with an objective
is not minimal. Dropping any one demand of the set makes the rest possible.
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from kitplan.allocate.demands import Demand
from kitplan.allocate.model import build
from kitplan.allocate.solver import Limits, new_solver
from kitplan.options.spots import Options


def smallest_clash(options: Options, limits: Limits) -> tuple[Demand, ...]:
    """Return demands that cannot all hold, none of which can be left out; empty if all can hold.

    A question that is not settled in its share of the time counts as possible, so that nothing is
    called a clash without proof.
    """
    allocation = build(options)
    musts = allocation.demands.musts
    assumed = [demand.is_met for demand in musts]
    core = _core(allocation.model, assumed, limits)
    if core is None:
        return ()
    kept = [demand for demand in musts if demand.is_met.index in core]
    for demand in tuple(kept):
        others = [other for other in kept if other is not demand]
        smaller = _core(allocation.model, [other.is_met for other in others], limits)
        if smaller is not None:
            kept = [other for other in others if other.is_met.index in smaller]
    return tuple(kept)


def _core(
    model: cp_model.CpModel, assumed: list[cp_model.IntVar], limits: Limits
) -> frozenset[int] | None:
    """Return which of the assumptions clash, by index, or None if they can all hold."""
    model.clear_assumptions()
    model.add_assumptions(assumed)
    solver = new_solver(max(limits.seconds / 4, 5.0), limits, workers=1)
    status = solver.solve(model)
    if status != cp_model.INFEASIBLE:
        return None
    return frozenset(solver.sufficient_assumptions_for_infeasibility())
