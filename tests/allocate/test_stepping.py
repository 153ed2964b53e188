"""Steps side by side: every answer holds, none is worse, and what two have gained is joined."""

from __future__ import annotations

import random
import threading
from contextlib import closing

import pytest
from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.begin import first_answer
from kitplan.allocate.freeing import Choices
from kitplan.allocate.goals import goals_in_order
from kitplan.allocate.model import build
from kitplan.allocate.neighbours import Neighbourhoods
from kitplan.allocate.order import sum_in_order
from kitplan.allocate.settle import counted, decisions, with_placements
from kitplan.allocate.solver import Found, Limits
from kitplan.allocate.stepping import Steps
from kitplan.allocate.variables import Slot
from kitplan.options.spots import find_options
from tests.bench.instances import instance

LIMITS = Limits(seconds=20, seed=1, workers=3)
AIMS = ("musts", "wants", "thinnest", "viewpoints")


def begun(seed: int) -> tuple[Neighbourhoods, Found]:
    """Return a shoot of the family S with the plan put down by hand, all four first goals ahead."""
    allocation = build(find_options(instance("S", seed)), "viewpoints")
    by_hand = first_answer(allocation, (), LIMITS)
    assert by_hand is not None
    x = allocation.variables
    coming = goals_in_order(x, allocation.demands, allocation.resets)
    goals = tuple(next(coming) for _ in AIMS)
    values = {v.index: by_hand.value(v) for slot in x.slots for v in decisions(slot)}
    answer = counted(allocation, sum_in_order(goals), values, LIMITS)
    assert answer is not None
    around = Neighbourhoods(allocation, goals)
    around.aim_at(AIMS, {})
    return around, Found(answer=answer, goals=goals)


def holds(around: Neighbourhoods, answer: Answer) -> bool:
    """Whether CP-SAT finds the placements of an answer to hold in the whole model."""
    model = with_placements(around.allocation.model, around.slots, answer.value)
    return cp_model.CpSolver().solve(model) == cp_model.OPTIMAL


def choices(around: Neighbourhoods, found: Found) -> Choices:
    """Choices without wishes."""

    def is_used(slot: Slot) -> bool:
        return bool(found.value(slot.is_used))

    return Choices(around.slots, is_used, list, lambda _: (), 1, {})


@pytest.mark.parametrize("seed", range(3))
def test_steps_side_by_side_only_better(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three at a time: worth never falls, rises in the end, and the answer holds."""
    monkeypatch.setattr("kitplan.allocate.model.LARGE", 0)
    monkeypatch.setattr("kitplan.allocate.stepping.usable_cores", lambda: 3)
    around, found = begun(seed)
    assert found.answer is not None
    first = worth = around.value_of(found.answer)
    before = threading.active_count()
    with closing(Steps(around, choices(around, found), LIMITS, found)) as steps:
        for _ in range(24):
            is_gain = steps.next(20.0)
            now = around.value_of(found.answer)
            assert now > worth if is_gain else now == worth
            worth = now
    assert threading.active_count() == before
    assert worth > first
    assert holds(around, found.answer)


def test_a_run_that_must_repeat_takes_one_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same answers twice, and no thread of its own."""
    monkeypatch.setattr("kitplan.allocate.model.LARGE", 0)
    ends = []
    for _ in range(2):
        around, found = begun(0)
        limits = Limits(seconds=20, seed=1, workers=1)
        with closing(Steps(around, choices(around, found), limits, found)) as steps:
            for _ in range(8):
                steps.next(20.0)
        assert found.answer is not None
        ends.append((found.answer.solution, found.spent_s))
    assert ends[0] == ends[1]


def test_what_two_have_gained_is_joined() -> None:
    """Some slots as in one answer, the rest as in another; where that holds it is as said."""
    around, found = begun(2)
    base, dice, joined = found.answer, random.Random(2), 0
    assert base is not None
    for _ in range(12):
        answers = []
        numbers = dice.sample(range(len(around.slots)), 8)
        for free in (frozenset(numbers[:4]), frozenset(numbers[4:])):
            part = around.around(base, free)
            solver = cp_model.CpSolver()
            assert part is not None
            assert solver.solve(part.model) == cp_model.OPTIMAL
            answers.append((free, part.answer(solver)))
        (_, one), (free, two) = answers
        part = around.joined(one, two, free)
        if part is None:
            continue
        joined += 1
        solver = cp_model.CpSolver()
        if solver.solve(part.model) == cp_model.OPTIMAL:
            both = part.answer(solver)
            assert holds(around, both)
            for number, slot in enumerate(around.slots):
                source = two if number in free else one
                own = [var.index for var in decisions(slot)]
                assert [both.solution[c] for c in own] == [source.solution[c] for c in own]
    assert joined > 3
