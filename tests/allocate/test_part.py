"""Parts cut out of a model: what is left has the same best answer as the whole with the same
decisions fixed; checked against the whole model, solved by CP-SAT as it is.
"""

from __future__ import annotations

import random
from typing import Any

import numpy as np
import pytest
from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.freeing import LEAST_SIZE, Choices, Freed
from kitplan.allocate.model import build
from kitplan.allocate.neighbours import Neighbourhoods
from kitplan.allocate.part import Terms, Whole, cut_out
from kitplan.allocate.search import Limits, search
from kitplan.options.spots import find_options
from tests.allocate.searched import searched
from tests.random_shoots import random_brief
from tests.small import run, show, small_brief

ONE = Limits(seconds=20, seed=1, workers=1)


def random_model(seed: int) -> tuple[cp_model.CpModel, list[cp_model.IntVar], Any]:
    """Return a small model of all kinds of rows that the allocation has, and what it maximises."""
    dice = random.Random(seed)
    model = cp_model.CpModel()
    some = [model.new_int_var(-2, dice.randint(0, 4), f"x{n}") for n in range(4)]
    some += [model.new_bool_var(f"b{n}") for n in range(6)]
    for _ in range(6):
        chosen = dice.sample(some, 4)
        terms = sum(dice.choice((-3, -1, 1, 2)) * var for var in chosen)
        low = dice.randint(-6, 1)
        row = model.add_linear_constraint(terms, low, low + dice.randint(3, 12))
        if dice.random() < 0.3:
            row.only_enforce_if(dice.choice(some[4:]))
    model.add_at_most_one([some[4], some[5].negated(), some[6]])
    return model, some, sum(dice.randint(-4, 6) * var for var in some) + dice.randint(-9, 9)


@pytest.mark.parametrize("seed", range(60))
def test_a_part_is_as_good_as_the_whole(seed: int) -> None:
    """Some decisions fixed, by turns at values that fit and at any: best value and answer agree."""
    model, some, aim = random_model(seed)
    dice = random.Random(-seed)
    fixed = dice.sample(some, dice.randint(0, 6))
    ends = {var.index: list(model.proto.variables[var.index].domain) for var in fixed}
    decided = {column: dice.randint(domain[0], domain[-1]) for column, domain in ends.items()}
    whole = Whole(model)
    whole.refresh()
    narrower = whole.ends.with_values(list(decided), list(decided.values()))
    part = cut_out(whole.rows, narrower, Terms.of(aim))
    model.maximize(aim)
    for column, value in decided.items():
        model.add(model.get_int_var_from_proto_index(column) == value)
    truth = cp_model.CpSolver()
    if truth.solve(model) == cp_model.INFEASIBLE:
        assert part is None or cp_model.CpSolver().solve(part.model) == cp_model.INFEASIBLE
        return
    assert part is not None
    solver = cp_model.CpSolver()
    assert solver.solve(part.model) == cp_model.OPTIMAL
    answer = part.answer(solver)
    assert solver.objective_value == truth.objective_value == answer.value(aim)
    for column, value in enumerate(answer.solution):  # and it is an answer of the whole
        model.add(model.get_int_var_from_proto_index(column) == value)
    assert cp_model.CpSolver().solve(model) == cp_model.OPTIMAL


@pytest.mark.parametrize("seed", range(40))
def test_a_known_answer_saves_looking_at_what_holds(seed: int) -> None:
    """Some decisions fixed as an answer has them: the part is the same with that answer, when rows
    with nothing open are not looked at, and without.
    """
    model, some, aim = random_model(seed)
    solver = cp_model.CpSolver()
    if solver.solve(model) == cp_model.INFEASIBLE:
        return
    answer = Answer.of(solver)
    columns = [var.index for var in random.Random(seed).sample(some, 7)]
    whole = Whole(model)
    whole.refresh()
    ends = whole.ends.with_values(columns, answer.values[columns])
    short = cut_out(whole.rows, ends, Terms.of(aim), answer.values)
    full = cut_out(whole.rows, ends, Terms.of(aim))
    assert short is not None
    assert full is not None
    for part in (short, full):
        part.model.clear_hints()  # type: ignore[no-untyped-call]
    assert str(short.model.proto) == str(full.model.proto)
    assert np.array_equal(short.columns, full.columns)
    assert np.array_equal(short.fixed, full.fixed)


