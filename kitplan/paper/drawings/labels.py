"""Where labels go: near their points, never over each other, over marks, or off the sheet.

Every label has a wish: a point, and forms of falling fullness (name in full, in short, a number).
The most important wish with the fewest places goes first (greedy); then labels are moved, and one
may push another aside, as long as that makes the whole better. What finds no place at all is
missing from the answer: the caller lists it in a key. The same wishes always give the same places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kitplan.paper.drawings.boxes import (
    Box,
    Flags,
    Floats,
    Line,
    cross,
    crosses,
    meet,
    meets,
    rows_of,
    strike,
    strikes,
)
from kitplan.paper.drawings.label_places import GAP_MM, SHORTER, Places, Wish, places_of

__all__ = ["GAP_MM", "Label", "Wish", "place"]

ROUNDS = 5
MISSING, LEADERS_CROSS = 400.0, 18.0
IMPOSSIBLE = 1e9


@dataclass(frozen=True)
class Label:
    """A label in its place."""

    key: str
    box: Box
    form: int
    """Which of the forms found room."""
    leader: Line | None
    """From the mark to the label, where it is not close by."""


def place(
    wishes: Sequence[Wish],
    bounds: Box,
    solid: Sequence[Box] = (),
    lines: Sequence[tuple[float, float, float, float]] = (),
) -> dict[str, Label]:
    """Return the labels that find room, by key.

    Args:
        bounds: All labels lie in it.
        solid: Marks and texts that no label may touch.
        lines: Lines that labels had better not cover.
    """
    marks = rows_of(list(solid))
    strokes = np.array(lines, dtype=np.float64).reshape(-1, 4)
    board = _Board([places_of(wish, bounds, marks, strokes) for wish in wishes], wishes)
    board.fill()
    for _ in range(ROUNDS):
        if not board.improve():
            break
    return {
        wish.key: label
        for number, wish in enumerate(wishes)
        if (label := board.label(number)) is not None
    }


class _Met:
    """What the places of one label meet, by other label: known until that moves."""

    def __init__(self, places: Places, number: int) -> None:
        self.shut = np.zeros((len(places.costs), number), dtype=np.bool_)
        self.crossed = np.zeros((len(places.costs), number), dtype=np.bool_)
        self.taken: list[int | None] = [None] * number
        """The place of each other label that was looked at."""


class _Rival:
    """A label that may be pushed aside: what its places cost beside all labels but one."""

    def __init__(self, places: Places, costs: Floats) -> None:
        self._places, self._costs = places, costs.tolist()
        self._order = np.argsort(costs, kind="stable").tolist()

    def best_beside(self, box: Box, line: Line | None, most: float) -> tuple[int | None, float]:
        """Return its best place and what that costs, once the one label has a box and a leader;
        no place that costs as much as the most.
        """
        best, least = None, min(most, MISSING)
        for index in self._order:
            cost = self._costs[index]
            if cost >= least:
                break
            own_box, own_line = self._places.box_rows[index], self._places.lines[index]
            if line is not None and own_line is not None and crosses(own_line, line):
                cost += LEADERS_CROSS
            if cost >= least or meets(own_box, box, GAP_MM):
                continue
            if own_line is not None and strikes(own_line, box):
                continue
            if line is None or not strikes(line, own_box):
                best, least = index, cost
        return best, least


class _Board:
    """All labels and the place that each has taken so far."""

    def __init__(self, places: Sequence[Places], wishes: Sequence[Wish]) -> None:
        self.places, self.wishes = places, wishes
        self.taken: list[int | None] = [None] * len(wishes)
        self.boxes = np.full((len(wishes), 4), np.nan)
        self.leaders = np.full((len(wishes), 4), np.nan)
        self.met = [_Met(found, len(wishes)) for found in places]

    def fill(self) -> None:
        """Give places away, the weightiest and then the most constrained label first."""
        order = sorted(
            range(len(self.wishes)),
            key=lambda n: (-self.wishes[n].weight, len(self.places[n].costs), n),
        )
        for number in order:
            self._take(number, self._best(number)[0])

    def improve(self) -> bool:
        """Move labels to better places; return whether any moved."""
        has_moved = False
        for number in range(len(self.wishes)):
            before = self.taken[number]
            self._take(number, None)
            best, cost = self._best(number)
            self._take(number, best)
            has_moved |= best != before
            if cost > SHORTER:  # in short, or missing: may another make way?
                has_moved |= self._push(number)
        return has_moved

    def label(self, number: int) -> Label | None:
        """Return a label in its place; None where it has none."""
        index = self.taken[number]
        if index is None:
            return None
        found = self.places[number]
        return Label(
            self.wishes[number].key,
            found.box_rows[index],
            int(found.forms[index]),
            found.lines[index],
        )

    def _take(self, number: int, index: int | None) -> None:
        self.taken[number] = index
        self.boxes[number] = np.nan if index is None else self.places[number].boxes[index]
        self.leaders[number] = np.nan if index is None else self.places[number].leaders[index]

    def _best(self, number: int) -> tuple[int | None, float]:
        """Return the best free place of a label, and its cost."""
        costs = self._costs(number)
        if not len(costs):
            return None, MISSING
        index = int(costs.argmin())
        cost = float(costs[index])
        return (index, cost) if cost < MISSING else (None, MISSING)

    def _costs(self, number: int) -> Floats:
        others = self._others(number)
        met = self._met(number, others)
        crossed = met.crossed[:, others].sum(1)
        costs: Floats = self.places[number].costs + LEADERS_CROSS * crossed
        costs[met.shut[:, others].any(axis=1)] = IMPOSSIBLE
        return costs

    def _conflicts(self, number: int, others: Flags) -> Flags:
        """Which places of a label are shut by which others, by their boxes or leaders."""
        found: Flags = self._met(number, others).shut[:, others]
        return found

    def _met(self, number: int, others: Flags) -> _Met:
        """What the places of a label meet of the places that others have now."""
        met, found = self.met[number], self.places[number]
        new = [n for n in np.flatnonzero(others) if met.taken[n] != self.taken[n]]
        if new:
            boxes, leaders = self.boxes[new], self.leaders[new]
            met.shut[:, new] = (
                meet(found.boxes, boxes, GAP_MM)
                | strike(found.leaders, boxes)
                | strike(leaders, found.boxes).T
            )
            met.crossed[:, new] = cross(found.leaders, leaders)
            for other in new:
                met.taken[other] = self.taken[other]
        return met

    def _others(self, number: int) -> Flags:
        is_placed = np.array([index is not None for index in self.taken], dtype=np.bool_)
        is_placed[number] = False
        return is_placed

    def _push(self, number: int) -> bool:
        """Take the place of one other label that finds another one, if both together gain."""
        before = self._worth(number, self.taken[number])
        others = self._others(number)
        numbers = np.flatnonzero(others)
        conflicts = self._conflicts(number, others)
        rivals: dict[int, _Rival] = {}
        for index in np.flatnonzero(conflicts.sum(axis=1) == 1)[:60].tolist():
            other = int(numbers[int(conflicts[index].argmax())])
            if other not in rivals:
                rivals[other] = self._rival(other, number)
            gain = before + self._worth(other, self.taken[other]) - self._worth(number, index)
            found, most = self.places[number], (gain - 1e-6) / self.wishes[other].weight
            moved, cost = rivals[other].best_beside(found.box_rows[index], found.lines[index], most)
            if cost < most:
                self._take(number, index)
                self._take(other, moved)
                return True
        return False

    def _rival(self, number: int, without: int) -> _Rival:
        """Return a label that may be pushed aside, as if the one that pushes were not there."""
        place = self.taken[without]
        self._take(without, None)
        costs = self._costs(number)
        self._take(without, place)
        return _Rival(self.places[number], costs)

    def _worth(self, number: int, index: int | None) -> float:
        """What a label costs in a place, crossings not counted."""
        cost = MISSING if index is None else float(self.places[number].costs[index])
        return cost * self.wishes[number].weight
