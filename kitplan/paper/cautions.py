"""The usual cautions of a plan; they defer to the venue, local rules and licensed people."""

from __future__ import annotations

from kitplan.gear.records import Body, Head, Support
from kitplan.paper.cases import heavy_words
from kitplan.paper.layout import joined
from kitplan.paper.names import Names
from kitplan.plan.records import Placement


def cautions(names: Names, most_places: int | None = None) -> list[str]:
    """Return the cautions that apply, one sentence or two each.

    Args:
        most_places: Name so many places each, and count the rest, where there is little room.
    """
    lines = [
        _overhead(names, most_places),
        _mains(names, most_places),
        _arm(names, most_places),
        _lifting(names),
        _public(names, most_places),
        _shut_in(names, most_places),
        "Lasers: beams, sweeps and mirrors are never computed here, only whether the source of a "
        "listed one is in a frame. Ask the venue where they sweep; keep every lens out of it.",
    ]
    return [line for line in lines if line]


def _places(names: Names, placements: list[Placement], most: int | None) -> str:
    places = list(dict.fromkeys(names.place(placement) for placement in placements))
    if most is not None and len(places) > most:
        places = [*places[:most], f"{len(places) - most} more"]
    return joined(places)


def _overhead(names: Names, most: int | None) -> str:
    found = [p for p in names.plan.placements if names.position(p).is_overhead]
    if not found:
        return ""
    where = _places(names, found, most)
    return (
        f"Overhead ({where}): rated fixings, a steel bond on every part, two "
        f"people, nobody underneath while rigging. The venue and its competent person decide."
    )


def _mains(names: Names, most: int | None) -> str:
    found = [p for p in names.plan.placements if is_on_mains(names, p)]
    if not found:
        return ""
    where = _places(names, found, most)
    return (
        f"Mains ({where}): tested leads, a residual-current device, never a dimmed "
        f"outlet; the venue's electrician says which outlets."
    )


def is_on_mains(names: Names, placement: Placement) -> bool:
    """Return whether something of a placement takes mains."""
    position = names.position(placement)
    items = [names.item_of(unit) for unit in placement.rig.units]
    return any(
        (isinstance(item, Body) and item.runs_on_mains and position.has_mains)
        or (isinstance(item, Head | Support) and item.needs_mains)
        for item in items
    )


def _arm(names: Names, most: int | None) -> str:
    found = [p for p in names.plan.placements if support_of(names, p).is_arm]
    if not found:
        return ""
    where = _places(names, found, most)
    return (
        f"Arm ({where}): only people who have learned it, its sweep roped off, "
        f"weights on the base, never over people; the venue agrees first."
    )


def support_of(names: Names, placement: Placement) -> Support:
    """Return what a placement stands on."""
    item = names.item_of(placement.rig.support)
    assert isinstance(item, Support)  # the plan's records say so
    return item


def _lifting(names: Names) -> str:
    rules = min((s.rules for s in names.plan.shoots.values()), key=lambda each: each.lift_kg)
    heavy = {
        item.name: item.mass_kg
        for placement in names.plan.placements
        for unit in placement.units
        if (item := names.item_of(unit)).mass_kg > rules.lift_kg
    }
    return heavy_words(heavy, rules) if heavy else ""


def is_public(names: Names, placement: Placement) -> bool:
    """Return whether the public gets near the rig of a placement."""
    _, each = names.plan.pass_of(placement.pass_id)
    position = names.position(placement)
    on_floor = position.stands_on == "floor" and not position.is_on_stage
    return position.has_public or (each.has_audience and on_floor)


def _public(names: Names, most: int | None) -> str:
    found = [p for p in names.plan.placements if is_public(names, p)]
    if not found:
        return ""
    where = _places(names, found, most)
    return (
        f"Public near ({where}): legs and cables out of aisles, exits and "
        f"wheelchair bays, cables taped or ramped; front of house and the fire rules decide."
    )


def is_shut_in(names: Names, placement: Placement) -> bool:
    """Return whether nobody gets to a placement or away from it while its pass runs."""
    _, each = names.plan.pass_of(placement.pass_id)
    position = names.position(placement)
    return position.is_out_of_reach or (position.is_shut_in_by_audience and each.has_audience)


def _shut_in(names: Names, most: int | None) -> str:
    found = [p for p in names.plan.placements if is_shut_in(names, p)]
    if not found:
        return ""
    where = _places(names, found, most)
    return (
        f"No way in or out ({where}): built, framed and, where nobody stays with "
        f"it, rolling before the doors open; people stay there to the end of the pass."
    )
