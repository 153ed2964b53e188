"""The gaps of a shoot with what is to be done in them: who does it, which rests fall into them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from kitplan.day.work.task import Gap, Hand, Resource, Rest, Task
from kitplan.day.work.turn import CART, DOORWAY, Turn
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.shoot.gaps import DAY_S, Stretch, crew_of, hours_s, seconds_after
from kitplan.shoot.records import Pass, Person, Shoot
from kitplan.shoot.working import Break
from kitplan.units import work_s


@dataclass(frozen=True)
class More:
    """What else is to be done in a gap besides turning cameras round, and with what."""

    tasks: tuple[Task, ...] = ()
    resources: tuple[Resource, ...] = ()


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
            Hand(person.id, tuple(hours_s(person, stretch, gate_s))) for person in turn.crew
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


def _rests(each: Break, stretch: Stretch, crew: Sequence[Person], gate_s: int) -> Iterator[Rest]:
    """Yield a break for those who can take it in this gap; what is left of its window has to be
    long enough, otherwise it is taken elsewhere.
    """
    length_s = work_s(each.length_min)
    window = (
        max(seconds_after(stretch.begin, each.since), 0),
        min(seconds_after(stretch.begin, each.until), gate_s),
    )
    people = []
    for person in crew:
        hours = hours_s(person, stretch, gate_s)[0]
        is_listed = each.people is None or person.id in each.people
        if is_listed and _common_s(window, hours) >= length_s:
            people.append(person.id)
    if people:
        yield Rest(each.id, tuple(people), length_s, *window, is_together=each.is_together)


def _common_s(one: tuple[int, int], other: tuple[int, int]) -> int:
    return min(one[1], other[1]) - max(one[0], other[0])
