"""The same brief with one thing less for the passes that are still to come.

Where some passes are over, what stood in them stays as it was: a unit that dies now was there then.
Otherwise as in `changed`.
"""

from __future__ import annotations

from kitplan.shoot.brief import Brief
from kitplan.shoot.past import Past
from kitplan.whatif.changed import (
    ITEM_PARTS,
    locks_without,
    with_position,
    with_shoot,
    without_pass,
)


def with_past(brief: Brief, past: Past) -> Brief:
    """Return the brief with some passes over."""
    return with_shoot(brief, past=past)


def lost_unit(brief: Brief, unit_id: str) -> Brief:
    """Return the brief in which a unit is there no more."""
    return _with_lost(brief, {unit_id})


def lost_item(brief: Brief, item_id: str) -> Brief:
    """Return the brief in which no unit of an item is there any more."""
    return _with_lost(brief, {unit.id for unit in brief.kit.units_by_item.get(item_id, ())})


def _with_lost(brief: Brief, units: set[str]) -> Brief:
    past, kit = brief.shoot.past, brief.kit
    lost = {*past.lost_units, *units}
    gone = {
        item for item, owned in kit.units_by_item.items() if all(unit.id in lost for unit in owned)
    }
    locks = brief.shoot.locks
    for part in ITEM_PARTS:
        locks = locks_without(locks, part, gone)
    past = past.model_copy(update={"lost_units": tuple(sorted(lost))})
    return with_shoot(brief, past=past, locks=locks)


def lost_person(brief: Brief, person_id: str) -> Brief:
    """Return the brief in which somebody is on the list of no pass to come."""
    shoot = brief.shoot
    everyone = tuple(person.id for person in shoot.crew)
    passes = tuple(
        each
        if shoot.past.is_over(each.id)
        else each.model_copy(
            update={
                "people": tuple(
                    name
                    for name in (everyone if each.people is None else each.people)
                    if name != person_id
                )
            }
        )
        for each in shoot.passes
    )
    return with_shoot(brief, passes=passes, locks=locks_without(shoot.locks, "person", {person_id}))


def lost_position(brief: Brief, position_id: str) -> Brief:
    """Return the brief in which a position is open in no pass to come."""
    shoot = brief.shoot
    (place,) = (each for each in shoot.venue.positions if each.id == position_id)
    was_open = shoot.past.passes if place.open_in is None else place.open_in
    still = tuple(each for each in shoot.past.passes if each in was_open)
    locks = locks_without(shoot.locks, "position", {position_id})
    return with_position(with_shoot(brief, locks=locks), position_id, open_in=still)


def lost_pass(brief: Brief, pass_id: str) -> Brief:
    """Return the brief without one of the passes to come.

    Raises:
        ValueError: If it is over.
    """
    if brief.shoot.past.is_over(pass_id):
        raise ValueError(f"{pass_id} is over")
    return without_pass(brief, pass_id)
