"""Rules of the picture: nobody's rig, operator or sweep in what another films."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.variables import Slot, Variables, total
from kitplan.options.crowding import REFUSED, Seen
from kitplan.options.presence import Kind, kind_of
from kitplan.options.steadiness import Manner
from kitplan.stage.angles import Flags, clique_cover


@dataclass(frozen=True)
class InView:
    """What another slot shows in some of a slot's views: the decision that it does, the levels."""

    other: Slot
    kind: Kind
    showing: tuple[IntVar, ...]
    """At most one of these is taken, and then it shows."""
    levels: dict[int, int]
    """1 to 3 by place of the view in the spot, beyond what the bare rig shows already."""

    @property
    def spoilt(self) -> frozenset[int]:
        """Places of the views that are not taken with it."""
        return frozenset(view for view, level in self.levels.items() if level == REFUSED)


def add_pictures_are_clear(x: Variables) -> None:
    """A main shot and what would spoil it: at most one of the shots that see a rig, operator or
    move and of the decisions that show it.

    Still rigs and operators are shown by the shots of their own slot, so shots exclude shots: a
    graph whose largest cliques give far tighter rows than its pairs. Moves depend on the stand and
    get a row each.
    """
    for each in x.options.brief.shoot.passes:
        slots = x.slots_in(each.id)
        for clique in _cliques(x, slots):
            x.model.add_at_most_one(clique)
        for slot in slots:
            for view in in_view(x, slot):
                spoilt = view.spoilt
                seeing = [var for c, var in slot.shots.items() if c.view in spoilt]
                if view.kind.move != "still" and seeing:
                    x.model.add_at_most_one([*seeing, *view.showing])


class _Node(NamedTuple):
    """Shots of a slot that exclude the same other slots."""

    slot: int
    manner: Manner
    refuses: frozenset[tuple[int, bool]]
    """Other slots by number, and whether it is only their operator that it must not see."""


def _cliques(x: Variables, slots: Sequence[Slot]) -> Iterator[list[IntVar]]:
    """Yield groups of shots of a pass of which at most one can be taken."""
    shots: dict[_Node, list[IntVar]] = defaultdict(list)
    for number, slot in enumerate(slots):
        refused = _refused_slots(x, slot, slots)
        for c, var in slot.shots.items():
            shots[_Node(number, c.manner, refused.get(c.view, frozenset()))].append(var)
    nodes = tuple(shots)
    for clique in _cover(nodes, len(slots)):
        yield [var for place in clique for var in shots[nodes[place]]]


@lru_cache(maxsize=16)
def _cover(nodes: tuple[_Node, ...], num_slots: int) -> tuple[tuple[int, ...], ...]:
    """Return groups of nodes of which at most one is taken, for every pair of two slots.

    The coarse model and the full one have the same nodes, and what is lost or gained often changes
    one pass only. On the largest shoots (XL) it is the longest part of a model.
    """
    own = np.array([node.slot for node in nodes], dtype=np.int64)
    is_same = own[:, None] == own
    excludes = _excludes(nodes, own, num_slots)
    if not excludes.any():
        return ()
    crossing = (excludes | excludes.T) & ~is_same
    return tuple(clique_cover(crossing | is_same, crossing))


def _refused_slots(
    x: Variables, slot: Slot, slots: Sequence[Slot]
) -> dict[int, frozenset[tuple[int, bool]]]:
    """For each view the slots whose rig, or only whose operator, must not be seen in it."""
    numbers = {other.name: number for number, other in enumerate(slots)}
    found: dict[int, set[tuple[int, bool]]] = defaultdict(set)
    for each in in_view(x, slot):
        if each.kind.move == "still":
            for view in each.spoilt:
                found[view].add((numbers[each.other.name], each.kind.has_operator))
    return {view: frozenset(refused) for view, refused in found.items()}


def _excludes(nodes: Sequence[_Node], own: NDArray[np.int64], num_slots: int) -> Flags:
    """Return whether shots of one node cannot be taken while those of another are, (one, other)."""
    is_operated = np.array([node.manner == "operated" for node in nodes], dtype=np.bool_)
    refuses = np.zeros((2, len(nodes), num_slots), dtype=np.bool_)
    for row, node in enumerate(nodes):
        for slot, is_by_operator in node.refuses:
            refuses[int(is_by_operator), row, slot] = True
    found: Flags = refuses[0][:, own] | (refuses[1][:, own] & is_operated)
    return found


def add_menu_is_clear(x: Variables) -> None:
    """The same for the further shots of an operator: at most a few, and none if spoilt."""
    most = x.options.brief.shoot.rules.menu_shots
    for slot in x.slots:
        if not slot.menu:
            continue
        framings = [(view.subject.id, view.size) for view in slot.spot.views]
        for showing, views in crowded_rows(x, slot):
            spoilt = [slot.menu[framings[v]] for v in sorted(views) if framings[v] in slot.menu]
            if spoilt:
                fits = min(most, len(spoilt))
                x.model.add(total(spoilt) <= fits * (1 - total(showing)))


def crowded_rows(x: Variables, slot: Slot) -> Iterator[tuple[tuple[IntVar, ...], frozenset[int]]]:
    """Yield for each thing that another slot may show the decisions that it does, and the views of
    this slot that it spoils, by their place in the spot.
    """
    for each in in_view(x, slot):
        if each.spoilt:
            yield each.showing, each.spoilt


def in_view(x: Variables, slot: Slot) -> Sequence[InView]:
    """Return what the other slots of the pass may show in the views of a slot."""
    known: dict[tuple[str, str], tuple[InView, ...]] = x.in_view
    if slot.spot.key not in known:
        known[slot.spot.key] = tuple(_in_view(x, slot))
    return known[slot.spot.key]


def _in_view(x: Variables, slot: Slot) -> Iterator[InView]:
    numbers = np.array(slot.spot.view_numbers, dtype=np.int64)
    if not len(numbers):
        return
    others = x.slots_by_spot()
    bare: dict[str, dict[int, int]] = {}
    for seen in sorted(x.options.crowding.seen(slot.spot.each), key=lambda s: s.kind):
        key = (slot.spot.each.id, seen.position)
        if seen.position == slot.spot.position.id or key not in others:
            continue
        levels = _levels(seen, numbers)
        if seen.kind == Kind(False):
            bare[seen.position] = levels
        else:  # the bare rig is in every kind of presence: only what is worse needs a row
            known = bare.get(seen.position, {})
            levels = {v: level for v, level in levels.items() if level > known.get(v, 0)}
        if levels:
            for other in others[key]:
                showing = _showing(other, seen.kind)
                if showing:
                    yield InView(other, seen.kind, showing, levels)


def _levels(seen: Seen, numbers: NDArray[np.int64]) -> dict[int, int]:
    """Return the levels in some views, by place among their numbers, which rise as the rows do."""
    places = np.searchsorted(numbers, seen.rows)
    is_there = numbers[np.minimum(places, len(numbers) - 1)] == seen.rows
    return dict(zip(places[is_there].tolist(), seen.levels[is_there].tolist(), strict=True))


def _showing(other: Slot, kind: Kind) -> tuple[IntVar, ...]:
    """The decisions by which a slot shows a kind of presence; none where nothing there does."""
    if kind == Kind(False):
        return (other.is_used,)
    place = other.spot.position
    if kind == Kind(True):
        return () if place.is_out_of_reach else tuple(other.operators.values())
    return tuple(
        var
        for stand, var in other.stand_items()
        if kind_of(stand.support, place, is_operated=True) == kind
    )


RULES = (add_pictures_are_clear,)
