"""What a shoot brings, and when each thing is needed first (docs/model.md, Packing)."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.gear.kit import Unit
from kitplan.gear.records import AnyItem, Charger, Media, Sound
from kitplan.plan.records import Plan

_BUILD = ("support", "head")
_CAMERA = ("body", "lens", "adapter")


def brings_of(plan: Plan, shoot_id: str) -> set[str]:
    """Return the units that all passes of a shoot bring: cameras, chargers, sound."""
    return {unit for each in _passes(plan, shoot_id) for unit in _pass_brings(plan, each)}


def first_needs(plan: Plan, shoot_id: str) -> dict[str, tuple[int, int]]:
    """Return for each unit the first pass that needs it, and there 0 for supports, 1 for heads, 2
    for bodies with their glass, 3 for all else. A case in a case is needed with what is in it.
    """
    units = {unit.id: unit for unit in plan.kit.units}
    needs: dict[str, tuple[int, int]] = {}
    for number, pass_id in enumerate(_passes(plan, shoot_id)):
        for unit in _pass_brings(plan, pass_id):
            kind = plan.kit.items_by_id[units[unit].item].kind
            rank = _BUILD.index(kind) if kind in _BUILD else 2 if kind in _CAMERA else 3
            seen: set[str] = set()
            inside: str | None = unit
            while inside in units and inside not in seen:
                seen.add(inside)
                needs[inside] = min((number, rank), needs.get(inside, (number, rank)))
                inside = units[inside].case
    return needs


def _passes(plan: Plan, shoot_id: str) -> list[str]:
    return [f"{shoot_id}/{each.id}" for each in plan.shoots[shoot_id].passes]


def _pass_brings(plan: Plan, pass_id: str) -> set[str]:
    """Cameras of the pass with what the day puts into them; sound with power and cards; chargers
    for every battery among these.
    """
    known = {unit.id for unit in plan.kit.units if unit.item in plan.kit.items_by_id}
    found = {u for p in plan.placements if p.pass_id == pass_id for u in p.units}
    letters = {p.letter for p in plan.placements if p.pass_id == pass_id}
    found |= {unit for letter, unit in _day_gives(plan, pass_id) if letter in letters}
    found = (found & known) | _sound(plan, pass_id)
    items = {unit.item for unit in plan.kit.units if unit.id in found}
    for unit, item in _free(plan, pass_id):
        if isinstance(item, Charger) and items.intersection(item.batteries):
            found.add(unit.id)
    return found


def _day_gives(plan: Plan, pass_id: str) -> Iterator[tuple[str, str]]:
    """Yield each battery and card that some part of the day puts into a recorder of the pass."""
    day = plan.day
    for use in day.power.uses if day is not None and day.power is not None else ():
        if use.pass_id == pass_id:
            yield use.letter, use.unit
    for written in day.media.uses if day is not None and day.media is not None else ():
        if written.pass_id == pass_id:
            yield written.letter, written.card
    for roll in day.rolls.rolls if day is not None and day.rolls is not None else ():
        if roll.pass_id == pass_id:
            for clip in roll.clips:
                yield from ((roll.letter, each) for each in (clip.battery, clip.card) if each)


def _sound(plan: Plan, pass_id: str) -> set[str]:
    """What the sound of the plan uses in the pass. Where it has none: every sound unit that is free
    that day, with the first battery and the first card of the right kind that nobody else has: no
    camera of the pass, and for cards none of the day.
    """
    if plan.day is not None and plan.day.sound is not None:
        known = {unit.id for unit in plan.kit.units if unit.item in plan.kit.items_by_id}
        runs = [run for run in plan.day.sound.runs if run.pass_id == pass_id]
        used = {u for r in runs for u in (r.recorder, *r.sources, *r.batteries, *r.cards)}
        return {unit for unit in used if unit in known}
    day = plan.pass_of(pass_id)[1].start.date()
    passes = set(plan.pass_ids())
    taken = {unit for p in plan.placements if p.pass_id == pass_id for unit in p.units}
    for placement in plan.placements:
        if placement.pass_id in passes:
            is_same_day = plan.pass_of(placement.pass_id)[1].start.date() == day
            taken |= set(placement.cards) if is_same_day else set()
    found: set[str] = set()
    for unit, item in _free(plan, pass_id):
        if not isinstance(item, Sound):
            continue
        found.add(unit.id)
        cards = {c.id for c in plan.kit.of_kind(Media) if c.card_type == item.card_type}
        for fitting in ({item.battery} - {None}, cards if item.card_type else set()):
            spare = next(
                (u.id for u, _ in _free(plan, pass_id) if u.item in fitting and u.id not in taken),
                None,
            )
            if spare is not None:
                taken.add(spare)
                found.add(spare)
    return found


def _free(plan: Plan, pass_id: str) -> Iterator[tuple[Unit, AnyItem]]:
    shoot, each = plan.pass_of(pass_id)
    day = each.start.date()
    for unit in plan.kit.units:
        item = plan.kit.items_by_id.get(unit.item)
        if item is not None and unit.is_free_on(day, shoot.travel_days):
            yield unit, item
