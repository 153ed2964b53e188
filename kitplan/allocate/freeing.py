"""Which slots a step of the neighbourhood search frees."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from math import dist

from kitplan.allocate.variables import Slot

RANDOM_SLOTS = 8
IDLE_SLOTS = 12
FIRST_SIZE, LEAST_SIZE = 6.0, 3.0
"""How many slots a step frees: at first, and where even those are too many."""
GROWTH, SHRINKAGE = 1.2, 1.5
"""So much more, or less, the next time."""
EASY, EASY_FOR_WANTS = 0.05, 0.15
"""A step that took less of the solver's time could have freed more. Roles want many rigs moved at
once. Measured on M 0, 1 and 3 in 60 s, one core, viewpoints: 0.05 gives 373520, 356200 and 400600,
0.15 365520, 354320 and 402000; but on M 2 0.05 throughout leaves wants at 19 of 25.
"""


@dataclass(frozen=True)
class Freed:
    """What a step frees."""

    kind: str
    slots: frozenset[int]
    """By number; none where there is nothing new in this kind."""


class Choices:
    """Which slots are freed next: each kind of choice in turn, as many slots as it copes with."""

    def __init__(
        self,
        slots: tuple[Slot, ...],
        is_used: Callable[[Slot], bool],
        wishes: Callable[[], Sequence[Sequence[int]]],
        lacks: Callable[[random.Random], Sequence[int]],
        seed: int,
        sizes: dict[str, float],
        easy: float = EASY,
    ) -> None:
        """Take what there is to choose from.

        Args:
            wishes: For each role that nobody does, the slots that could.
            lacks: A slot that could bring more, and those in its way; see `lacking`.
            sizes: What each kind of choice copes with, as far as it is known; written to.
            easy: See `EASY`.
        """
        self._slots, self._is_used = slots, is_used
        self._wishes, self._lacks = wishes, lacks
        self._dice = random.Random(seed)
        self._passes = sorted({slot.spot.each.id for slot in slots})
        self._kinds = (
            self._wished,
            self._lacking,
            self._near,
            self._people,
            self._of_a_pass,
            self._scattered,
        )
        self._sizes, self._easy = sizes, easy
        self._turn = -1
        self._known: set[frozenset[int]] = set()

    def next(self) -> Freed:
        """Return what to free now."""
        self._turn = (self._turn + 1) % len(self._kinds)
        choose = self._kinds[self._turn]
        slots = choose(min(round(self._size_of(choose.__name__)), len(self._slots)))
        is_known = any(slots <= known for known in self._known)
        return Freed(choose.__name__, frozenset() if is_known else slots)

    def hear(
        self, freed: Freed, effort: float, *, is_best: bool, is_known: bool, is_gain: bool
    ) -> None:
        """Learn how it went: what was easy is made larger, what did not come to its end smaller.

        Args:
            is_best: It came to its end.
            is_known: It is known to hold nothing better than the answer so far, unless it gained:
                not to be tried again.
        """
        if is_gain:
            self._known.clear()
        elif is_known:
            self._known.add(freed.slots)
        size = self._size_of(freed.kind)
        if not is_best:
            self._sizes[freed.kind] = max(size / SHRINKAGE, LEAST_SIZE)
        elif effort < self._easy:
            self._sizes[freed.kind] = min(size * GROWTH, float(len(self._slots)))

    def _size_of(self, kind: str) -> float:
        return self._sizes.get(kind, FIRST_SIZE)

    # -- kinds ---------------------------------------------------------------------------------

    def _near(self, size: int) -> frozenset[int]:
        """Those nearest to one, in all passes."""
        centre = self._dice.choice(self._slots).spot.position.at_m
        order = sorted(
            range(len(self._slots)),
            key=lambda n: (dist(self._slots[n].spot.position.at_m, centre), n),
        )
        return frozenset(order[:size])

    def _people(self, size: int) -> frozenset[int]:
        """A few used slots and as many empty ones: cameras and people change places."""
        busy, idle = self._busy_and_idle(range(len(self._slots)))
        half = min(size // 2, len(busy))
        return frozenset(self._some(busy, half) + self._some(idle, size - half))

    def _wished(self, size: int) -> frozenset[int]:
        """Those that could do a role that nobody does, and some that may stand in the way."""
        wishes = self._wishes()
        if not wishes:
            return self._of_a_pass(size)
        able = self._dice.choice(wishes)
        each = self._slots[self._dice.choice(able)].spot.each.id
        busy, _ = self._busy_and_idle(self._in_pass(each))
        chosen = set(self._some([n for n in able if n in self._in_pass(each)], size // 2))
        chosen.update(self._some(sorted(set(busy) - chosen), size - len(chosen)))
        busy, _ = self._busy_and_idle(sorted(set(range(len(self._slots))) - chosen))
        return frozenset(chosen.union(self._some(busy, size - len(chosen))))

    def _lacking(self, size: int) -> frozenset[int]:
        """One that could bring more with those in its way, and some of its pass."""
        chosen = list(self._lacks(self._dice))
        if not chosen:
            return self._scattered(size)
        busy, idle = self._busy_and_idle(self._in_pass(self._slots[chosen[0]].spot.each.id))
        left = max(size - len(chosen), 0)
        own = self._some(idle, left // 2)
        return frozenset([*chosen, *own, *self._some(busy, left - len(own))])

    def _of_a_pass(self, size: int) -> frozenset[int]:
        """Those of one pass: what is used and some of the rest."""
        busy, idle = self._busy_and_idle(self._in_pass(self._dice.choice(self._passes)))
        own = self._some(busy, size)
        return frozenset(own + self._some(idle, size - len(own)))

    def _scattered(self, size: int) -> frozenset[int]:
        return frozenset(self._some(range(len(self._slots)), size))

    def _in_pass(self, pass_id: str) -> list[int]:
        return [n for n, slot in enumerate(self._slots) if slot.spot.each.id == pass_id]

    def _busy_and_idle(self, numbers: Sequence[int]) -> tuple[list[int], list[int]]:
        busy = [n for n in numbers if self._is_used(self._slots[n])]
        return busy, sorted(set(numbers) - set(busy))

    def _some(self, numbers: Sequence[int], size: int) -> list[int]:
        return self._dice.sample(numbers, min(size, len(numbers)))


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
