"""The gaps of a shoot, between its passes and at both ends: how long, who is on hand, who may work
where.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import pairwise

from kitplan.plan.verify.hours import minutes_between
from kitplan.plan.verify.scene import Scene
from kitplan.shoot.records import Pass, Person
from kitplan.shoot.venue import Position

OPEN_S = 86_400
"""How far the hours of a get-out reach whose end nobody knows."""


@dataclass(frozen=True)
class Expected:
    """A gap as the shoot has it."""

    scene: Scene
    after: Pass | None
    before: Pass | None
    begin: datetime
    gate: datetime | None

    @property
    def sides(self) -> tuple[str | None, str | None]:
        """Ids of the passes on both sides."""
        return (
            None if self.after is None else self.after.id,
            None if self.before is None else self.before.id,
        )

    @property
    def gate_s(self) -> int:
        """Seconds until all has to be done."""
        return OPEN_S if self.gate is None else seconds_after(self.begin, self.gate)

    @cached_property
    def hours_s(self) -> dict[str, tuple[int, int]]:
        """From when to when everybody on hand is there; they are listed on both sides."""
        found = {}
        for person in self.scene.shoot.crew:
            sides = [each for each in (self.after, self.before) if each is not None]
            if any(each.people is not None and person.id not in each.people for each in sides):
                continue
            since = 0 if person.since is None else seconds_after(self.begin, person.since)
            until = self.gate_s if person.until is None else seconds_after(self.begin, person.until)
            hours = (max(since, 0), min(until, self.gate_s))
            if hours[0] < hours[1]:
                found[person.id] = hours
        return found

    @property
    def crew(self) -> tuple[Person, ...]:
        """Who is on hand for some of it."""
        return tuple(p for p in self.scene.shoot.crew if p.id in self.hours_s)


def seconds_after(begin: datetime, moment: datetime) -> int:
    """Return whole seconds between two moments, rounded down."""
    return int(round(minutes_between(begin, moment) * 60, 6) // 1)


def expected_gaps(scene: Scene) -> Iterator[Expected]:
    """Yield load-in, gaps and get-out; none that leads to a pass which is over."""
    passes, over = scene.shoot.passes, scene.shoot.past.passes
    first, last = passes[0], passes[-1]
    early = [p.since for p in scene.shoot.crew if p.since and _is_listed(p, first)]
    ready = scene.work_until(first)
    if early and first.id not in over and minutes_between(min(early), ready) > 0:
        yield Expected(scene, None, first, min(early), ready)
    for index, (this, following) in enumerate(pairwise(passes)):
        if following.id not in over:
            begin = scene.end_of(this)
            length_s = round(scene.gap_min(index) * 60, 6) // 1
            yield Expected(scene, this, following, begin, begin + timedelta(seconds=length_s))
    leave = [p.until for p in scene.shoot.crew if _is_listed(p, last)]
    gone = [moment for moment in leave if moment is not None]
    end = scene.end_of(last) + timedelta(minutes=scene.shoot.rules.wrap_min)
    has_end = bool(gone) and len(gone) == len(leave)
    yield Expected(scene, last, None, end, max([end, *gone]) if has_end else None)


def _is_listed(person: Person, each: Pass) -> bool:
    return each.people is None or person.id in each.people


def may_work_at(person: Person, position: Position) -> bool:
    """Return whether somebody may work at a position."""
    is_listed = position.only_people is None or person.id in position.only_people
    return is_listed and (person.may_be_on_stage or not position.is_on_stage)
