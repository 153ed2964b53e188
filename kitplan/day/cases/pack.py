"""The best packing: a first one by hand, then goal by goal with proof or an honest bound."""

from __future__ import annotations

from dataclasses import dataclass

from ortools.sat.python import cp_model

from kitplan.day.cases.first import Answer, first_packing
from kitplan.day.cases.model import GOALS, Packing, PackingModel, count
from kitplan.day.cases.things import Cargo
from kitplan.plan.day.cases import GOALS as GOAL_NAMES

EFFORT = 1.0
"""Most steps of the solver for each goal, in its own seconds: the same answer on any machine."""


@dataclass(frozen=True)
class Packed:
    """A packing, and how good it is."""

    packing: Packing
    loaded: tuple[str, ...]
    """Loose things in the vehicle."""
    value: tuple[int, ...]
    bound: tuple[int, ...]
    """Given the values of the goals before."""

    @property
    def fits(self) -> bool:
        """Whether nothing is left."""
        return self.value[GOAL_NAMES.index("left")] == 0

    @property
    def is_proven(self) -> bool:
        """Whether nothing better exists."""
        return self.value == self.bound


def pack(cargo: Cargo, *, goals: int = len(GOALS), effort: float = EFFORT) -> Packed:
    """Return the packing that is best in the first so many goals, in strict order.

    What has a home case goes there, if then everything fits: nothing is better in the first three
    goals. Only if not, things may be packed away from home.
    """
    if any(kind.home is not None for kind in cargo.kinds):
        packed = _improve(PackingModel(cargo, at_home=True), goals, effort)
        if packed is not None and packed.fits:
            return packed
    packed = _improve(PackingModel(cargo, at_home=False), goals, effort)
    assert packed is not None  # to pack nothing is always possible
    return packed


def _improve(one: PackingModel, goals: int, effort: float) -> Packed | None:
    """Return the best packing of a model; None where the model has none, or none was found."""
    best = first_packing(one)
    bounds: list[int] = []
    for number, goal in enumerate(GOALS[:goals]):
        expression = goal(one)
        if best is not None:
            _hint(one, best)
        if isinstance(expression, int):
            bounds.append(expression)
        else:
            solver = _solver(effort)
            one.model.minimize(expression)
            status = solver.solve(one.model)
            if status == cp_model.INFEASIBLE:
                assert number == 0  # a goal that was reached stays in reach
                return None
            if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                best = _read(one, solver)
            bounds.append(max(0, round(solver.best_objective_bound)))
        if best is None:
            if one.at_home:
                return None
            best = {}, ()
        value = count(one.cargo, best[0], best[1])[number]
        bounds[-1] = min(bounds[-1], value)
        one.model.add(expression <= value)
    assert best is not None
    reached = count(one.cargo, best[0], best[1])
    return Packed(best[0], best[1], reached, (*bounds, *(0 for _ in GOALS[goals:])))


def _solver(effort: float) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = effort
    solver.parameters.linearization_level = 2
    solver.parameters.catch_sigint_signal = False
    return solver


def _read(one: PackingModel, solver: cp_model.CpSolver) -> Answer:
    packing = {
        key: number if isinstance(number, int) else solver.value(number)
        for key, number in one.x.number.items()
    }
    loaded = tuple(unit for unit, is_in in one.x.loaded.items() if solver.value(is_in))
    return {key: number for key, number in packing.items() if number}, loaded


def _hint(one: PackingModel, answer: Answer) -> None:
    packing, loaded = answer
    one.model.clear_hints()  # type: ignore[no-untyped-call]
    used = {unit for _, unit in packing}
    for key, number in one.x.number.items():
        if isinstance(number, int):
            continue
        one.model.add_hint(number, packing.get(key, 0))
        if (has := one.x.has[key]) is not number:
            one.model.add_hint(has, key in packing)
    for unit, is_used in one.x.used.items():
        one.model.add_hint(is_used, unit in used)
    for unit, is_loaded in one.x.loaded.items():
        one.model.add_hint(is_loaded, unit in loaded)
