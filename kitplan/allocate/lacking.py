"""Rigs that bring less than they might, and which others are in their way.

A rig whose viewpoint does not count, or not in full, could hold another one, were it not that the
likes of it are taken: by rigs that would then have to look elsewhere.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.goals.goal import FULL_MARKS
from kitplan.allocate.variables import Slot, Variables
from kitplan.options.steadiness import Manner

TRIES = 8
"""Viewpoints that are looked at for a rig; the one with the fewest others in its way is taken."""

Value = Callable[[IntVar], int]
"""What a decision is in the plan so far."""


class Lacking:
    """What rigs of a plan lack, for the neighbourhood search to free."""

    def __init__(self, x: Variables) -> None:
        self._x = x
        numbers = sorted(x.viewpoints)
        self._place = {number: place for place, number in enumerate(numbers)}
        self._likeness = x.options.likeness(numbers)
        self._full: dict[tuple[int, Manner], NDArray[np.int64]] = {}

    def some(self, value: Value, dice: random.Random) -> Sequence[int]:
        """Return the number of a slot that lacks something, then those that are in its way; none
        where all have all they can have.
        """
        taken = self._taken(value)
        lacking = self._lacking(value, taken)
        if not lacking:
            return ()
        number, manner = dice.choice(lacking)
        full = self._full_in(number, manner)
        if not len(full):
            return (number,)
        ways = [self._in_the_way(int(dice.choice(full)), taken, number) for _ in range(TRIES)]
        return (number, *min(ways, key=len))

    def _taken(self, value: Value) -> dict[int, tuple[int, Manner, int]]:
        """For each slot whose viewpoint counts its place, manner and grade."""
        found = {}
        for number, slot in enumerate(self._x.slots):
            if value(slot.is_used):
                for (view, manner, grade), var in slot.counted.items():
                    if value(var):
                        place = self._place[slot.spot.view_numbers[view]]
                        found[number] = (place, manner, grade)
        return found

    def _lacking(
        self, value: Value, taken: dict[int, tuple[int, Manner, int]]
    ) -> list[tuple[int, Manner]]:
        """Return slots in use that do not count in full, and the manner in which they might: by
        hand where one that stands locked off could have an operator who has nothing to do.
        """
        found: list[tuple[int, Manner]] = []
        passes = self._x.options.brief.shoot.passes
        idle = {each.id: self._has_idle(value, each.id) for each in passes}
        for number, slot in enumerate(self._x.slots):
            if not value(slot.is_used):
                continue
            _, manner, grade = taken.get(number, (0, _manner(value, slot), 0))
            if manner == "locked-off" and idle[slot.spot.each.id]:
                found.append((number, "operated"))
            elif grade < FULL_MARKS:
                found.append((number, manner))
        return found

    def _has_idle(self, value: Value, pass_id: str) -> bool:
        """Whether somebody who could operate in a pass does not."""
        people: set[str] = set()
        busy: set[str] = set()
        for slot in self._x.slots_in(pass_id):
            people.update(slot.operators)
            if value(slot.is_used):
                busy.update(person for person, var in slot.operators.items() if value(var))
        return people > busy

    def _full_in(self, number: int, manner: Manner) -> NDArray[np.int64]:
        """Return the places of the views that count in full from a slot."""
        key = (number, manner)
        if key not in self._full:
            slot = self._x.slots[number]
            views = {v for v, m, grade in slot.counted if m == manner and grade == FULL_MARKS}
            places = [self._place[slot.spot.view_numbers[view]] for view in sorted(views)]
            self._full[key] = np.array(places, dtype=np.int64)
        return self._full[key]

    def _in_the_way(
        self, place: int, taken: dict[int, tuple[int, Manner, int]], number: int
    ) -> list[int]:
        """Return the other slots that hold a view alike to one."""
        same = self._likeness.same[place]
        return [n for n, (other, _, _) in taken.items() if n != number and same[other]]


def _manner(value: Value, slot: Slot) -> Manner:
    return "operated" if any(map(value, slot.operators.values())) else "locked-off"
