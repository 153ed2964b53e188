"""Neighbourhood search: better an answer by freeing a few slots at a time.

Where the whole model is too large to settle in time, most of an answer is kept and some of it is
decided anew: one pass, the positions around one, a few used and idle slots, a few at random. Each
step is exact for what it frees and keeps the goals in strict order as one weighted sum, so an
answer only ever gets better. It proves nothing: bounds stay those of the search before.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from itertools import count
from math import dist
from typing import Any

from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.goals import Goal
from kitplan.allocate.model import Allocation
from kitplan.allocate.settle import hint, with_placements
from kitplan.allocate.variables import Slot

SPREAD = {"quality": 2_000, "economy": 20_000_000}
"""More than the value of these goals can differ between two plans worth comparing."""
NEAR_POSITIONS = 5
RANDOM_SLOTS = 8
IDLE_SLOTS = 12


class Neighbourhoods:
    """A model in which some goals are bettered while those before them are held."""

    def __init__(self, allocation: Allocation, goals: tuple[Goal, ...]) -> None:
        self.allocation, self._model = allocation, allocation.model
        self._objective: Any = 0
        self._held: dict[str, int] = {}
        self.slots = allocation.variables.slots
        self.goals = goals

    def aim_at(self, goal_ids: tuple[str, ...], held: dict[str, int]) -> None:
        """From now on maximise these goals in strict order, and hold others at their values. The
        model itself holds nothing: what another solver proves may be less in a later goal.
        """
        self._held.update(held)
        weight, objective = 1, 0
        for goal in reversed(self.goals):
            if goal.id in goal_ids:
                objective = weight * goal.expression + objective
                weight *= SPREAD.get(goal.id, goal.most) + 1
        self._objective = objective
        self._model.maximize(objective)

    def value_of(self, answer: cp_model.CpSolver | Answer) -> int:
        """Return the weighted sum of an answer."""
        return int(answer.value(self._objective))

    def around(self, solution: list[int], free: frozenset[int]) -> cp_model.CpModel:
        """Return the model with every slot but the free ones kept as in a solution."""
        kept = (slot for number, slot in enumerate(self.slots) if number not in free)
        model = with_placements(self._model, kept, lambda var: solution[var.index])
        for goal in self.goals:
            if goal.id in self._held:
                model.add(goal.expression >= self._held[goal.id])
        hint(model, solution)
        return model


def choices(
    slots: tuple[Slot, ...], used: Callable[[Slot], bool], seed: int
) -> Iterator[frozenset[int]]:
    """Yield sets of slots to free, for ever: passes, surroundings, people, handfuls, in turn; none
    where there are no slots.
    """
    if not slots:
        return
    dice = random.Random(seed)
    passes = sorted({slot.spot.each.id for slot in slots})
    while True:
        yield _surroundings(slots, dice)
        yield _with_people(slots, used, dice)
        yield frozenset(dice.sample(range(len(slots)), min(RANDOM_SLOTS, len(slots))))
        chosen = dice.choice(passes)
        yield frozenset(n for n, slot in enumerate(slots) if slot.spot.each.id == chosen)


def departures(
    slots: tuple[Slot, ...], leaves: Callable[[Slot], bool], used: Callable[[Slot], bool], seed: int
) -> Iterator[frozenset[int]]:
    """Yield sets of slots to free so that a place may be left, for ever: each used slot that is
    worth leaving in turn, with idle ones near it in its pass; then two used slots at a time, three
    and so on.
    """
    dice = random.Random(seed)
    for handful in count(1):
        for number, slot in enumerate(slots):
            if not (used(slot) and leaves(slot)):
                continue
            busy = [n for n, other in enumerate(slots) if n != number and used(other)]
            chosen = {number, *dice.sample(busy, min(handful - 1, len(busy)))}
            yield frozenset(chosen).union(*(_idle_near(slots, n, used) for n in chosen))
        yield frozenset(dice.sample(range(len(slots)), min(RANDOM_SLOTS, len(slots))))


def _idle_near(
    slots: tuple[Slot, ...], number: int, used: Callable[[Slot], bool]
) -> frozenset[int]:
    """The idle slots nearest to one, in its pass."""
    spot = slots[number].spot
    idle = [
        n for n, slot in enumerate(slots) if slot.spot.each.id == spot.each.id and not used(slot)
    ]
    idle.sort(key=lambda n: dist(slots[n].spot.position.at_m, spot.position.at_m))
    return frozenset(idle[:IDLE_SLOTS])


def _surroundings(slots: tuple[Slot, ...], dice: random.Random) -> frozenset[int]:
    """The positions nearest to one, in all passes."""
    place = {slot.spot.position.id: slot.spot.position.at_m for slot in slots}
    centre = place[dice.choice(sorted(place))]
    near = sorted(place, key=lambda name: (dist(place[name], centre), name))[:NEAR_POSITIONS]
    return frozenset(n for n, slot in enumerate(slots) if slot.spot.position.id in near)


def _with_people(
    slots: tuple[Slot, ...], used: Callable[[Slot], bool], dice: random.Random
) -> frozenset[int]:
    """A few used slots and as many empty ones: cameras and people change places."""
    busy = [n for n, slot in enumerate(slots) if used(slot)]
    idle = [n for n, slot in enumerate(slots) if not used(slot)]
    half = RANDOM_SLOTS // 2
    picked = dice.sample(busy, min(half, len(busy))) + dice.sample(idle, min(half, len(idle)))
    return frozenset(picked)
