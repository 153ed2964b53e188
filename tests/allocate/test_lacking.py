"""Rigs that bring less than they might, held against what the plan itself says of them."""

from __future__ import annotations

import random

import pytest
from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.model import Allocation
from kitplan.allocate.search import Limits
from kitplan.allocate.variables import Slot
from kitplan.options.views import alike_views
from tests.allocate.by_hand import by_hand
from tests.allocate.searched import searched
from tests.small import person, position, show, small_brief

LIMITS = Limits(seconds=20, seed=1, workers=1)


def planned(seed: int) -> tuple[Allocation, tuple[int, ...]]:
    """Return a shoot of the family S and the plan that is put down for it by hand, counted."""
    allocation, _, answer = by_hand(seed)
    return allocation, tuple(answer.solution)


def full_views(slot: Slot) -> set[int]:
    """Numbers of the views that count in full from a slot."""
    return {slot.spot.view_numbers[view] for view, _, grade in slot.counted if grade == 3}


@pytest.mark.parametrize("seed", [0, 2, 3, 4])
def test_what_lacks_and_what_is_in_its_way(seed: int) -> None:
    """The first one stands, and does not count in full or is locked off; each of the others counts
    with a view that is alike to one that the first could have. (By hand all of S 1 count in full.)
    """
    allocation, solution = planned(seed)
    x = allocation.variables
    dice = random.Random(seed)

    def value(var: IntVar) -> int:
        return solution[var.index]

    for _ in range(30):
        first, *others = allocation.lacking.some(value, dice)
        slot = x.slots[first]
        assert value(slot.is_used)
        marks = [grade for (_, _, grade), var in slot.counted.items() if value(var)]
        is_operated = any(map(value, slot.operators.values()))
        assert marks in ([], [1], [2]) or not is_operated
        assert first not in others
        for number in others:
            held = [
                x.slots[number].spot.view_numbers[view]
                for (view, _, _), var in x.slots[number].counted.items()
                if value(var)
            ]
            views = tuple(x.options.views[n] for n in (*held, *sorted(full_views(slot))))
            assert len(held) == 1
            assert alike_views(x.options.brief, views)[0, 1:].any()


def test_nothing_lacks_where_all_count_in_full() -> None:
    """One camera, operated, with a full viewpoint."""
    brief = small_brief(positions=(position("front"),), passes=(show(),), crew=(person("ann"),))
    allocation, found = searched(brief, LIMITS)
    assert found.answer is not None
    solution = found.answer.solution
    used = [slot for slot in allocation.variables.slots if solution[slot.is_used.index]]
    assert [solution[v.index] for s in used for v in s.operators.values()] == [1]
    dice = random.Random(1)
    assert allocation.lacking.some(lambda var: solution[var.index], dice) == ()


def test_nothing_lacks_in_a_plan_by_hand_that_has_it_all() -> None:
    """S 1: every rig of the plan by hand counts in full, and whoever can operate does."""
    allocation, solution = planned(1)
    for slot in allocation.variables.slots:
        if solution[slot.is_used.index]:
            counts = [grade for (_, _, grade), v in slot.counted.items() if solution[v.index]]
            assert counts == [3]
    assert allocation.lacking.some(lambda var: solution[var.index], random.Random(1)) == ()
