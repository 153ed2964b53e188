"""The usual cautions of a plan; they defer to the venue, local rules and licensed people."""

from __future__ import annotations

from kitplan.gear.records import Body, Head, Support
from kitplan.paper.layout import joined
from kitplan.paper.names import Names
from kitplan.plan.records import Placement


def cautions(names: Names) -> list[str]:
    """Return the cautions that apply, one sentence or two each."""
    lines = [
        _overhead(names),
        _mains(names),
        _arm(names),
        _lifting(names),
        _public(names),
        _shut_in(names),
        "Lasers: beams, sweeps and mirrors are never computed here, only whether the source of a "
        "listed one is in a frame. Ask the venue where they sweep; keep every lens out of it.",
    ]
    return [line for line in lines if line]


def _places(names: Names, placements: list[Placement]) -> str:
    return joined(list(dict.fromkeys(names.place(placement) for placement in placements)))


def _overhead(names: Names) -> str:
    found = [p for p in names.plan.placements if names.position(p).is_overhead]
    if not found:
        return ""
    return (
        f"Overhead ({_places(names, found)}): rated fixings, a steel bond on every part, two "
        f"people, nobody underneath while rigging. The venue and its competent person decide."
    )


def _mains(names: Names) -> str:
    found = [p for p in names.plan.placements if _is_on_mains(names, p)]
    if not found:
        return ""
    return (
        f"Mains ({_places(names, found)}): tested leads, a residual-current device, never a dimmed "
        f"outlet; the venue's electrician says which outlets."
    )


def _is_on_mains(names: Names, placement: Placement) -> bool:
    position = names.position(placement)
    items = [names.item_of(unit) for unit in placement.rig.units]
    return any(
        (isinstance(item, Body) and item.runs_on_mains and position.has_mains)
        or (isinstance(item, Head | Support) and item.needs_mains)
        for item in items
    )


def _arm(names: Names) -> str:
    found = [p for p in names.plan.placements if _support(names, p).is_arm]
    if not found:
        return ""
    return (
        f"Arm ({_places(names, found)}): only people who have learned it, its sweep roped off, "
        f"weights on the base, never over people; the venue agrees first."
    )


def _support(names: Names, placement: Placement) -> Support:
    item = names.item_of(placement.rig.support)
    assert isinstance(item, Support)  # the plan's records say so
    return item


def _lifting(names: Names) -> str:
    limit_kg = min(shoot.rules.lift_kg for shoot in names.plan.shoots.values())
    heavy = {
        item.name: item.mass_kg
        for placement in names.plan.placements
        for unit in placement.units
        if (item := names.item_of(unit)).mass_kg > limit_kg
    }
    if not heavy:
        return ""
    shown = joined([f"{name}, {mass:g} kg" for name, mass in heavy.items()])
    return f"Lifting ({shown}): two people, and the venue's own limits."


def _public(names: Names) -> str:
    found = []
    for placement in names.plan.placements:
        _, each = names.plan.pass_of(placement.pass_id)
        position = names.position(placement)
        if position.has_public or (
            each.has_audience and position.stands_on == "floor" and not position.is_on_stage
        ):
            found.append(placement)
    if not found:
        return ""
    return (
        f"Public near ({_places(names, found)}): legs and cables out of aisles, exits and "
        f"wheelchair bays, cables taped or ramped; front of house and the fire rules decide."
    )


def _shut_in(names: Names) -> str:
    found = []
    for placement in names.plan.placements:
        _, each = names.plan.pass_of(placement.pass_id)
        position = names.position(placement)
        if position.is_out_of_reach or (position.is_shut_in_by_audience and each.has_audience):
            found.append(placement)
    if not found:
        return ""
    return (
        f"No way in or out ({_places(names, found)}): built, framed and, where nobody stays with "
        f"it, rolling before the doors open; people stay there to the end of the pass."
    )
