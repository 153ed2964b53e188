"""The first packing, without a solver: by a practised hand, or case by case as full as can be.

The second way takes the biggest thing that is left into each case and looks for the things that
fill the rest of it best, over and over with the others in another order. It is a strong beginning
where many things have no home; what is best is decided by the solver.
Source of the idea: minimum bin slack, Gupta and Ho, Production Planning and Control 10 (1999), from
memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from random import Random

from kitplan.day.cases.model import Packing, PackingModel, count
from kitplan.day.cases.things import Bin, Cargo, Kind

Answer = tuple[Packing, tuple[str, ...]]
"""What is in which case, and the loose things in the vehicle."""
TRIES, WORK = 60, 1_000_000
"""Most orders that are tried, and most sums that are looked at: the same on any machine."""


def first_packing(one: PackingModel) -> Answer | None:
    """Return the best of the first packings; None where a limit forbids them all."""
    loaded = tuple(loose.unit for loose in one.cargo.loose)
    found = ((packing, loaded) for packing in _packings(one) if _travels(one.cargo, packing))
    return min(found, key=lambda answer: count(one.cargo, *answer), default=None)


def _packings(one: PackingModel) -> Iterator[Packing]:
    room = Room(one)
    if room.is_overfull:
        return
    by_hand = _by_hand(one, room)
    yield by_hand
    if len({unit for _, unit in by_hand} - room.homes) < 2:
        return  # no order can open a case less
    random, work = Random(1), WORK
    for _ in range(TRIES):
        if work <= 0:
            return
        packing, done = _as_full_as_can_be(one, random)
        work -= done
        yield packing


class Room:
    """What is still free in each case, and what waits to be packed."""

    def __init__(self, one: PackingModel) -> None:
        self.cargo = one.cargo
        self.free = {each.unit: [each.room_cl, each.limit_g] for each in one.cargo.bins}
        self.homes = {each.unit for each in one.cargo.bins if each.is_home}
        self.waiting = {
            index: kind.count
            for index, kind in enumerate(one.cargo.kinds)
            if not (one.at_home and kind.home)
        }
        self.packing: Packing = {}
        for (index, unit), number in one.x.number.items():
            if isinstance(number, int):
                self.put(index, one.cargo.bins_by_unit[unit], number)

    @property
    def is_overfull(self) -> bool:
        """Whether what lives in some case does not fit in it."""
        return any(min(left) < 0 for left in self.free.values())

    def put(self, index: int, each: Bin, number: int) -> None:
        """Pack so many of a kind into a case."""
        kind = self.cargo.kinds[index]
        self.free[each.unit][0] -= each.bulk_cl(kind) * number
        self.free[each.unit][1] -= kind.mass_g * number
        key = (index, each.unit)
        self.packing[key] = self.packing.get(key, 0) + number
        if index in self.waiting:
            self.waiting[index] -= number

    def how_many(self, kind: Kind, each: Bin) -> int:
        """Return how many of a kind still go into a case."""
        free_cl, free_g = self.free[each.unit]
        by_bulk = free_cl // each.bulk_cl(kind) if each.bulk_cl(kind) else kind.count
        by_mass = free_g // kind.mass_g if kind.mass_g else kind.count
        return min(by_bulk, by_mass)


def _by_hand(one: PackingModel, room: Room) -> Packing:
    """What has a home goes home, then the biggest first, each into the first case that takes it."""
    for index in sorted(room.waiting, key=lambda i: (-one.cargo.kinds[i].bulk_cl, i)):
        kind = one.cargo.kinds[index]
        for each in sorted(one.cargo.bins, key=lambda b: (b.unit != kind.home, not b.is_home)):
            if (index, each.unit) in one.x.number:
                fits = min(room.waiting[index], room.how_many(kind, each))
                if fits > 0:
                    room.put(index, each, fits)
    return room.packing


def _as_full_as_can_be(one: PackingModel, random: Random) -> tuple[Packing, int]:
    """Fill one case after the other, homes first, then the roomiest; return the sums looked at."""
    room, work = Room(one), 0
    for each in sorted(one.cargo.bins, key=lambda b: (not b.is_home, -b.room_cl)):
        things = [
            index
            for index, number in room.waiting.items()
            if (index, each.unit) in one.x.number
            for _ in range(number)
        ]
        random.shuffle(things)
        things.sort(key=_is_smaller_than_the_biggest(one, things))
        chosen, done = _fill(one.cargo, each, things, room.free[each.unit])
        work += done
        for index in chosen:
            room.put(index, each, 1)
    return room.packing, work


def _is_smaller_than_the_biggest(one: PackingModel, things: list[int]) -> Callable[[int], bool]:
    biggest = max(things, key=lambda index: one.cargo.kinds[index].bulk_cl, default=None)
    return lambda index: index != biggest


def _fill(
    cargo: Cargo, each: Bin, things: list[int], free: list[int]
) -> tuple[tuple[int, ...], int]:
    """Return things that fill a case best, the first of them among these if it fits at all."""
    free_cl, free_g = free
    fills: dict[int, tuple[int, tuple[int, ...]]] = {0: (0, ())}
    work = 0
    for number, index in enumerate(things):
        kind = cargo.kinds[index]
        bulk, mass = each.bulk_cl(kind), kind.mass_g
        work += len(fills)
        for fill, (grams, chosen) in list(fills.items()):
            total = fill + bulk
            if total > free_cl or grams + mass > free_g:
                continue
            if total not in fills or not bulk:
                fills[total] = (grams + mass, (*chosen, index))
        if number == 0 and len(fills) > 1:
            del fills[0]
        if free_cl in fills:
            break
    return fills[max(fills)][1], work


def _travels(cargo: Cargo, packing: Packing) -> bool:
    """Return whether the vehicle takes all that is packed and everything loose."""
    bins = [cargo.bins_by_unit[unit] for unit in dict.fromkeys(unit for _, unit in packing)]
    bulk = sum(each.outside_cl for each in bins) + sum(each.outside_cl for each in cargo.loose)
    mass = sum(each.own_g for each in bins) + sum(each.mass_g for each in cargo.loose)
    mass += sum(cargo.kinds[index].mass_g * n for (index, _), n in packing.items())
    return (cargo.vehicle_cl is None or bulk <= cargo.vehicle_cl) and (
        cargo.vehicle_g is None or mass <= cargo.vehicle_g
    )
