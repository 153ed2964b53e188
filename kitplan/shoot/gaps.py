"""The gaps of a shoot before anything is planned into them: from when to when, and who is there.

Between two passes, before the first one (load-in: from the time that the first of the crew is
there) and after the last one (get-out: until the last of the crew has to go, where all have to).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

from kitplan.shoot.records import Pass, Person, Shoot
from kitplan.shoot.venue import Position
from kitplan.units import budget_s

DAY_S = 86_400
"""How far a get-out reaches whose end nobody knows."""


@dataclass(frozen=True)
class Stretch:
    """A gap of the day before anything is planned into it."""

    after: Pass | None
    before: Pass | None
    begin: datetime
    gate: datetime | None

    @property
    def is_dark(self) -> bool:
        """Whether its work is done in the dark."""
        return self.after is not None and self.after.is_dark_after

    @property
    def gate_s(self) -> int | None:
        """Seconds until all has to be done."""
        return None if self.gate is None else seconds_after(self.begin, self.gate)


def stretches(shoot: Shoot) -> Iterator[Stretch]:
    """Yield load-in, every gap between passes, get-out; none that is over."""
    passes, over = shoot.passes, shoot.past.passes
    first, last = passes[0], passes[-1]
    times = [person.since for person in _listed(shoot, (first,)) if person.since is not None]
    if times and min(times) < (first.doors or first.start) and first.id not in over:
        yield Stretch(None, first, min(times), first.doors or first.start)
    for index, (this, following) in enumerate(pairwise(passes)):
        if following.id not in over:
            begin = shoot.end_of(this)
            gate = begin + timedelta(seconds=budget_s(shoot.gap_min(index)))
            yield Stretch(this, following, begin, gate)
    # the last recorder is stopped a little after the last note
    wrapped = shoot.end_of(last) + timedelta(minutes=shoot.rules.wrap_min)
    yield Stretch(last, None, wrapped, _all_gone(shoot, last, wrapped))


def _all_gone(shoot: Shoot, last: Pass, wrapped: datetime) -> datetime | None:
    """When the last of the crew has to go; None where somebody may stay."""
    untils = [person.until for person in _listed(shoot, (last,))]
    known = [until for until in untils if until is not None]
    return max([wrapped, *known]) if len(known) == len(untils) and known else None


def _listed(shoot: Shoot, passes: Sequence[Pass]) -> tuple[Person, ...]:
    """The crew who are listed for all of some passes."""
    return tuple(
        person
        for person in shoot.crew
        if all(each.people is None or person.id in each.people for each in passes)
    )


def crew_of(shoot: Shoot, stretch: Stretch) -> tuple[Person, ...]:
    """Return who is on hand for some of a gap: listed for the passes on both sides of it."""
    sides = [each for each in (stretch.after, stretch.before) if each is not None]
    return tuple(
        person
        for person in _listed(shoot, sides)
        if hours_s(person, stretch, stretch.gate_s or DAY_S)
    )


def may_work_at(person: Person, position: Position) -> bool:
    """Return whether somebody may work at a position: the rule for its operators."""
    if position.is_on_stage and not person.may_be_on_stage:
        return False
    return position.only_people is None or person.id in position.only_people


def gaps_in_vain(shoot: Shoot, each: Pass, position: Position) -> Iterator[Stretch]:
    """Yield the gaps beside a pass in which people are on hand of whom none may work at a position:
    nothing that stands there could be built, struck or even looked after.
    """
    for stretch in stretches(shoot):
        if each.id in (stretch.after and stretch.after.id, stretch.before and stretch.before.id):
            crew = crew_of(shoot, stretch)
            if crew and not any(may_work_at(person, position) for person in crew):
                yield stretch


def seconds_after(begin: datetime, moment: datetime) -> int:
    """Return whole seconds between two moments, rounded down."""
    return budget_s((moment - begin).total_seconds() / 60)


def hours_s(person: Person, stretch: Stretch, gate_s: int) -> list[tuple[int, int]]:
    """Return from when to when somebody is there, in seconds of a gap; nothing for nobody there."""
    since = 0 if person.since is None else max(seconds_after(stretch.begin, person.since), 0)
    until = (
        gate_s if person.until is None else min(seconds_after(stretch.begin, person.until), gate_s)
    )
    return [(since, until)] if since < until else []
