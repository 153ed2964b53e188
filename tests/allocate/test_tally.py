"""Goals counted on a model of what stands alone: what they come to on the whole model."""

from __future__ import annotations

import pytest
from ortools.sat.python import cp_model

from kitplan.allocate.goals import goals_in_order
from kitplan.allocate.keep import Kept, kept_of, words_goal
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.placed import Placed, decisions_of, read_placed
from kitplan.allocate.readback import read_back
from kitplan.allocate.settle import with_placements
from kitplan.allocate.solver import GOAL_IDS, Found, Limits, Reached, Step
from kitplan.allocate.tally import tally
from kitplan.allocate.variables import Slot
from tests.allocate.by_hand import by_hand

LIMITS = Limits(seconds=20, seed=1, workers=1)
SEEDS = (0, 3, 7)


def tallied(seed: int, keep: tuple[Kept, ...] = ()) -> tuple[Found, list[str]]:
    """Return what is found for a plan put down by hand, and the goals that were told of."""
    allocation, first, answer = by_hand(seed)
    found = Found(answer=answer, goals=first)
    for goal in first:
        value = answer.value(goal.expression)
        found.reached[goal.id] = Reached(goal.id, value, goal.most, 0.0)
    told: list[Step] = []
    tally(allocation, first, keep, LIMITS, found, told.append)
    return found, [step.goal for step in told]


def placed_in(slots: tuple[Slot, ...], found: Found) -> dict[str, Placed]:
    """Return what stands by name of the slot."""
    assert found.answer is not None
    read = read_placed(slots, found.answer.value)
    return {slot.name: here for slot, here in zip(slots, read, strict=True) if here}


def on_the_whole(seed: int, placed: dict[str, Placed]) -> tuple[Allocation, dict[str, int], int]:
    """Return the full model, what each goal comes to with these placements, solved by CP-SAT as it
    is, and the most that variety can come to.
    """
    options = by_hand(seed)[0].variables.options
    whole = build(options)
    x = whole.variables
    goals = tuple(goals_in_order(x, whole.demands, whole.resets))
    chosen = decisions_of(x.slots, [placed.get(slot.name) for slot in x.slots])
    assert chosen is not None
    model = with_placements(whole.model, x.slots, lambda var: int(var.index in chosen))
    values = {}
    for goal in goals:
        model.maximize(goal.expression)
        solver = cp_model.CpSolver()
        assert solver.solve(model) == cp_model.OPTIMAL
        values[goal.id] = int(solver.value(goal.expression))
        model.add(goal.expression >= values[goal.id])
    return whole, values, goals[GOAL_IDS.index("variety")].most


@pytest.mark.parametrize("seed", SEEDS)
def test_all_goals_come_to_what_they_do_on_the_whole(seed: int) -> None:
    """The same placements on a small part of the model, and bounds that are those of the whole."""
    coarse, *_ = by_hand(seed)
    found, told = tallied(seed)
    assert set(told) >= {"variety", "quality", "economy"}
    assert found.allocation is not None
    placed = placed_in(found.allocation.variables.slots, found)
    assert placed
    before = Found(answer=by_hand(seed)[2])
    assert placed == placed_in(coarse.variables.slots, before)
    whole, values, most_variety = on_the_whole(seed, placed)
    assert {goal.id: found.value(goal.expression) for goal in found.goals} == values
    assert {goal: reached.value for goal, reached in found.reached.items()} == values
    assert found.reached["variety"].bound == most_variety
    assert found.reached["quality"].bound == found.reached["economy"].bound == 0
    size = len(found.allocation.model.proto.variables)
    assert size < len(whole.model.proto.variables) / 2


def test_roles_and_further_shots_stay_where_they_can() -> None:
    """Of a plan before all stay, and no others come."""
    found, _ = tallied(0)
    assert found.allocation is not None
    assert found.answer is not None
    chosen = read_back(found.allocation.variables, found.answer)
    keep = kept_of(chosen)
    again, _ = tallied(0, keep)
    assert again.allocation is not None
    assert again.answer is not None
    words = words_goal(again.allocation.variables, keep)
    assert again.value(words.expression) == words.most
    after = read_back(again.allocation.variables, again.answer)
    assert [(each.roles, each.menu) for each in after] == [
        (each.roles, each.menu) for each in chosen
    ]
