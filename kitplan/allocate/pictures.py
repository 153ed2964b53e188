"""Rules of the picture: nobody's rig, operator or sweep in what another films."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.variables import Slot, Variables, total
from kitplan.options.crowding import REFUSED, Seen
from kitplan.options.presence import Kind, kind_of


@dataclass(frozen=True)
class InView:
    """What another slot shows in some of a slot's views: the decision that it does, the levels."""

    other: Slot
    showing: tuple[IntVar, ...]
    """At most one of these is taken, and then it shows."""
    levels: dict[int, int]
    """1 to 3 by place of the view in the spot, beyond what the bare rig shows already."""


def add_pictures_are_clear(x: Variables) -> None:
    """A main shot and what would spoil it: at most one of the shots that see it and of the
    decisions that show it (as such a row, for the solver grows cliques from those).
    """
    for slot in x.slots:
        for showing, views in crowded_rows(x, slot):
            seeing = [var for c, var in slot.shots.items() if c.view in views]
            if seeing:
                x.model.add_at_most_one([*seeing, *showing])


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
        spoilt = frozenset(v for v, level in each.levels.items() if level == REFUSED)
        if spoilt:
            yield each.showing, spoilt


def in_view(x: Variables, slot: Slot) -> Sequence[InView]:
    """Return what the other slots of the pass may show in the views of a slot."""
    known: dict[tuple[str, str], tuple[InView, ...]] = x.in_view
    if slot.spot.key not in known:
        known[slot.spot.key] = tuple(_in_view(x, slot))
    return known[slot.spot.key]


def _in_view(x: Variables, slot: Slot) -> Iterator[InView]:
    place_of = {number: place for place, number in enumerate(slot.spot.view_numbers)}
    others = x.slots_by_spot()
    bare: dict[str, dict[int, int]] = {}
    for seen in sorted(x.options.crowding.seen(slot.spot.each), key=lambda s: s.kind):
        key = (slot.spot.each.id, seen.position)
        if seen.position == slot.spot.position.id or key not in others:
            continue
        levels = _levels(seen, place_of)
        if seen.kind == Kind(False):
            bare[seen.position] = levels
        else:  # the bare rig is in every kind of presence: only what is worse needs a row
            known = bare.get(seen.position, {})
            levels = {v: level for v, level in levels.items() if level > known.get(v, 0)}
        if levels:
            for other in others[key]:
                showing = _showing(other, seen.kind)
                if showing:
                    yield InView(other, showing, levels)


def _levels(seen: Seen, place_of: dict[int, int]) -> dict[int, int]:
    return {
        place_of[int(row)]: int(level)
        for row, level in zip(seen.rows, seen.levels, strict=True)
        if int(row) in place_of
    }


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
