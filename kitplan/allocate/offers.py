"""What a crew lead might put down next beside the rigs that stand: shots, and rigs for them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from kitplan.allocate.model import Allocation
from kitplan.allocate.placed import decisions_in
from kitplan.allocate.variables import ShotClass, Slot
from kitplan.gear.records import Body
from kitplan.options.steadiness import support_row
from kitplan.shoot.records import Pass

NO_ROWS = np.zeros(0, dtype=np.int64)
MOST_CAMERAS, MOST_STANDS, MOST_PEOPLE = 3, 3, 2
"""Of each, tried for one shot: the likeliest ones first."""


@dataclass(frozen=True)
class Rig:
    """A rig for a slot: the decisions that are 1."""

    slot: int
    shot: ShotClass
    camera: int
    stand: int
    operator: str | None

    def chosen(self, slot: Slot) -> list[int]:
        """Numbers of its decisions."""
        return decisions_in(slot, self.shot, self.camera, self.stand, self.operator)


class Offers:
    """What is possible beside the rigs that stand already."""

    def __init__(self, allocation: Allocation) -> None:
        self.x = allocation.variables
        self.brief = self.x.options.brief
        self.placed: dict[int, Rig] = {}
        """By number of the slot; changed by `stand` and `clear` alone."""
        numbers = sorted(self.x.viewpoints)
        self._places = {number: place for place, number in enumerate(numbers)}
        self._alike = self.x.options.likeness(numbers).same
        self._seen = np.zeros(len(numbers), dtype=np.bool_)
        """Views of which one more would be no new viewpoint."""
        self._used = {each.id: Counter[str]() for each in self.brief.shoot.passes}
        """By pass, the items that stand."""
        self._stock: dict[tuple[str, str], int] = {}
        self.asked_for: dict[str, float] = {}
        """How much else asks for an item: of equal shots the one with what nobody asks for."""
        self._shots = [(n, shot) for n, slot in enumerate(self.x.slots) for shot in slot.shots]
        self._table = _Table.of(self.x.slots, self._shots, self._places)
        self._thirds = {each.id: self.brief.thirds(each) for each in self.brief.shoot.passes}
        self._offers = [
            frozenset(each.id for each in self.brief.on_offer(song))
            for song in self.brief.shoot.songs
        ]
        """By song, the passes whose shots can stand in its edit."""
        self._rows_of: dict[int, NDArray[np.int64]] = {
            number: np.arange(*np.searchsorted(self._table.slot, [number, number + 1]))
            for number in range(len(self.x.slots))
        }
        """Of each slot, the shots in the table."""

    def view(self, number: int, shot: ShotClass) -> tuple[str, str]:
        """Return subject and size of a shot."""
        view = self.x.slots[number].spot.views[shot.view]
        return view.subject.id, view.size

    def is_new(self, number: int, shot: ShotClass) -> bool:
        """Whether a shot would be one more distinct viewpoint."""
        return bool(shot.grade) and not self._seen[self._place(number, shot)]

    def stand(self, rig: Rig) -> None:
        """Let a rig stand."""
        self.placed[rig.slot] = rig
        self._count(rig, 1)
        if rig.shot.grade:
            self._see(rig)

    def clear(self, rig: Rig) -> None:
        """Take a rig away."""
        del self.placed[rig.slot]
        self._count(rig, -1)
        self._seen[:] = False
        for other in self.placed.values():
            if other.shot.grade:
                self._see(other)

    def _see(self, rig: Rig) -> None:
        place = self._place(rig.slot, rig.shot)
        self._seen |= self._alike[place]
        self._seen[place] = True

    def _count(self, rig: Rig, number: int) -> None:
        spot = self.x.slots[rig.slot].spot
        for item in (*spot.cameras[rig.camera].items, *spot.stands[rig.stand].items):
            self._used[spot.each.id][item] += number

    def _place(self, number: int, shot: ShotClass) -> int:
        return self._places[self.x.slots[number].spot.view_numbers[shot.view]]

    # -- shots ---------------------------------------------------------------------------------

    def shots(
        self,
        passes: Collection[str],
        *,
        position: str | None = None,
        subject: str | None = None,
        sizes: Collection[str] | None = None,
        manner: str = "either",
        is_new: bool = False,
    ) -> Iterator[tuple[int, ShotClass]]:
        """Yield the open shots, the most promising first: what the thinnest songs gain, points x
        grade x songs, a place that is used in another pass as well, marks.
        """
        slots, table = self.x.slots, self._table
        opened = [
            self._rows_of[n]
            for n in self._open_slots(passes)
            if position in (None, slots[n].spot.position.id)
        ]
        rows = np.concatenate(opened or [NO_ROWS])
        if subject is not None:
            rows = rows[table.subject[rows] == subject]
        if sizes is not None:
            rows = rows[np.isin(table.size[rows], list(sizes))]
        if manner != "either":
            rows = rows[table.is_locked[rows] == (manner == "locked-off")]
        if not len(rows):
            return
        is_graded = table.grade[rows] > 0
        fresh = is_graded & ~self._seen[table.place[rows]] if len(self._seen) else is_graded & False
        if is_new:
            rows, fresh = rows[fresh], fresh[fresh]
        worth = self._worth(rows)
        for row in rows[np.lexsort([*worth[::-1], -fresh.astype(int)])]:
            yield self._shots[row]

    def _open_slots(self, passes: Collection[str]) -> Iterator[int]:
        """The first empty slot of each place, in passes that have a body left."""
        brief, known = self.brief, set[tuple[str, str]]()
        left = {
            each.id
            for each in brief.shoot.passes
            if each.id in passes
            and any(self._is_free((b.id,), each) for b in brief.kit.of_kind(Body))
        }
        for number, slot in enumerate(self.x.slots):
            key = slot.spot.key
            if number not in self.placed and key not in known and slot.spot.each.id in left:
                known.add(key)
                yield number

    def _worth(self, rows: NDArray[np.int64]) -> tuple[NDArray[np.int64], ...]:
        """Return the ranks of some shots, the most important first, less for better ones."""
        slots, table, gain = self.x.slots, self._table, self._gain()
        rules = self.brief.shoot.rules
        places = {slots[n].spot.position.id for n in self.placed}
        locked = Counter(
            slots[n].spot.each.id for n, rig in self.placed.items() if rig.operator is None
        )
        ranks = (*rules.points_locked, 0)
        points = np.array(
            [
                (
                    rules.points_operated * self._thirds[slot.spot.each.id],
                    ranks[min(locked[slot.spot.each.id], len(ranks) - 1)]
                    * self._thirds[slot.spot.each.id],
                    gain[slot.spot.each.id],
                    slot.spot.position.id in places,
                )
                for slot in slots
            ],
            dtype=np.int64,
        )
        own, grade = table.slot[rows], table.grade[rows]
        percent = np.array(rules.grade_percent)[grade]
        value = points[own, table.is_locked[rows].astype(int)] * percent
        return -points[own, 2] * (grade > 0), -value, -points[own, 3], -table.quality[rows]

    def _gain(self) -> dict[str, int]:
        """How many of the songs with the fewest viewpoints each pass is on offer in."""
        at = Counter(self.x.slots[n].spot.each.id for n, r in self.placed.items() if r.shot.grade)
        thin = [sum(at[one] for one in offer) for offer in self._offers]
        return {
            each.id: sum(
                each.id in offer and count == min(thin)
                for offer, count in zip(self._offers, thin, strict=True)
            )
            for each in self.brief.shoot.passes
        }

    # -- rigs ----------------------------------------------------------------------------------

    def rigs(self, number: int, shot: ShotClass) -> Iterator[Rig]:
        """Yield the likeliest rigs for a shot: the best pictures first, on the lightest stand."""
        slot = self.x.slots[number]
        spot = slot.spot
        cameras = [
            n
            for n in slot.cameras_of_class[shot]
            if self._is_free(spot.cameras[n].items, spot.each)
        ]
        marks = spot.shots.quality(shot.manner, shot.stand_rows[0])[shot.view]
        cameras.sort(key=lambda n: (self._asked_for(spot.cameras[n].items), -int(marks[n])))
        stands = [
            n
            for n, stand in enumerate(spot.stands)
            if support_row(stand, spot.position) in shot.stand_rows
            and self._is_free(stand.items, spot.each)
        ]
        stands.sort(key=lambda n: (spot.stands[n].support.people, spot.stands[n].mass_kg))
        for camera in cameras[:MOST_CAMERAS]:
            carrying = [n for n in stands if spot.stands[n].carries(spot.cameras[camera].mass_kg)]
            for stand in carrying[:MOST_STANDS]:
                for person in self._hands(slot, shot, camera, stand)[:MOST_PEOPLE]:
                    yield Rig(number, shot, camera, stand, person)

    def _asked_for(self, items: tuple[str, ...]) -> float:
        """Return how much else asks for these items."""
        return sum(self.asked_for.get(item, 0.0) for item in items)

    def _hands(self, slot: Slot, shot: ShotClass, camera: int, stand: int) -> Sequence[str | None]:
        """Return who might operate, the likeliest first; nobody for a locked-off shot."""
        if shot.manner == "locked-off":
            return [None]
        busy = {
            rig.operator for n, rig in self.placed.items()
            if self.x.slots[n].spot.each.id == slot.spot.each.id
        }  # fmt: skip
        skill = slot.spot.stands[stand].support.skill
        is_narrow = slot.spot.shots.is_narrow[shot.view, camera]
        free = [
            person
            for person in slot.spot.people
            if person.id not in busy and (skill is None or skill in person.skills)
        ]
        free.sort(key=lambda p: (len(p.performs_in), p.is_skilled != is_narrow, len(p.skills)))
        return [person.id for person in free]

    def _is_free(self, items: tuple[str, ...], each: Pass) -> bool:
        return all(self._used[each.id][item] < self._units(item, each) for item in items)

    def _units(self, item: str, each: Pass) -> int:
        if (item, each.id) not in self._stock:
            self._stock[item, each.id] = len(self.brief.free_units(item, each))
        return self._stock[item, each.id]

    def twins(self, rig: Rig) -> Iterator[Rig]:
        """Yield the same rig in the passes beside its own: new views first, in the same hands."""
        slot, passes = self.x.slots[rig.slot], self.brief.shoot.passes
        here = passes.index(slot.spot.each)
        beside = {p.id for n, p in enumerate(passes) if abs(n - here) == 1}
        camera, stand = slot.spot.cameras[rig.camera], slot.spot.stands[rig.stand]
        for number, shot in self.shots(beside, position=slot.spot.position.id):
            other = self.x.slots[number]
            spot = other.spot
            for own in other.cameras_of_class[shot]:
                if spot.cameras[own].key != camera.key:
                    continue
                for legs, one in enumerate(spot.stands):
                    rows = shot.stand_rows
                    if one.key == stand.key and support_row(one, spot.position) in rows:
                        hands = self._hands(other, shot, own, legs)
                        same = rig.operator if rig.operator in hands else next(iter(hands), "")
                        if same != "":
                            yield Rig(number, shot, own, legs, same)


@dataclass(frozen=True)
class _Table:
    """All shots of all slots side by side, one row each."""

    slot: NDArray[np.int64]
    place: NDArray[np.int64]
    grade: NDArray[np.int64]
    quality: NDArray[np.int64]
    is_locked: NDArray[np.bool_]
    subject: NDArray[np.str_]
    size: NDArray[np.str_]

    @staticmethod
    def of(
        slots: Sequence[Slot], shots: Sequence[tuple[int, ShotClass]], places: Mapping[int, int]
    ) -> _Table:
        """Return the table; a shot of grade 0 is no viewpoint and stands at place 0."""
        views = [slots[n].spot.views[shot.view] for n, shot in shots]
        at = [places.get(slots[n].spot.view_numbers[shot.view], 0) for n, shot in shots]
        return _Table(
            np.array([n for n, _ in shots], dtype=np.int64),
            np.array(at, dtype=np.int64),
            np.array([shot.grade for _, shot in shots], dtype=np.int64),
            np.array([shot.quality for _, shot in shots], dtype=np.int64),
            np.array([shot.manner == "locked-off" for _, shot in shots], dtype=np.bool_),
            np.array([view.subject.id for view in views], dtype=np.str_),
            np.array([view.size for view in views], dtype=np.str_),
        )
