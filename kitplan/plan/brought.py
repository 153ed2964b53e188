"""What a pass brings besides its cameras: chargers for the batteries in use, and the sound; and
which cases things live in.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import AnyItem, Charger, Media, Sound
from kitplan.plan.heard import lacks_of, sound_runs, units_of
from kitplan.plan.records import Plan


@dataclass(frozen=True)
class Unfilled:
    """Something that a sound unit needs and that is not there."""

    of: str
    """Name of the sound item."""
    what: str
    why: str


@dataclass(frozen=True)
class SoundKit:
    """The sound units of a pass with their batteries and cards, and what they lack."""

    units: tuple[str, ...]
    unfilled: tuple[Unfilled, ...]


def brought(plan: Plan, pass_id: str) -> tuple[str, ...]:
    """Return the units that a pass takes, without cases, each once."""
    cameras = [
        unit
        for each in plan.placements_in(pass_id)
        for unit in (*each.units, *given_by_the_day(plan, pass_id, each.letter))
    ]
    sound = sound_kit(plan, pass_id).units
    chargers = chargers_for(plan, pass_id, {*cameras, *sound})
    return tuple(dict.fromkeys([*cameras, *chargers, *sound]))


def given_by_the_day(plan: Plan, pass_id: str, letter: str) -> tuple[str, ...]:
    """Return the batteries and cards that the clock of the day puts into a camera in a pass, each
    once: those of its rig, and what it takes beside them.
    """
    day, one = plan.day, (pass_id, letter)
    if day is None:
        return ()
    found: list[str | None] = []
    if day.power is not None:
        found += [use.unit for use in day.power.uses if (use.pass_id, use.letter) == one]
    if day.media is not None:
        found += [use.card for use in day.media.uses if (use.pass_id, use.letter) == one]
    if day.rolls is not None:
        rolls = (roll for roll in day.rolls.rolls if (roll.pass_id, roll.letter) == one)
        found += [unit for r in rolls for clip in r.clips for unit in (clip.battery, clip.card)]
    return tuple(dict.fromkeys(unit for unit in found if unit is not None))


def cases_around(units: Mapping[str, Unit], unit_id: str) -> tuple[str, ...]:
    """Return the cases that a unit lives in, the innermost first, as far as they are known."""
    found: list[str] = []
    case = units[unit_id].case
    while case is not None and case in units and case not in found:
        found.append(case)
        case = units[case].case
    return tuple(found)


def chargers_for(plan: Plan, pass_id: str, packed: Collection[str]) -> tuple[str, ...]:
    """Return the chargers for every battery among what is packed."""
    items = {unit.item for unit in plan.kit.units if unit.id in packed}
    return tuple(
        unit.id
        for unit, item in _free_units(plan, pass_id)
        if isinstance(item, Charger) and items & set(item.batteries)
    )


def sound_kit(plan: Plan, pass_id: str) -> SoundKit:
    """Return the units that the plan gives its sound setups, and what they lack; where it says
    nothing of sound, the sound units of the kit, each with a card that no camera uses that day, and
    a battery that none uses in the pass.
    """
    runs = sound_runs(plan, pass_id)
    if runs is not None:
        given = dict.fromkeys(unit for run in runs for unit in units_of(run))
        return SoundKit(
            tuple(given), tuple(Unfilled(*one) for r in runs for one in lacks_of(plan, r))
        )
    day = plan.pass_of(pass_id)[1].start.date()
    taken: set[str] = set()
    for placement in plan.placements:
        if placement.pass_id == pass_id:
            taken.update(placement.units)
        if plan.pass_of(placement.pass_id)[1].start.date() == day:
            taken.update(placement.cards)
    units: list[str] = []
    unfilled: list[Unfilled] = []
    free = list(_free_units(plan, pass_id))
    for unit, item in free:
        if not isinstance(item, Sound):
            continue
        units.append(unit.id)
        for what, fits in _needs(plan.kit, item):
            spare = next((u.id for u, _ in free if u.item in fits and u.id not in taken), None)
            if spare is None:
                why = "every one in the kit is in a camera" if fits else "not in the kit"
                unfilled.append(Unfilled(item.name, what, why))
            else:
                taken.add(spare)
                units.append(spare)
    return SoundKit(tuple(units), tuple(unfilled))


def _needs(kit: Kit, item: Sound) -> Iterator[tuple[str, frozenset[str]]]:
    """Yield what a sound unit depends on in words, and the items that will do."""
    if item.battery is not None:
        name = kit.items_by_id[item.battery].name
        words = f"{name} (or mains)" if item.runs_on_mains else name
        yield words, frozenset({item.battery})
    if item.card_type is not None:
        cards = (card.id for card in kit.of_kind(Media) if card.card_type == item.card_type)
        yield f"{item.card_type.upper()} card", frozenset(cards)


def _free_units(plan: Plan, pass_id: str) -> Iterator[tuple[Unit, AnyItem]]:
    """Yield the units that can be had on the day of a pass, with their items."""
    shoot, each = plan.pass_of(pass_id)
    items = plan.kit.items_by_id
    return (
        (unit, items[unit.item])
        for unit in plan.kit.units
        if unit.is_free_on(each.start.date(), shoot.travel_days)
    )
