"""A brief with one thing altered: new records, the old ones stay as they are."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from kitplan.gear.records import AnyItem, Kit, Unit
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Shoot


def joined(each: Pass, person_id: str) -> Pass:
    """Return a pass with a person on its list, where it has one."""
    if each.people is None or person_id in each.people:
        return each
    return each.model_copy(update={"people": (*each.people, person_id)})


def with_shoot(brief: Brief, **changed: Any) -> Brief:
    """Return a brief with parts of the shoot replaced.

    Field by field: a record also carries the look-ups it has cached.
    """
    kept = {name: getattr(brief.shoot, name) for name in Shoot.model_fields}
    return Brief(Shoot.model_validate({**kept, **changed}), brief.kit)


def with_unit(brief: Brief, item: AnyItem) -> Brief:
    """Return a brief with one more unit of an item, borrowed."""
    unit = Unit(id=f"one-more-{item.id}"[:60], item=item.id, owner="borrowed")
    kit = brief.kit
    return Brief(brief.shoot, Kit(items=kit.items, units=(*kit.units, unit)))


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
