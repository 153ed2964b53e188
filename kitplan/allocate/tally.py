"""What the goals of given placements come to, counted on a model of what stands alone.

Most of a large model is about places where nothing stands and cameras that stand elsewhere. Where
the placements are settled all that can still be decided is which of them count, what roles they do
and what else they frame, and for that a model a tenth as large does.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from kitplan.allocate.adopt import note_values
from kitplan.allocate.goals import Goal, goals_in_order, most_variety
from kitplan.allocate.keep import Kept, words_goal
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.order import sum_in_order
from kitplan.allocate.placed import decisions_of, read_placed
from kitplan.allocate.settle import counted, decisions
from kitplan.allocate.solver import Found, Limits, Listener, Reached, Step


def tally(
    allocation: Allocation,
    first: Sequence[Goal],
    keep: tuple[Kept, ...],
    limits: Limits,
    found: Found,
    tell: Listener,
) -> None:
    """Take over model, goals and answer of what stands alone, with the placements of the answer so
    far. Bounds stay those of all places.

    Args:
        first: The goals that are counted already, the first ones.
        keep: Of a plan before: roles and further shots stay where the goals allow it.
    """
    x = allocation.variables
    assert found.answer is not None
    read = read_placed(x.slots, found.answer.value)
    placed = {slot.name: here for slot, here in zip(x.slots, read, strict=True) if here}
    cameras: dict[tuple[str, str], set[int]] = defaultdict(set)
    for slot in x.slots:
        if slot.name in placed:
            cameras[slot.spot.key].add(placed[slot.name].camera)
    small = build(x.options, only=cameras)
    slots = small.variables.slots
    chosen = decisions_of(slots, [placed.get(slot.name) for slot in slots])
    assert chosen is not None, "a finer model has every shot of a coarser one"
    decided = {var.index: int(var.index in chosen) for s in slots for var in decisions(s)}
    goals = tuple(goals_in_order(small.variables, small.demands, small.resets))
    words = words_goal(small.variables, keep)
    num = len(first)
    for group in (goals[:num], (goals[num], words), *((goal,) for goal in goals[num + 1 :])):
        answer = counted(small, sum_in_order(group), decided, limits)
        if answer is None:
            raise RuntimeError("the placements of an answer could not be counted")
        for goal in group:
            small.model.add(goal.expression >= answer.value(goal.expression))
    mosts = [goal.most for goal in (*first, *goals[num:])]
    mosts[num] = most_variety(x, allocation.demands)
    found.goals = tuple(replace(g, most=most) for g, most in zip(goals, mosts, strict=True))
    found.allocation, found.answer = small, answer
    note_values(found.goals, limits, found, tell, [goal.id for goal in first])
    for goal in found.goals[num:]:
        value = found.value(goal.expression)
        bound = max(goal.most, value)
        found.reached[goal.id] = Reached(goal.id, value, bound, found.clock_s(limits))
        tell(Step(goal.id, value, bound, found.elapsed_s))
