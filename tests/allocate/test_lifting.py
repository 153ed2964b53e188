"""The thinnest song raised, held against a solver that is given the whole model at once."""

from __future__ import annotations

import pytest
from ortools.sat.python import cp_model

from kitplan.allocate.lifting import Lifting
from kitplan.allocate.piecewise import begin
from kitplan.allocate.search import search
from kitplan.allocate.solver import Found, Step
from kitplan.options.spots import find_options
from tests.allocate.by_hand import LIMITS, by_hand
from tests.random_shoots import random_brief


def lifted(seed: int, *, was_stopped: bool = False) -> tuple[Found, list[Step]]:
    """Return what raising comes to from the plan by hand, and what it told."""
    allocation, goals, answer = by_hand(seed)
    found, told = Found(answer=answer, was_stopped=was_stopped), list[Step]()
    begin(goals, LIMITS, found)
    Lifting(allocation).lift(goals, answer, LIMITS, found, told.append)
    return found, told


@pytest.mark.parametrize("seed", [1, 5])
def test_the_thinnest_song_is_raised_to_its_most(seed: int) -> None:
    """As far as the whole model says it can be, musts and wants held, and no further."""
    allocation, goals, before = by_hand(seed)
    found, told = lifted(seed)
    thinnest = goals[2].expression
    model = allocation.model.clone()
    for goal in goals[:2]:
        model.add(goal.expression >= before.value(goal.expression))
        assert found.value(goal.expression) >= before.value(goal.expression)
    model.maximize(thinnest)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    assert found.value(thinnest) == solver.objective_value > before.value(thinnest)
    assert found.reached["thinnest"].is_proven
    assert told


def test_what_it_ends_with_holds() -> None:
    """Every row of the whole model, and what is counted is what is there."""
    allocation, goals, _ = by_hand(5)
    found, _ = lifted(5)
    assert found.answer is not None
    model = allocation.model.clone()
    for column, value in enumerate(found.answer.solution):
        model.add(model.get_int_var_from_proto_index(column) == value)
    model.maximize(goals[2].expression)
    solver = cp_model.CpSolver()
    assert solver.solve(model) == cp_model.OPTIMAL
    assert solver.objective_value == found.value(goals[2].expression)


def test_a_stop_leaves_the_answer() -> None:
    """Nothing is done any more."""
    _, _, before = by_hand(1)
    found, told = lifted(1, was_stopped=True)
    assert found.answer is before
    assert told == []


@pytest.mark.parametrize("seed", range(6))
def test_large_searches_with_it_find_the_same(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a tiny shoot taken for a large one goals down to the thinnest song come to their most, and
    no bound of the others is less than what there is.
    """
    brief = random_brief(seed)
    usual = search(find_options(brief), LIMITS)
    monkeypatch.setattr("kitplan.allocate.model.LARGE", 0)
    large = search(find_options(brief), LIMITS)
    assert usual.is_proven
    for goal, reached in usual.reached.items():
        assert large.reached[goal].value <= reached.value <= large.reached[goal].bound
    for goal in ("musts", "wants", "thinnest"):
        assert large.reached[goal].value == usual.reached[goal].value
