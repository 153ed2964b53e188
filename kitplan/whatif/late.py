"""A pass that begins late: every clock behind it moves, no rig does.

The pass keeps its songs and gaps and starts later; what was shut in or out of reach waits longer,
people who have to leave leave as before, and the work after it has less time. All of the day is
worked out anew on the new clock; what no longer holds is said.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from kitplan.errors import SettingError
from kitplan.plan.records import Plan
from kitplan.produce.standing import plan_as_it_stands
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.clock import disordered_passes
from kitplan.shoot.records import Pass, Person, Shoot
from kitplan.whatif.changed import with_shoot
from kitplan.whatif.holding import Gone, faults_of, gone, unheld, unmet


@dataclass(frozen=True)
class Leaving:
    """Somebody who has to leave before a pass is over now."""

    person: Person
    each: Pass
    minutes: float
    """Before its end."""


@dataclass(frozen=True)
class Late:
    """A plan on a later clock, and what that changes."""

    before: Plan
    plan: Plan
    each: Pass
    """The pass that begins late, on its new clock."""
    minutes: float
    gone: tuple[Gone, ...]
    unmet: tuple[str, ...]
    """Demands that were met and are not any more, musts first."""
    unheld: tuple[tuple[str, str], ...]
    """Songs and names of moments that somebody held and nobody does any more."""
    leaving: tuple[Leaving, ...]
    gap_min: tuple[float, float] | None
    """Minutes between this pass and the next, as planned and now; None after the last pass."""


def minutes_late(each: Pass, downbeat: datetime) -> float:
    """Return how late a pass begins with a true downbeat, in minutes; below 0 it is early.

    The downbeat is a time of day; the day is the one that is nearest to the plan.
    """
    start = each.start
    at = downbeat.replace(year=start.year, month=start.month, day=start.day, tzinfo=start.tzinfo)
    days = (at + timedelta(days=shift) for shift in (-1, 0, 1))
    return min(((day - start).total_seconds() / 60 for day in days), key=abs)


def plan_late(plan: Plan, pass_id: str, minutes: float) -> Late:
    """Return a plan of one shoot with a pass that begins so many minutes later.

    Args:
        pass_id: Id of the pass inside its shoot.
    Raises:
        SettingError: If the pass would last into the next one, or begin before its doors.
        PastError: If what stood in a pass that is over is not possible with that.
    """
    ((_, shoot),) = plan.shoots.items()
    changed = _later(Brief(shoot, plan.kit), pass_id, minutes)
    after = plan_as_it_stands(changed, plan)
    findings = faults_of(plan, after)
    index = [each.id for each in shoot.passes].index(pass_id)
    has_next = index + 1 < len(shoot.passes)
    return Late(
        before=plan,
        plan=after,
        each=changed.shoot.passes[index],
        minutes=minutes,
        gone=tuple(gone(plan, after, findings)),
        unmet=tuple(unmet(plan, after, findings)),
        unheld=tuple(unheld(plan, after)) if _has_sheets(plan) else (),
        leaving=tuple(_leaving(changed.shoot, shoot)),
        gap_min=(shoot.gap_min(index), changed.shoot.gap_min(index)) if has_next else None,
    )


def _has_sheets(plan: Plan) -> bool:
    return plan.day is not None and plan.day.shots is not None


def _later(brief: Brief, pass_id: str, minutes: float) -> Brief:
    shift = timedelta(minutes=minutes)
    each = brief.shoot.passes_by_id[pass_id]
    start, end = each.start + shift, None if each.end is None else each.end + shift
    if each.doors is not None and start < each.doors:
        raise SettingError(
            f"{each.label} would begin at {start:%H:%M}, before its doors open at "
            f"{each.doors:%H:%M}",
            where="the new downbeat",
            fix="Give a later one",
        )
    facts: dict[str, object] = {"start": start, "end": end}
    if each.gap_after_min is not None:
        facts["gap_after_min"] = max(each.gap_after_min - minutes, 0.0)
    passes = tuple(
        one.model_copy(update=facts) if one.id == pass_id else one for one in brief.shoot.passes
    )
    changed = with_shoot(brief, passes=passes)
    for fault in disordered_passes(changed.shoot):
        raise SettingError(fault.wrong, where="the new downbeat", fix="Move the other pass as well")
    return changed


def _leaving(after: Shoot, before: Shoot) -> Iterator[Leaving]:
    """Yield those who were on hand to the end of a pass and are not any more."""
    for each, was in zip(after.passes, before.passes, strict=True):
        end, old = after.end_of(each), before.end_of(was)
        for person in after.crew:
            listed = each.people is None or person.id in each.people
            if listed and person.until is not None and old <= person.until < end:
                yield Leaving(person, each, (end - person.until).total_seconds() / 60)
