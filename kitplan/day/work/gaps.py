"""The gaps of a shoot: from when to when, who is there, which rests fall into them.

Between two passes, before the first one (load-in: from the time that the first of the crew is
there) and after the last one (get-out: until the last of the crew has to go, where all have to).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

from kitplan.day.work.task import Gap, Hand, Resource, Rest, Task
from kitplan.day.work.turn import CART, DOORWAY, Turn
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Person, Shoot
from kitplan.shoot.working import Break
from kitplan.units import budget_s, work_s

DAY_S = 86_400


@dataclass(frozen=True)
class More:
    """What else is to be done in a gap besides turning cameras round, and with what."""

    tasks: tuple[Task, ...] = ()
    resources: tuple[Resource, ...] = ()


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
        return None if self.gate is None else _seconds(self.begin, self.gate)


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
        if _hours(person, stretch, stretch.gate_s or DAY_S)
    )


def turn_of(brief: Brief, placements: Sequence[Placement], stretch: Stretch) -> Turn:
    """Return what is to be turned round in a gap."""

    def of(each: Pass | None) -> tuple[Placement, ...]:
        own = [p for p in placements if each and p.pass_id.partition("/")[2] == each.id]
        return tuple(sorted(own, key=lambda placement: placement.letter))

    crew = crew_of(brief.shoot, stretch)
    return Turn(brief, of(stretch.after), of(stretch.before), crew, stretch.is_dark)


def gap_with(shoot: Shoot, stretch: Stretch, turn: Turn, tasks: Sequence[Task], more: More) -> Gap:
    """Return a gap with tasks, and all that they take."""
    gate_s = DAY_S if stretch.gate_s is None else stretch.gate_s
    venue, carrying = shoot.venue, shoot.carrying
    own = [Resource(DOORWAY, venue.loads_through_door), Resource(CART, carrying.carts)]
    return Gap(
        tasks=(*tasks, *more.tasks),
        hands=tuple(
            Hand(person.id, tuple(_hours(person, stretch, gate_s))) for person in turn.crew
        ),
        resources=(*own, *more.resources),
        rests=tuple(
            rest for each in shoot.breaks for rest in _rests(each, stretch, turn.crew, gate_s)
        ),
        gate_s=gate_s,
    )


def stretched(gap: Gap) -> Gap:
    """Return a gap with its gate, and what is due else, put off by as long as all tasks one after
    another could take; those who are there at the gate stay: how late would it be?
    """
    extra = sum(_most_s(task) for task in gap.tasks)
    gate_s = gap.gate_s + extra
    hands = tuple(
        replace(
            hand,
            hours_s=tuple(
                (begin, gate_s if end == gap.gate_s else end) for begin, end in hand.hours_s
            ),
        )
        for hand in gap.hands
    )
    tasks = tuple(
        task if task.latest_s is None else replace(task, latest_s=task.latest_s + extra)
        for task in gap.tasks
    )
    return replace(gap, tasks=tasks, hands=hands, gate_s=gate_s)


def _most_s(task: Task) -> int:
    lengths = [run_s for _, run_s in task.able] + [machine.run_s for machine in task.machines]
    return max([task.run_s, *lengths])


def _seconds(begin: datetime, moment: datetime) -> int:
    return budget_s((moment - begin).total_seconds() / 60)


def _hours(person: Person, stretch: Stretch, gate_s: int) -> list[tuple[int, int]]:
    since = 0 if person.since is None else max(_seconds(stretch.begin, person.since), 0)
    until = gate_s if person.until is None else min(_seconds(stretch.begin, person.until), gate_s)
    return [(since, until)] if since < until else []


def _rests(each: Break, stretch: Stretch, crew: Sequence[Person], gate_s: int) -> Iterator[Rest]:
    """Yield a break for those who can take it in this gap; what is left of its window has to be
    long enough, otherwise it is taken elsewhere.
    """
    length_s = work_s(each.length_min)
    window = (
        max(_seconds(stretch.begin, each.since), 0),
        min(_seconds(stretch.begin, each.until), gate_s),
    )
    people = []
    for person in crew:
        hours = _hours(person, stretch, gate_s)[0]
        is_listed = each.people is None or person.id in each.people
        if is_listed and _common_s(window, hours) >= length_s:
            people.append(person.id)
    if people:
        yield Rest(each.id, tuple(people), length_s, *window, is_together=each.is_together)


def _common_s(one: tuple[int, int], other: tuple[int, int]) -> int:
    return min(one[1], other[1]) - max(one[0], other[0])
