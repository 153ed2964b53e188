"""The same brief with one thing less or more: pure functions from a brief to a brief.

What comes back is valid as a record, and whatever it names exists. Whether the kit can still do the
shoot at all is for a plan to find out. What names a thing that is gone:

- a list that narrows something down loses the name. Left without any, a position is open in no
  pass and nobody may operate there, a lamp or a row of light of no pass goes, and so does a role of
  no pass, as if nobody had asked for it;
- a role keeps its other positions; one that asks only for a position that is gone stays, and cannot
  be met: a must is missed;
- a lock that names it, or a role that has gone with it, is dropped. `dropped` says which.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from kitplan.gear.kit import Kit, Unit
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Locks, Pass, Pattern, Role, Shoot
from kitplan.shoot.venue import Permission, Position

ITEM_PARTS = frozenset({"body", "lens", "adapter", "head", "support"})
"""Parts of a lock that name items."""
LENDER = "lent"
"""Owner of one more unit of something."""

# -- less ------------------------------------------------------------------------------------------


def without_unit(brief: Brief, unit_id: str) -> Brief:
    """Return the brief without one unit.

    What has it for its case has none. If it was the last of its item, locks on the item are
    dropped; the item itself stays in the list, with nothing to use.
    """
    return _with_units(brief, (unit for unit in brief.kit.units if unit.id != unit_id))


def without_item(brief: Brief, item_id: str) -> Brief:
    """Return the brief without any unit of an item; see `without_unit`."""
    return _with_units(brief, (unit for unit in brief.kit.units if unit.item != item_id))


def without_person(brief: Brief, person_id: str) -> Brief:
    """Return the brief without somebody of the crew.

    Passes and positions that list people lose the name. Units of that owner stay, and those that
    only the owner may operate lie idle.
    """
    shoot = brief.shoot
    positions = (
        position.model_copy(update={"only_people": _less(position.only_people, person_id)})
        for position in shoot.venue.positions
    )
    return with_shoot(
        brief,
        crew=tuple(person for person in shoot.crew if person.id != person_id),
        passes=tuple(
            each.model_copy(update={"people": _less(each.people, person_id)})
            for each in shoot.passes
        ),
        venue=shoot.venue.model_copy(update={"positions": tuple(positions)}),
        locks=locks_without(shoot.locks, "person", {person_id}),
    )


def without_position(brief: Brief, position_id: str) -> Brief:
    """Return the brief with a position refused.

    It stays in the venue, which has at least one, and in the roles that name it: those that name
    no other cannot be met.
    """
    locks = locks_without(brief.shoot.locks, "position", {position_id})
    refused = Permission(state="refused")
    return with_position(with_shoot(brief, locks=locks), position_id, permission=refused)


def without_pass(brief: Brief, pass_id: str) -> Brief:
    """Return the brief without one of its passes, as if it did not happen.

    If it was the master, the last of the others is. The time between the pass before it and the
    one after it goes by the clock.

    Raises:
        ValueError: If it is the only one.
    """
    shoot = brief.shoot
    venue = shoot.venue
    roles = tuple(r for role in shoot.roles if (r := _role_without(role, pass_id)) is not None)
    lamps = (
        lamp.model_copy(update={"passes": _less(lamp.passes, pass_id)})
        for lamp in venue.lamps
        if lamp.passes != (pass_id,)
    )
    light = (
        row.model_copy(update={"passes": _less(row.passes, pass_id)})
        for row in shoot.light
        if row.passes != (pass_id,)
    )
    areas = (
        area.model_copy(update={"empty_in": _less(area.empty_in, pass_id)})
        for area in venue.audience
    )
    parts = {
        "positions": tuple(_position_without(one, pass_id) for one in venue.positions),
        "lamps": tuple(lamps),
        "audience": tuple(areas),
    }
    changed = with_shoot(
        brief,
        passes=_passes_without(shoot, pass_id),
        roles=roles,
        light=tuple(light),
        venue=venue.model_copy(update=parts),
        locks=locks_without(shoot.locks, "pass", {pass_id}),
    )
    return _without_lost_roles(brief, changed)


# -- more ------------------------------------------------------------------------------------------


def with_shoot(brief: Brief, **parts: Any) -> Brief:
    """Return the brief with other parts of the shoot, checked.

    Field by field: a record also carries the look-ups it has cached.
    """
    kept = {name: getattr(brief.shoot, name) for name in Shoot.model_fields}
    return Brief(Shoot.model_validate({**kept, **parts}), brief.kit)


def with_position(brief: Brief, position_id: str, **facts: Any) -> Brief:
    """Return the brief with other facts of a position."""
    venue = brief.shoot.venue
    positions = tuple(
        each.model_copy(update=facts) if each.id == position_id else each
        for each in venue.positions
    )
    return with_shoot(brief, venue=venue.model_copy(update={"positions": positions}))


def with_item(brief: Brief, item_id: str, **facts: Any) -> Brief:
    """Return the brief with other facts of an item."""
    items = tuple(
        each.model_copy(update=facts) if each.id == item_id else each for each in brief.kit.items
    )
    return Brief(brief.shoot, Kit(items=items, units=brief.kit.units))


def with_one_more(brief: Brief, item_id: str) -> Brief:
    """Return the brief with one more unit of an item: a good one that anybody may use any day."""
    taken = {thing.id for thing in (*brief.kit.items, *brief.kit.units)}
    number = next(n for n in range(1, len(taken) + 2) if f"more-{n}" not in taken)
    unit = Unit(id=f"more-{number}", item=item_id, owner=LENDER)
    return Brief(brief.shoot, Kit(items=brief.kit.items, units=(*brief.kit.units, unit)))


def with_lent(brief: Brief, lent: Kit, unit_ids: Iterable[str]) -> Brief:
    """Return the brief with some units of another kit, and their items where they are not owned.

    Items that they name in turn (the battery of a body) come along as items without units.

    Args:
        lent: Its units have ids of their own; an item with the id of an owned one is that one.
    """
    wanted = set(unit_ids)
    kit = brief.kit
    items = tuple(item for item in lent.items if item.id not in kit.items_by_id)
    known = {unit.id for unit in kit.units} | wanted
    units = (
        unit if unit.case in known else unit.model_copy(update={"case": None})
        for unit in lent.units
        if unit.id in wanted
    )
    return Brief(brief.shoot, Kit(items=(*kit.items, *items), units=(*kit.units, *units)))


# -- other -----------------------------------------------------------------------------------------


def joined(each: Pass, person_id: str) -> Pass:
    """Return a pass with a person on its list, where it has one."""
    if each.people is None or person_id in each.people:
        return each
    return each.model_copy(update={"people": (*each.people, person_id)})


def earlier(brief: Brief, index: int, minutes: float) -> Brief:
    """Return a brief whose passes up to number `index` begin earlier, and whoever is there."""
    shoot, step = brief.shoot, timedelta(minutes=minutes)
    moved = shoot.passes[: index + 1]

    def before(moment: datetime | None) -> datetime | None:
        return None if moment is None else moment - step

    passes = []
    for each in moved:
        changed = {name: before(getattr(each, name)) for name in ("start", "end", "doors")}
        passes.append(each.model_copy(update=changed))
    given_min = passes[index].gap_after_min
    if given_min is not None:
        longer = given_min + minutes
        passes[index] = passes[index].model_copy(update={"gap_after_min": longer})
    coming = {person.id for each in moved for person in brief.people(each)}
    crew = tuple(
        person.model_copy(update={"since": before(person.since)}) if person.id in coming else person
        for person in shoot.crew
    )
    return with_shoot(brief, passes=(*passes, *shoot.passes[index + 1 :]), crew=crew)


def later(brief: Brief, index: int, minutes: float) -> Brief:
    """Return a brief whose passes up to number `index` run that much later, so that the gap after
    it is that much shorter: whoever is there then is held until they end. What comes after stays.

    Lengths stay as well, and with them what lasts how long; less time is left to work and charge.
    """
    shoot, step = brief.shoot, timedelta(minutes=minutes)
    moved: list[Pass] = []
    ends: dict[str, datetime] = {}
    for each in shoot.passes[: index + 1]:
        times = {name: getattr(each, name) for name in ("start", "end", "doors")}
        changed = {name: at and at + step for name, at in times.items()}
        moved.append(each.model_copy(update=changed))
        ends |= {person.id: shoot.end_of(each) + step for person in brief.people(each)}
    given_min = shoot.passes[index].gap_after_min
    if given_min is not None:
        shorter = max(given_min - minutes, 0.0)
        moved[index] = moved[index].model_copy(update={"gap_after_min": shorter})
    crew = tuple(
        person.model_copy(update={"until": max(person.until, ends[person.id])})
        if person.until is not None and person.id in ends
        else person
        for person in shoot.crew
    )
    return with_shoot(brief, passes=(*moved, *shoot.passes[index + 1 :]), crew=crew)


# -- what went with it -----------------------------------------------------------------------------


def dropped(before: Brief, after: Brief) -> tuple[str, ...]:
    """Return in words the locks and roles that a change has dropped."""
    gone = [f"role '{role.label}' is not asked for" for role in lost_roles(before, after)]
    for name in ("keep", "never"):
        left = list(getattr(after.shoot.locks, name))
        for pattern in getattr(before.shoot.locks, name):
            if pattern in left:
                left.remove(pattern)
            else:
                gone.append(f"lock '{name} {pattern}' is dropped")
    return tuple(gone)


def lost_roles(before: Brief, after: Brief) -> tuple[Role, ...]:
    """Return the roles of the shoot that a change has dropped."""
    kept = after.shoot.roles_by_id
    return tuple(role for role in before.shoot.roles if role.id not in kept)


# -- parts -----------------------------------------------------------------------------------------


def _with_units(brief: Brief, units: Iterable[Unit]) -> Brief:
    """Return the brief with these of its units, and no lock on an item that has lost its last."""
    kept = tuple(units)
    known = {unit.id for unit in kept}
    homes = tuple(
        unit if unit.case is None or unit.case in known else unit.model_copy(update={"case": None})
        for unit in kept
    )
    kit = Kit(items=brief.kit.items, units=homes)
    gone = set(brief.kit.units_by_item) - set(kit.units_by_item)
    locks = brief.shoot.locks
    for part in ITEM_PARTS:
        locks = locks_without(locks, part, gone)
    return Brief(with_shoot(brief, locks=locks).shoot, kit)


def locks_without(locks: Locks, part: str, gone: set[str]) -> Locks:
    """Return the locks that name none of these as that part."""

    def stays(pattern: Pattern) -> bool:
        return pattern.parts.get(part) not in gone

    return Locks(keep=tuple(filter(stays, locks.keep)), never=tuple(filter(stays, locks.never)))


def _without_lost_roles(before: Brief, after: Brief) -> Brief:
    """Return a brief without locks on roles that it no longer has, the safety shot included."""
    lost = {role.id for role in before.roles} - {role.id for role in after.roles}
    return with_shoot(after, locks=locks_without(after.shoot.locks, "role", lost))


def _less(names: tuple[str, ...] | None, gone: str) -> tuple[str, ...] | None:
    return None if names is None else tuple(name for name in names if name != gone)


def _position_without(position: Position, pass_id: str) -> Position:
    return position.model_copy(update={"open_in": _less(position.open_in, pass_id)})


def _role_without(role: Role, pass_id: str) -> Role | None:
    """Return a role for the other passes; None where it is listed for no other."""
    if role.passes == (pass_id,):
        return None
    return role.model_copy(update={"passes": _less(role.passes, pass_id)})


def _passes_without(shoot: Shoot, pass_id: str) -> tuple[Pass, ...]:
    kept: list[Pass] = []
    for each in shoot.passes:
        if each.id != pass_id:
            kept.append(each)
        elif kept:
            kept[-1] = kept[-1].model_copy(update={"gap_after_min": None})
    return tuple(kept)
