"""What is not wrong but worth knowing before planning: one function for each remark."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import datetime

from kitplan.gear.health import OLD
from kitplan.gear.records import Accessory, Body, Head, Media, Support
from kitplan.gear.upkeep import doubts
from kitplan.optics.flicker import MATCH_FRACTION
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.equipment import owned_bodies
from kitplan.shoot.checks.fault import listed
from kitplan.shoot.checks.surroundings import SURROUNDINGS

RIGGING = "rigging"
"""Skill that somebody on hand needs where a camera hangs over people."""


def remarks(brief: Brief) -> list[str]:
    """Return the remarks on a brief, each a sentence or two for people."""
    return [remark for write in _REMARKS for remark in write(brief)]


def _pending_permissions(brief: Brief) -> Iterator[str]:
    """Positions that are not used because nobody has said yes."""
    for state, so in (("asked", "until somebody gives it"), ("refused", "")):
        named = [
            position.id + (f" ({position.permission.by})" if position.permission.by else "")
            for position in brief.shoot.venue.positions
            if position.permission is not None and position.permission.state == state
        ]
        if named:
            until = f" {so}" if so else ""
            yield f"Permission {state}, so not used{until}: {', '.join(named)}."


def _unsafe_overhead(brief: Brief) -> Iterator[str]:
    """Overhead positions that lack the venue's yes by name, or somebody who may rig."""
    overhead = [position for position in brief.shoot.venue.positions if position.is_overhead]
    nameless = [
        position.id
        for position in overhead
        if position.permission is None
        or (position.permission.state == "given" and not position.permission.by.strip())
    ]
    if nameless:
        yield (
            f"Overhead, so not used until permission says given and by whom: {', '.join(nameless)}."
        )
    if overhead and not any(RIGGING in person.skills for person in brief.shoot.crew):
        yield f"Nobody in the crew has the skill {RIGGING}: overhead positions are not used."


def _missing_small_things(brief: Brief) -> Iterator[str]:
    """Cards, batteries, plates and hands without which nothing can roll."""
    kit = brief.kit
    owned = set(kit.units_by_item)
    cards = {card.card_type for card in kit.of_kind(Media) if card.id in owned}
    plates = {a.fits for a in kit.of_kind(Accessory) if a.serves == "plate" and a.id in owned}
    for body in owned_bodies(brief.kit):
        if body.card_type not in cards:
            yield f"No {body.card_type} card is owned: {body.name} cannot record."
        if body.battery is not None and body.battery not in owned and not body.runs_on_mains:
            yield f"No battery for {body.name} is owned: it cannot run."
    systems = {head.plate for head in kit.of_kind(Head)} | {s.plate for s in kit.of_kind(Support)}
    for system in sorted(one for one in systems if one is not None and one not in plates):
        yield f"No plate of the system {system} is owned: nothing sits on heads that take it."
    if not brief.shoot.crew:
        yield "There is no crew: nobody operates, and nobody minds a locked-off camera."


def _weak_safety(brief: Brief) -> Iterator[str]:
    """Safety roles that a plan may leave unfilled in some pass."""
    for role in brief.shoot.roles:
        if role.is_safety and role.priority != "must":
            yield f"Safety role {role.id} is only a {role.priority}; must makes sure of it."
        elif role.is_safety and role.in_passes != "every" and len(brief.passes_of(role)) > 1:
            yield f"Safety role {role.id} is asked for in any one pass; in_passes: every means all."


def _unrun_songs(brief: Brief) -> Iterator[str]:
    """Songs that no pass runs."""
    unrun = [
        song.id
        for song in brief.shoot.songs
        if all(brief.worth(each, song) == "none" for each in brief.shoot.passes)
    ]
    if unrun:
        yield f"No pass runs {listed(unrun)}."


