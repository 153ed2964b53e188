"""Plans put down by hand, for what betters them to begin with."""

from __future__ import annotations

from functools import cache

from kitplan.allocate.answer import Answer
from kitplan.allocate.begin import first_answer
from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.order import sum_in_order
from kitplan.allocate.settle import counted, decisions
from kitplan.allocate.solver import Limits
from kitplan.options.spots import find_options
from tests.bench.instances import instance

LIMITS = Limits(seconds=40, seed=1, workers=1)


@cache
def by_hand(seed: int) -> tuple[Allocation, tuple[Goal, ...], Answer]:
    """Return a shoot of the family S, its goals down to the viewpoints and the plan that is put
    down for it by hand, counted.
    """
    allocation = build(find_options(instance("S", seed)), "viewpoints")
    placed = first_answer(allocation, (), LIMITS)
    assert placed is not None
    x = allocation.variables
    goals = tuple(goals_in_order(x, allocation.demands, allocation.resets))[:4]
    values = {v.index: placed.value(v) for slot in x.slots for v in decisions(slot)}
    answer = counted(allocation, sum_in_order(goals[2:]), values, LIMITS)
    assert answer is not None
    return allocation, goals, answer
