"""Something is lost: a unit, an item, a person, a position, a pass. The plan that answers it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from kitplan.allocate.solver import Limits, Listener
from kitplan.errors import SettingError
from kitplan.gear.records import Kit
from kitplan.plan.difference import PlacementChange, difference
from kitplan.plan.records import Plan
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Shoot
from kitplan.whatif.changed import (
    without_item,
    without_pass,
    without_person,
    without_position,
    without_unit,
)
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
    changes: tuple[PlacementChange, ...]


def find_losses(plan: Plan, names: Sequence[str]) -> tuple[Loss, ...]:
    """Return what names stand for, each once: ids first, then names, without regard to case.

    Raises:
        SettingError: If a plan has several shoots, or a name is unknown or names several things.
    """
    if len(plan.shoots) != 1:
        raise SettingError(
            "the plan holds several shoots", where="PLAN", fix="Plan each of them by itself"
        )
    (shoot,) = plan.shoots.values()
    known = (*_gear(plan.kit), *_people_and_places(shoot))
    return tuple(dict.fromkeys(_find(known, name) for name in names))


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
    """Return a brief in which some things are missing; what names them goes as `changed` says.

    Raises:
        SettingError: If the only pass is among them.
    """
    for loss in losses:
        if loss.kind == "pass" and len(brief.shoot.passes) == 1:
            raise SettingError(
                "it is the only pass", where=loss.id, fix="Without it there is nothing to plan"
            )
        brief = _WITHOUT[loss.kind](brief, loss.id)
    return brief


_WITHOUT: dict[Kind, Callable[[Brief, str], Brief]] = {
    "unit": without_unit,
    "item": without_item,
    "person": without_person,
    "position": without_position,
    "pass": without_pass,
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