def test_what_is_fixed_later_is_known() -> None:
    """A decision fixed after the rows were looked at, and one that came after them."""
    allocation = build(find_options(small_brief(passes=[show()])))
    allocation.whole.refresh()
    used = allocation.variables.slots[0].is_used
    late = allocation.model.new_bool_var("late")
    for var in (used, late):
        allocation.fix(var, 1)
    allocation.whole.refresh()
    assert allocation.whole.ends.least[[used.index, late.index]].tolist() == [1, 1]
    assert len(allocation.whole.ends.most) == len(allocation.model.proto.variables)


def test_a_part_is_small() -> None:
    """x = 3, x + y <= 3 and y + z >= 3 leave nothing to decide."""
    model = cp_model.CpModel()
    x, y, z = (model.new_int_var(0, 3, name) for name in "xyz")
    model.add(x + y <= 3)
    model.add(y + z >= 3)
    whole = Whole(model)
    whole.refresh()
    part = cut_out(whole.rows, whole.ends.with_values([x.index], [3]), Terms.of(x + 2 * y))
    assert part is not None
    assert part.columns.size == 0
    assert part.fixed.tolist() == [3, 0, 3]


def test_rows_that_come_later_are_taken_in() -> None:
    """`refresh` reads new rows and new decisions, and leaves what was fixed."""
    model = cp_model.CpModel()
    x = model.new_int_var(0, 9, "x")
    whole = Whole(model)
    whole.refresh()
    y = model.new_int_var(0, 5, "y")
    model.add(x + y <= 7)
    whole.fix(x.index, 3)
    whole.refresh()
    assert whole.rows.column.tolist() == [x.index, y.index]
    assert np.array_equal(whole.ends.least, [3, 0])
    assert np.array_equal(whole.ends.most, [3, 5])


@pytest.mark.parametrize("seed", range(4))
def test_a_step_that_frees_everything_finds_the_best_plan(seed: int) -> None:
    """From whatever a hurried search has: the goals down to the viewpoints as a full search has
    them.
    """
    brief = random_brief(seed)
    best = search(find_options(brief), ONE)
    allocation, hurried = searched(brief, Limits(seconds=0.001, seed=1, workers=1))
    assert hurried.answer is not None
    around = Neighbourhoods(allocation, hurried.goals)
    around.aim_at(("musts", "wants", "thinnest", "viewpoints"), {})
    part = around.around(hurried.answer, frozenset(range(len(around.slots))))
    assert part is not None
    solver = cp_model.CpSolver()
    assert solver.solve(part.model) == cp_model.OPTIMAL
    answer = part.answer(solver)
    values = {goal.id: answer.value(goal.expression) for goal in hurried.goals[:4]}
    assert values == {goal: best.reached[goal].value for goal in values}


def test_what_is_known_to_hold_nothing_better_is_not_freed_again() -> None:
    """Until something is gained elsewhere; easy choices grow, those cut short shrink."""
    slots = build(find_options(small_brief(passes=(run(), show())))).variables.slots
    sizes: dict[str, float] = {}
    choices = Choices(slots, lambda _: True, list, lambda _: (), 1, sizes)
    everything = Freed(choices.next().kind, frozenset(range(len(slots))))
    choices.hear(everything, 0.0, is_best=True, is_known=False, is_gain=False)
    assert any(choices.next().slots for _ in range(5))
    choices.hear(everything, 0.0, is_best=True, is_known=True, is_gain=False)
    assert {choices.next().slots for _ in range(10)} == {frozenset()}
    choices.hear(everything, 0.0, is_best=True, is_known=True, is_gain=True)
    assert any(choices.next().slots for _ in range(5))
    assert sizes[everything.kind] == len(slots)
    for _ in range(9):
        choices.hear(everything, 9.0, is_best=False, is_known=False, is_gain=False)
    assert sizes == {everything.kind: LEAST_SIZE}