def _lost_breaks(brief: Brief) -> Iterator[str]:
    """Breaks that only passes would have room for: work lists are of the time between them."""
    shoot = brief.shoot
    for rest in shoot.breaks:
        begins, free_min = rest.since, 0.0
        for each in shoot.passes:
            free_min = max(free_min, _minutes(begins, min(each.start, rest.until)))
            begins = max(begins, shoot.end_of(each))
        if max(free_min, _minutes(begins, rest.until)) < rest.length_min:
            yield (
                f"Break {rest.id}: no {rest.length_min:g} min of its window lie between passes, so "
                f"it is on nobody's list."
            )


def _minutes(begin: datetime, end: datetime) -> float:
    return (end - begin).total_seconds() / 60


def _no_operators(brief: Brief) -> Iterator[str]:
    """Passes in which every camera must be locked off."""
    for each in brief.shoot.passes:
        if not any(person.is_operator for person in brief.people(each)):
            yield f"Nobody on hand in {each.id} operates: every camera there is locked off."


def _useless_bodies(brief: Brief) -> Iterator[str]:
    """Bodies that cannot take part: wrong rate or size, or without the common shutter."""
    bodies = owned_bodies(brief.kit)
    wrong_mode = [body.id for body in bodies if not brief.modes_of(body)]
    if wrong_mode:
        yield f"Not used, as they do not record the delivery's rate and size: {_ids(wrong_mode)}."
    wanted_per_s = 1 / brief.shutter.shutter_s
    wrong_shutter = [body.id for body in bodies if not _has_speed(brief, body, wanted_per_s)]
    if wrong_shutter:
        yield f"Not used, as they lack the shutter 1/{wanted_per_s:.4g} s: {_ids(wrong_shutter)}."


def _has_speed(brief: Brief, body: Body, wanted_per_s: float) -> bool:
    return any(abs(one / wanted_per_s - 1) <= MATCH_FRACTION for one in brief.speeds_of(body))


def _owners_missing(brief: Brief) -> Iterator[str]:
    """Units that only their owner may operate, whose owner does not film."""
    crew = brief.shoot.crew_by_id
    away = [unit.id for unit in brief.kit.units if unit.owner_only and unit.owner not in crew]
    if away:
        yield f"Only for owners whose name is no id in the crew, so not used: {_ids(away)}."


def _assumed_minutes(brief: Brief) -> Iterator[str]:
    """Bodies whose battery time nobody has taken."""
    assumed = [
        body.id
        for body in owned_bodies(brief.kit)
        if body.battery_min is not None and not body.is_measured("battery_min")
    ]
    if assumed:
        yield f"battery_min is assumed, not measured, of {_ids(assumed)}: planned with more margin."


def _doubtful_gear(brief: Brief) -> Iterator[str]:
    """Gear that can be had, but wants to be looked at first; where a pack is old, all are planned
    as it is.
    """
    shoot, kit = brief.shoot, brief.kit
    there = {u.id for item in kit.items for p in shoot.passes for u in brief.free_units(item.id, p)}
    yield from doubts(kit, there, max(brief.day_of(each) for each in shoot.passes))
    for body in owned_bodies(kit):
        packs = [u for p in shoot.passes for u in brief.shared_units(body.battery or "", p)]
        weakest = min(packs, key=lambda unit: unit.health, default=None)
        if weakest is not None and weakest.health < OLD:
            yield (
                f"{body.name}: every battery is planned as the weakest one, {weakest.id} at "
                f"{weakest.health:.0%}; without it the others count for more."
            )


def _ids(ids: Iterable[str]) -> str:
    return ", ".join(ids)


_REMARKS: tuple[Callable[[Brief], Iterator[str]], ...] = (
    _missing_small_things,
    _weak_safety,
    _pending_permissions,
    _unsafe_overhead,
    *SURROUNDINGS,
    _lost_breaks,
    _no_operators,
    _unrun_songs,
    _useless_bodies,
    _owners_missing,
    _assumed_minutes,
    _doubtful_gear,
)
