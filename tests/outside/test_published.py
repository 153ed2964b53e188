"""The allocation on published problems whose optimum is known: data and sources in instances.json.

Assignment, generalised assignment and bin packing, each as a shoot that says the same
(`published`): rules, goals, search and second solver are those of every plan. Larger bin packing is
beyond what positions take; it is put to the solvers as rows, and both have to prove the optimum.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from ortools.sat.python import cp_model

from kitplan.allocate.matrix import to_highs
from kitplan.allocate.search import Found, Limits
from kitplan.allocate.solver import new_solver, run
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from tests.outside.published import (
    INSTANCES,
    VALUE_OF_ANY,
    assignment,
    bin_packing,
    generalised_assignment,
)

ALONE, BESIDE = Limits(20, seed=1, workers=1), Limits(10, seed=1, workers=2)
"""CP-SAT alone, and with the second solver beside it."""


def _of(kind: str) -> list[str]:
    return [name for name, data in INSTANCES.items() if data["kind"] == kind]


def _plan(brief: Brief, limits: Limits) -> Plan:
    plan = plan_shoot(brief, shoot_id="small", limits=limits)
    assert verify(plan) == ()
    return plan


def _proven(plan: Plan, goal: str) -> float:
    found = next(each for each in plan.goals if each.goal == goal)
    assert found.is_proven
    return found.value


@pytest.mark.parametrize("limits", [ALONE, BESIDE], ids=["alone", "with-second-solver"])
@pytest.mark.parametrize("name", _of("assignment"))
def test_the_best_assignment_is_found_and_proven(name: str, limits: Limits) -> None:
    """Which camera goes to which position: every row has one, and together they cost the least."""
    data = INSTANCES[name]
    brief, both = assignment(data["cost"])
    plan = _plan(brief, limits)
    assert both - _proven(plan, "wants") == data["least"]
    assert len(plan.placements) == len(data["cost"])


def check_generalised(name: str, limits: Limits) -> None:
    """Every job is done, no agent beyond its capacity, at the most value there is."""
    data = INSTANCES[name]
    plan = _plan(generalised_assignment(data["value"], data["use"], data["capacity"]), limits)
    jobs = len(data["value"][0])
    assert _proven(plan, "wants") - VALUE_OF_ANY * jobs == data["most"]
    assert len(plan.placements) == jobs


def test_the_best_generalised_assignment_is_found_and_proven() -> None:
    """Which camera each operator takes, so that batteries suffice."""
    check_generalised(_of("generalised assignment")[0], ALONE)


@pytest.mark.long
@pytest.mark.parametrize("limits", [ALONE, BESIDE], ids=["alone", "with-second-solver"])
@pytest.mark.parametrize("name", _of("generalised assignment"))
def test_every_generalised_assignment_is_found_and_proven(name: str, limits: Limits) -> None:
    """All that are at hand."""
    check_generalised(name, limits)


def test_items_fit_into_the_fewest_bins() -> None:
    """All supports find room at as many positions as there are bins in the best packing."""
    data = INSTANCES["ortools_binpack11"]
    plan = _plan(bin_packing(data["sizes"], data["capacity"], data["least"]), ALONE)
    assert _proven(plan, "musts") == 0
    assert len(plan.placements) == len(data["sizes"])


@pytest.mark.long
def test_items_do_not_fit_into_one_bin_less() -> None:
    """With a position less some support is left over, and which ones clash is said."""
    data = INSTANCES["ortools_binpack11"]
    plan = _plan(bin_packing(data["sizes"], data["capacity"], data["least"] - 1), ALONE)
    assert _proven(plan, "musts") < 0
    assert len(plan.clash) > 1


# -- the solvers alone -----------------------------------------------------------------------------


def packing(sizes: list[int], capacity: int, bins: int) -> cp_model.CpModel:
    """Return the rows of a packing into the fewest bins: each item in one, none overfull."""
    model = cp_model.CpModel()
    is_used = [model.new_bool_var(f"bin {b}") for b in range(bins)]
    inside = [
        [model.new_bool_var(f"item {i} in {b}") for b in range(bins)] for i in range(len(sizes))
    ]
    for row in inside:
        model.add(sum(row) == 1)
    for b, used in enumerate(is_used):
        load = sum(size * row[b] for size, row in zip(sizes, inside, strict=True))
        model.add(load <= capacity * used)
    for used, following in pairwise(is_used):
        model.add(used >= following)
    model.maximize(-sum(is_used))
    return model


LARGER = [pytest.param(name, marks=pytest.mark.long) for name in ("N1C1W1_A", "N1C3W1_A")]


@pytest.mark.parametrize("name", ["ortools_binpack11", *LARGER])
def test_both_solvers_prove_the_fewest_bins(name: str) -> None:
    """One bin more is offered than is needed; neither takes it."""
    data = INSTANCES[name]
    model = packing(data["sizes"], data["capacity"], data["least"] + 1)
    solver = new_solver(100, Limits(100, seed=1, workers=4))
    assert run(model, solver, None, Found()) == cp_model.OPTIMAL
    assert -solver.objective_value == data["least"]
    highs = to_highs(model)
    highs.setOptionValue("time_limit", 100.0)
    highs.run()
    bound = -highs.getInfo().mip_dual_bound
    assert (round(-highs.getInfo().objective_function_value), round(bound, 4)) == (
        data["least"],
        data["least"],
    )
