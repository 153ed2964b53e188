"""Bounds of the linear relaxation: never under the best answer, and close to the best of the
relaxation as the simplex method of HiGHS finds it.
"""

from __future__ import annotations

import pytest
from ortools.sat.python import cp_model

from kitplan.allocate import climb as climbing
from kitplan.allocate.goals import goals_in_order
from kitplan.allocate.matrix import run, to_highs
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.part import Terms, Whole
from kitplan.allocate.relaxed import relaxed_bound, seconds_for
from kitplan.allocate.search import Limits, search
from kitplan.options.spots import find_options
from tests.allocate.test_part import random_model
from tests.bench.instances import instance


@pytest.mark.parametrize("seed", range(60))
def test_nothing_is_worth_more(seed: int) -> None:
    """On small models of all kinds of rows; within 1 % of the relaxation, or half a point."""
    model, _, aim = random_model(seed)
    model.maximize(aim)
    truth = cp_model.CpSolver()
    if truth.solve(model) == cp_model.INFEASIBLE:
        return
    whole = Whole(model)
    whole.refresh()
    bound = relaxed_bound(whole.rows, whole.ends, Terms.of(aim), 10.0, lambda: False)
    assert bound is not None
    assert bound >= round(truth.objective_value)
    highs = to_highs(model, relaxed=True)
    run(highs)
    relaxed = highs.getInfo().objective_function_value
    assert bound <= relaxed + 0.01 * abs(relaxed) + 0.5


def small_allocation() -> tuple[Allocation, Terms]:
    """A shoot of the family S down to its viewpoints."""
    allocation = build(find_options(instance("S", 0)), "viewpoints")
    goals = list(goals_in_order(allocation.variables, allocation.demands, allocation.resets))[:4]
    allocation.whole.refresh()
    return allocation, Terms.of(goals[-1].expression)


def test_it_stops_when_asked() -> None:
    """With nothing, or with a bound that says less."""
    allocation, aim = small_allocation()
    whole = allocation.whole
    free = relaxed_bound(whole.rows, whole.ends, aim, 60.0, lambda: False)
    stopped = relaxed_bound(whole.rows, whole.ends, aim, 60.0, lambda: True)
    assert free is not None
    assert stopped is None or stopped > free


def test_more_terms_take_longer() -> None:
    """Twice as many take more than twice as long."""
    allocation, _ = small_allocation()
    rows = allocation.whole.rows
    twice = rows._replace(column=rows.column.repeat(2))
    assert seconds_for(twice) > 2 * seconds_for(rows)


def test_a_large_search_is_bounded_by_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where every model counts as large: what is said of the viewpoints is that bound. A run that
    must repeat never asks for it.
    """
    monkeypatch.setattr("kitplan.allocate.model.LARGE", 0)
    monkeypatch.setattr("kitplan.allocate.search.Prover", lambda *_: None)
    told: list[int | None] = []

    def asked(*args: object) -> int | None:
        told.append(relaxed_bound(*args))  # type: ignore[arg-type]
        return told[-1]

    monkeypatch.setattr(climbing, "relaxed_bound", asked)
    monkeypatch.setattr(climbing, "PATIENCE", 100.0)  # small ones take longer than their share
    options = find_options(instance("S", 0))
    search(options, Limits(seconds=1, workers=1))
    assert told == []
    found = search(options, Limits(seconds=2, workers=2))
    (bound,) = told
    reached = found.reached["viewpoints"]
    assert bound is not None
    assert reached.value <= reached.bound == max(bound, reached.value)
