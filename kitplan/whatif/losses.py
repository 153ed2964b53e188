"""Something is lost: a unit, an item, a person, a position, a pass, time between two passes; or
some passes are over and not all was got. The plan that answers it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from kitplan.allocate.solver import Limits, Listener
from kitplan.errors import SettingError
from kitplan.gear.kit import Kit
from kitplan.plan.difference import PlacementChange, difference
from kitplan.plan.records import Plan
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.past import Past
from kitplan.shoot.records import Shoot
from kitplan.whatif.changed import (
    later,
    without_item,
    without_pass,
    without_person,
    without_position,
    without_unit,
)
from kitplan.whatif.since import (
    lost_item,
    lost_pass,
    lost_person,
    lost_position,
    lost_unit,
    with_past,
)
from kitplan.wording import hint

Kind = Literal["unit", "item", "person", "position", "pass", "gap"]
SMALL_PLACES, MEDIUM_PLACES, LARGE_PLACES = 20, 60, 100
"""Most places for a camera over all passes of a small, a medium and a large shoot."""
_GAP = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*min\s*:\s*(\S.*?)\s*", re.IGNORECASE)
_LIKE_A_GAP = re.compile(r"\d\s*(h|hrs?|hours?|m|mins?|minutes?)\b|^\s*[-+]?\d+\s*:", re.IGNORECASE)


@dataclass(frozen=True)
class Loss:
    """One thing that is not there any more."""

    kind: Kind
    id: str
    """Of a gap the pass before it."""
    label: str
    minutes: float = 0.0
    """Of a gap: how much of it is lost."""


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
    require_one_shoot(plan)
    (shoot,) = plan.shoots.values()
    known = (*_gear(plan.kit), *_people_and_places(shoot))
    found = (_gap(shoot, name) or _find(known, name) for name in names)
    return tuple(dict.fromkeys(found))


def require_one_shoot(plan: Plan) -> None:
    """Check that a plan is of one shoot.

    Raises:
        SettingError: If it has several.
    """
    if len(plan.shoots) != 1:
        raise SettingError(
            "the plan holds several shoots", where="PLAN", fix="Plan each of them by itself"
        )


def _gap(shoot: Shoot, name: str) -> Loss | None:
    """Return the time between two passes that a name such as 60min:closed-run stands for.

    Raises:
        SettingError: If there is no such pass, none after it, or not so much time.
    """
    written = _GAP.fullmatch(name)
    if written is None:
        return None
    minutes = float(written[1].replace(",", "."))
    wanted = written[2].casefold()
    passes = shoot.passes
    found = [n for n, p in enumerate(passes) if wanted in (p.id.casefold(), p.label.casefold())]
    if not found:
        fix = hint(written[2], (each.id for each in passes[:-1]))
        raise SettingError(f"there is no pass {written[2]!r}", where=name, fix=fix)
    (index, *_) = found
    each = passes[index]
    if index + 1 == len(passes):
        fix = f"Name the pass before it: {', '.join(p.id for p in passes[:-1]) or 'there is none'}"
        raise SettingError(f"no pass follows '{each.id}'", where=name, fix=fix)
    _check_gap(shoot, index, minutes)
    return Loss("gap", each.id, f"{minutes:g} min of the gap after {each.label}", minutes)


def _check_gap(shoot: Shoot, index: int, minutes: float) -> None:
    """Check that a gap has so many minutes to lose, by the clock and of those given for work.

    Raises:
        SettingError: If it has not.
    """
    each, following = shoot.passes[index : index + 2]
    clock_min = (following.start - shoot.end_of(each)).total_seconds() / 60
    most = max(min(shoot.gap_min(index), clock_min), 0.0)
    if not 0 < minutes <= most:
        raise SettingError(
            f"the gap after '{each.id}' has {most:g} min to lose",
            where=f"{minutes:g}min:{each.id}",
            fix=f"Give more than 0 and at most {most:g} min" if most else "Name another gap",
        )


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
    if not found and _LIKE_A_GAP.search(name):
        fix = "Write minutes lost between two passes as 60min:PASS, with the pass before the gap"
        raise SettingError(f"{name!r} names nothing in the plan", where="THING", fix=fix)
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
    """Return a brief in which some things are missing; what names them goes as `changed` says, and
    where passes are over, only from those still to come.

    Raises:
        SettingError: If the only pass to come is among them, one that is over, or more of a gap
            than there is.
    """
    for loss in sorted(losses, key=lambda loss: loss.kind != "gap"):  # while both passes are there
        past = brief.shoot.past
        if loss.kind == "gap":
            index = [each.id for each in brief.shoot.passes].index(loss.id)
            _check_gap(brief.shoot, index, loss.minutes)
            brief = later(brief, index, loss.minutes)
            continue
        if loss.kind == "pass":
            _check_pass(brief, loss.id)
        brief = (_SINCE if past.passes else _WITHOUT)[loss.kind](brief, loss.id)
    return brief


def _check_pass(brief: Brief, pass_id: str) -> None:
    past = brief.shoot.past
    coming = [each for each in brief.shoot.passes if not past.is_over(each.id)]
    if past.is_over(pass_id):
        fix = "Say with --got FILE what was not got in it"
        raise SettingError("it is over and cannot be lost", where=pass_id, fix=fix)
    if len(coming) == 1:
        which = "only pass still to come" if past.passes else "only pass"
        fix = "Without it there is nothing to plan"
        raise SettingError(f"it is the {which}", where=pass_id, fix=fix)


_WITHOUT: dict[str, Callable[[Brief, str], Brief]] = {
    "unit": without_unit,
    "item": without_item,
    "person": without_person,
    "position": without_position,
    "pass": without_pass,
}
_SINCE: dict[str, Callable[[Brief, str], Brief]] = {
    "unit": lost_unit,
    "item": lost_item,
    "person": lost_person,
    "position": lost_position,
    "pass": lost_pass,
}


def usual_limits(plan: Plan) -> Limits:
    """Return how long to look for a reply to losses from a plan, by the size of its shoots.

    For a small one in steps of the solver, so that a busy machine gives the same answer later.
    Measured on two cores: the school's dance evening (15 places) is settled in half a second, the
    depot (25) nearly in five. A large one (the festival, 74) takes longer for its lists and model
    than for its search, and is meant to take ten seconds in all. Four losses of M 0 (85) were
    answered in two seconds of search about as well as in ten.
    """
    places = sum(
        position.rigs
        for shoot in plan.shoots.values()
        for each in shoot.passes
        for position in shoot.venue.positions
        if (position.open_in is None or each.id in position.open_in)
        and (position.permission is None or position.permission.state == "given")
    )
    if places <= SMALL_PLACES:
        return Limits(seconds=0.3, workers=1)
    if places <= MEDIUM_PLACES:
        return Limits(seconds=6.0)
    return Limits(seconds=2.0 if places <= LARGE_PLACES else 30.0)


def plan_without(
    plan: Plan,
    losses: Sequence[Loss],
    limits: Limits,
    tell: Listener | None = None,
    past: Past | None = None,
) -> Reply:
    """Return the plan that answers some losses and changes least of what is rigged.

    Args:
        past: The passes that are over, and what was got in them; None leaves it at what the plan
            knows.
    Raises:
        PastError: If what stood in a pass that is over is not possible by the rules of today.
        NoPlanInTime: If the limits are too short for any plan.
    """
    ((shoot_id, shoot),) = plan.shoots.items()
    brief = Brief(shoot, plan.kit)
    if past is not None:
        brief = with_past(brief, past)
    brief = brief_without(brief, losses)
    after = plan_shoot(brief, shoot_id=shoot_id, limits=limits, tell=tell, before=plan)
    return Reply(after, difference(plan, after))
