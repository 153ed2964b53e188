"""The second solver: it proves what the first proves, and is believed only where the two agree."""

from __future__ import annotations

import subprocess
import sys
from typing import Any

import highspy
import pytest
from ortools.sat.python import cp_model

from kitplan.allocate.adopt import Adoption
from kitplan.allocate.matrix import to_highs
from kitplan.allocate.model import build
from kitplan.allocate.prover import Proven, Prover
from kitplan.allocate.search import search
from kitplan.allocate.solver import Limits, Step
from kitplan.options.spots import find_options
from kitplan.shoot.brief import Brief
from tests.allocate.searched import searched
from tests.random_shoots import random_brief
from tests.small import run, show, small_brief

ONE = Limits(seconds=20, seed=1, workers=1)


def proven_by_second(brief: Brief) -> list[Proven]:
    """Return all that the second solver proves by itself."""
    prover = Prover(build(find_options(brief), "viewpoints"), Limits(seconds=60))
    prover.begin()
    prover._thread.join()
    return prover.proven


@pytest.mark.parametrize("seed", range(8))
def test_both_solvers_prove_the_same_values(seed: int) -> None:
    """Goal by goal, on random small shoots; neither knows what the other found."""
    brief = random_brief(seed)
    found = search(find_options(brief), ONE)
    ours = {goal: reached.value for goal, reached in found.reached.items()}
    assert all(reached.is_proven for reached in found.reached.values())
    assert {each.goal: each.value for each in proven_by_second(brief)} == ours


def test_the_search_alone_and_with_the_second_solver_come_to_the_same() -> None:
    """With several workers the second solver runs beside the first."""
    brief = small_brief(passes=(run(), show()))
    alone = search(find_options(brief), ONE)
    together = search(find_options(brief), Limits(seconds=20, seed=1, workers=2))
    values = [{goal: each.value for goal, each in f.reached.items()} for f in (alone, together)]
    assert values[0] == values[1]
    assert all(each.is_proven for each in together.reached.values())


# -- trust -----------------------------------------------------------------------------------------


class _Says:
    """Stands for a second solver that has proven what a test says."""

    def __init__(self, *proven: Proven, **bounds: int) -> None:
        self.proven, self.bounds = list(proven), bounds

    def has_proven(self, goal_ids: tuple[str, ...]) -> bool:
        return set(goal_ids) <= {each.goal for each in self.proven}

    def stop(self) -> None:
        """Nothing is at work."""


def _quiet(_: Step) -> None:
    return None


@pytest.mark.parametrize(
    ("off", "is_believed"), [(0, True), (-1, False)], ids=["the same", "less than was found"]
)
def test_a_solver_that_disagrees_is_not_believed(off: int, is_believed: bool) -> None:
    """It 'proves' one viewpoint less than the first has found: nothing it says counts any more."""
    brief = small_brief()
    allocation, found = searched(brief, ONE)
    first: dict[str, Any] = {goal.id: goal for goal in found.goals}
    truth = proven_by_second(brief)
    said = [Proven(p.goal, p.value + off * (p.goal == "thinnest"), p.placed) for p in truth]
    second = Adoption(_Says(*said))  # type: ignore[arg-type]
    assert second.has_news
    assert second.has_proven(("thinnest",))
    second.take_over(allocation, list(first.values()), ONE, found, _quiet)
    assert second.has_proven(("thinnest",)) == is_believed
    assert not second.has_news
    assert found.reached["thinnest"].value == found.value(first["thinnest"].expression)


def test_an_answer_is_taken_over_row_by_row() -> None:
    """From the empty plan to the best one, as the second solver has it: all its values come out."""
    brief = small_brief()
    best = search(find_options(brief), ONE)
    allocation, found = searched(brief, Limits(seconds=0.001, seed=1, workers=1))
    goals = found.goals
    proven = proven_by_second(brief)
    Adoption(_Says(*proven)).take_over(allocation, goals, ONE, found, _quiet)  # type: ignore[arg-type]
    values = {goal.id: found.value(goal.expression) for goal in goals}
    assert values == {goal: reached.value for goal, reached in best.reached.items()}


# -- the matrix ------------------------------------------------------------------------------------


def best_of(model: cp_model.CpModel) -> tuple[int, int]:
    """Return what both solvers find best."""
    solver = cp_model.CpSolver()
    assert solver.solve(model) == cp_model.OPTIMAL
    highs = to_highs(model)
    highs.run()
    assert highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return round(solver.objective_value), round(highs.getInfo().objective_function_value)


@pytest.mark.parametrize("held", [0, 1])
@pytest.mark.parametrize("row", ["at least", "at most", "both"])
def test_rows_that_hold_only_sometimes_hold_in_both(row: str, held: int) -> None:
    """3x + 2y held between 4 and 7 while a decision is 1: smallest and largest are the same."""
    for way in (1, -1):
        model = cp_model.CpModel()
        x, y = model.new_int_var(0, 3, "x"), model.new_int_var(-2, 2, "y")
        literal = model.new_bool_var("held")
        model.add(literal == held)
        low = 4 if row != "at most" else -99
        high = 7 if row != "at least" else 99
        model.add_linear_constraint(3 * x + 2 * y, low, high).only_enforce_if(literal)
        model.maximize(way * (3 * x + 2 * y))
        ours, theirs = best_of(model)
        assert ours == theirs
        # 9 + 4 and 0 - 4 where nothing holds
        expected = {1: high if held and row != "at least" else 13}
        expected[-1] = -low if held and row != "at most" else 4
        assert ours == expected[way]


def test_at_most_one_counts_opposites_in_both() -> None:
    """At most one of a, not b: with b at 0 there is no a."""
    model = cp_model.CpModel()
    a, b, c = (model.new_bool_var(name) for name in "abc")
    model.add_at_most_one([a, b.negated(), c])
    model.maximize(2 * a + c - b)
    assert best_of(model) == (1, 1)  # a and b: 2 - 1; without b nothing else may be


def test_a_row_of_another_kind_is_refused() -> None:
    """Nobody is given a weaker model without notice."""
    model = cp_model.CpModel()
    a, b = model.new_int_var(0, 5, "a"), model.new_int_var(0, 5, "b")
    model.add_max_equality(a, [b, 3])
    model.maximize(a)
    with pytest.raises(ValueError, match="a row that is not linear"):
        to_highs(model)


def test_the_second_solver_leaves_the_standard_output_alone() -> None:
    """Its banner would spoil what other programs read."""
    code = (
        "from ortools.sat.python import cp_model; from kitplan.allocate.matrix import to_highs; "
        "m = cp_model.CpModel(); x = m.new_bool_var('x'); m.maximize(x); to_highs(m).run(); "
        "print('only this')"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "only this\n"
