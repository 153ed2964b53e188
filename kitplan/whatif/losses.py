"""Something is lost: a unit, an item, a person, a position, a pass. The plan that answers it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from kitplan.allocate.solver import Limits, Listener
from kitplan.errors import SettingError
from kitplan.gear.records import Kit
from kitplan.plan.difference import Change, difference
from kitplan.plan.records import Plan
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Shoot
from kitplan.wording import hint

Kind = Literal["unit", "item", "person", "position", "pass"]


@dataclass(frozen=True)
class Loss:
    """One thing that is not there any more."""

    kind: Kind
    id: str
    label: str


@dataclass(frozen=True)
class Reply:
    """The new plan, and what it changes of the one before."""

    plan: Plan
    changes: tuple[Change, ...]


def find_losses(plan: Plan, names: Sequence[str]) -> tuple[Loss, ...]:
    """Return what names stand for: ids first, then names, without regard to case.

    Raises:
        SettingError: If a plan has several shoots, or a name is unknown or names several things.
    """
    if len(plan.shoots) != 1:
        raise SettingError(
            "the plan holds several shoots", where="PLAN", fix="Plan each of them by itself"
        )
    (shoot,) = plan.shoots.values()
    known = (*_gear(plan.kit), *_people_and_places(shoot))
    return tuple(_find(known, name) for name in names)


def _gear(kit: Kit) -> tuple[Loss, ...]:
    items = kit.items_by_id
    units = [Loss("unit", unit.id, f"{items[unit.item].name} ({unit.id})") for unit in kit.units]
    return (*units, *(Loss("item", item.id, item.name) for item in kit.items))


def _people_and_places(shoot: Shoot) -> tuple[Loss, ...]:
    return (
        *(Loss("person", each.id, each.label) for each in shoot.crew),
        *(Loss("position", each.id, each.label) for each in shoot.venue.positions),
        *(Loss("pass", each.id, each.label) for each in shoot.passes),
    )


def _find(known: Sequence[Loss], name: str) -> Loss:
    wanted = name.casefold()
    by_id = [loss for loss in known if loss.id.casefold() == wanted]
    found = by_id or [loss for loss in known if loss.label.casefold() == wanted]
    if not found:
        words = sorted({loss.id for loss in known})
        raise SettingError(
            f"there is no {name!r} in the plan", where="THING", fix=hint(name, words)
        )
    if len(found) > 1:
        kinds = " and ".join(f"{loss.kind} {loss.id}" for loss in found)
        fix = "Give the id of the one that is meant"
        raise SettingError(f"{name!r} names several things: {kinds}", where="THING", fix=fix)
    return found[0]


def brief_without(brief: Brief, losses: Sequence[Loss]) -> Brief:
    """Return a brief in which some things are missing. What names a missing person or unit lets go
    of it; a missing position is open in no pass; locks that ask for something missing are dropped.
    """
    for loss in losses:
        brief = _WITHOUT[loss.kind](brief, loss.id)
    return brief


def _without_units(brief: Brief, gone: Callable[[str, str], bool]) -> Brief:
    """Without the units that a test of their id and item says."""
    units = tuple(unit for unit in brief.kit.units if not gone(unit.id, unit.item))
    return Brief(brief.shoot, Kit(items=brief.kit.items, units=units))


def _without_unit(brief: Brief, unit_id: str) -> Brief:
    item = next(unit.item for unit in brief.kit.units if unit.id == unit_id)
    found = _without_units(brief, lambda unit, _: unit == unit_id)
    return found if found.kit.units_by_item.get(item) else _without_locks(found, item)


def _without_item(brief: Brief, item_id: str) -> Brief:
    return _without_locks(_without_units(brief, lambda _, item: item == item_id), item_id)


def _without_person(brief: Brief, person_id: str) -> Brief:
    def others(people: tuple[str, ...] | None) -> tuple[str, ...] | None:
        return None if people is None else tuple(one for one in people if one != person_id)

    shoot = brief.shoot
    positions = tuple(
        each.model_copy(update={"only_people": others(each.only_people)})
        for each in shoot.venue.positions
    )
    changed = {
        "crew": tuple(each for each in shoot.crew if each.id != person_id),
        "passes": tuple(
            each.model_copy(update={"people": others(each.people)}) for each in shoot.passes
        ),
        "venue": shoot.venue.model_copy(update={"positions": positions}),
    }
    return _without_locks(_changed(brief, changed), person_id)


def _without_position(brief: Brief, position_id: str) -> Brief:
    venue = brief.shoot.venue
    positions = tuple(
        each.model_copy(update={"open_in": ()}) if each.id == position_id else each
        for each in venue.positions
    )
    changed = {"venue": venue.model_copy(update={"positions": positions})}
    return _without_locks(_changed(brief, changed), position_id)


def _without_pass(brief: Brief, pass_id: str) -> Brief:
    others = tuple(each.id for each in brief.shoot.passes if each.id != pass_id)
    if not others:
        raise SettingError(
            "it is the only pass", where=pass_id, fix="Without it there is nothing to plan"
        )
    return brief.only_passes(others)


def _without_locks(brief: Brief, name: str) -> Brief:
    """Drop the locks that ask to keep what is gone."""
    locks = brief.shoot.locks
    keep = tuple(each for each in locks.keep if name not in each.parts.values())
    return _changed(brief, {"locks": locks.model_copy(update={"keep": keep})})


def _changed(brief: Brief, changed: Mapping[str, object]) -> Brief:
    # field by field: a record also carries the look-ups it has cached
    kept = {name: getattr(brief.shoot, name) for name in Shoot.model_fields}
    return Brief(Shoot.model_validate({**kept, **changed}), brief.kit)


_WITHOUT: dict[Kind, Callable[[Brief, str], Brief]] = {
    "unit": _without_unit,
    "item": _without_item,
    "person": _without_person,
    "position": _without_position,
    "pass": _without_pass,
}


def plan_without(
    plan: Plan, losses: Sequence[Loss], limits: Limits, tell: Listener | None = None
) -> Reply:
    """Return the plan that answers some losses and changes least of what is rigged.

    Raises:
        NoPlanInTime: If the limits are too short for any plan.
    """
    ((shoot_id, shoot),) = plan.shoots.items()
    brief = brief_without(Brief(shoot, plan.kit), losses)
    after = plan_shoot(brief, shoot_id=shoot_id, limits=limits, tell=tell, before=plan)
    return Reply(after, difference(plan, after))
