"""The order that a timetable keeps, and what follows from it: earliest and latest times, what the
end hangs on, and which bay or cart each task has.

Of two tasks with a precedence, a person or a thing in common the one that is over first stays
first, so that every time that this order allows is a possible one: tasks that ever run side by side
have run side by side before.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from graphlib import TopologicalSorter

from kitplan.day.work.engine import Timed, Timetable
from kitplan.day.work.task import Gap, precedence


@dataclass(frozen=True)
class Link:
    """One task begins no sooner than so long after the start of another."""

    before: str
    after: str
    lag_s: int


@dataclass(frozen=True)
class Placed:
    """A task or rest of the final timetable."""

    timed: Timed
    place: str | None
    """Bay, cart or laptop that it takes, by resource and number: `charger-f-1/2`."""
    latest_end_s: int
    """When it may end at the latest with everything still in time and in this order."""


@dataclass(frozen=True)
class Ordered:
    """A timetable with every task as early as its order allows."""

    placed: tuple[Placed, ...]
    """By start."""
    critical: tuple[str, ...]
    """The tasks that the end hangs on, in order."""
    end_s: int


def ordered(gap: Gap, table: Timetable) -> Ordered:
    """Return a timetable moved to the left, with slack, critical path and numbered things."""
    rank = _ranks(gap, table.timed)
    rows = sorted(table.timed, key=lambda one: (one.start_s, one.end_s, rank[one.id]))
    places = _numbered(rows)
    early = _moved_left(gap, rows, _links(gap, rows, places))
    rows = sorted(early.values(), key=lambda one: (one.start_s, one.end_s, rank[one.id]))
    links = _links(gap, rows, places)  # those that ran side by side may now be one after the other
    early = {one.id: one for one in rows}
    late = _latest_starts(gap, early, links)
    end_s = max((one.free_s for one in rows if _is_work(one)), default=0)
    return Ordered(
        placed=tuple(
            Placed(one, places[one.id], late[one.id] + one.end_s - one.start_s) for one in rows
        ),
        critical=_critical(gap, early, links, end_s),
        end_s=end_s,
    )


def _ranks(gap: Gap, timed: Sequence[Timed]) -> dict[str, int]:
    """Places in an order that keeps the precedence, for tasks without length."""
    sorter: TopologicalSorter[str] = TopologicalSorter({one.id: () for one in timed})
    for before, after in precedence(gap.tasks):
        sorter.add(after, before)
    return {name: place for place, name in enumerate(sorter.static_order())}


def _is_work(one: Timed) -> bool:
    return one.rest is None and bool(one.people)


def _numbered(rows: Sequence[Timed]) -> dict[str, str | None]:
    """Return which of the like things each task takes: the first that is free again."""
    until: dict[str, list[int]] = {}
    places: dict[str, str | None] = {}
    for one in rows:
        if one.machine is None:
            places[one.id] = None
            continue
        busy = until.setdefault(one.machine, [])
        free = [number for number, end_s in enumerate(busy) if end_s <= one.start_s]
        number = free[0] if free else len(busy)
        busy[number : number + 1] = [one.end_s]
        places[one.id] = f"{one.machine}/{number + 1}"
    return places


def _links(gap: Gap, rows: Sequence[Timed], places: Mapping[str, str | None]) -> list[Link]:
    """Return what ties tasks together, those earlier in time first."""
    uses = {task.id: {resource for resource, _ in task.uses} for task in gap.tasks}
    follow = set(precedence(gap.tasks))
    links = []
    for number, one in enumerate(rows):
        for other in rows[number + 1 :]:
            shared = uses.get(one.id, set()) & uses.get(other.id, set())
            is_same_place = places[one.id] is not None and places[one.id] == places[other.id]
            ties = (one.id, other.id) in follow or is_same_place or bool(shared)
            if ties and one.end_s <= other.start_s:
                links.append(Link(one.id, other.id, one.end_s - one.start_s))
            elif set(one.people) & set(other.people) and one.free_s <= other.start_s:
                links.append(Link(one.id, other.id, one.free_s - one.start_s))
    return links


def _moved_left(gap: Gap, rows: Sequence[Timed], links: Sequence[Link]) -> dict[str, Timed]:
    moved: dict[str, Timed] = {}
    for one in rows:
        start = _released_s(gap, one)
        for link in links:
            if link.after == one.id:
                start = max(start, moved[link.before].start_s + link.lag_s)
        by = one.start_s - start
        moved[one.id] = replace(one, start_s=start, end_s=one.end_s - by, free_s=one.free_s - by)
    return moved


def _released_s(gap: Gap, one: Timed) -> int:
    """When a task may begin as far as itself and the hours of its people go."""
    if one.rest is None:
        own = next(task.earliest_s for task in gap.tasks if task.id == one.id)
    else:
        own = next(rest.since_s for rest in gap.rests if rest.id == one.rest)
    return max([own, *(hours[0] for hours in _hours(gap, one))])


def _hours(gap: Gap, one: Timed) -> list[tuple[int, int]]:
    """The stretches of hours that the people of a task are at work in while they do it."""
    return [
        hours
        for hand in gap.hands
        if hand.person in one.people
        for hours in hand.hours_s
        if hours[0] <= one.start_s and one.free_s <= hours[1]
    ]


def _latest_starts(gap: Gap, early: Mapping[str, Timed], links: Sequence[Link]) -> dict[str, int]:
    due = {t.id: gap.gate_s if t.latest_s is None else t.latest_s for t in gap.tasks}
    until = {rest.id: rest.until_s for rest in gap.rests}
    late: dict[str, int] = {}
    for one in reversed(list(early.values())):
        own = due[one.id] if one.rest is None else until[one.rest]
        latest = [own - (one.end_s - one.start_s)]
        latest += [hours[1] - (one.free_s - one.start_s) for hours in _hours(gap, one)]
        latest += [late[link.after] - link.lag_s for link in links if link.before == one.id]
        late[one.id] = min(latest)
    return late


def _critical(
    gap: Gap, early: Mapping[str, Timed], links: Sequence[Link], end_s: int
) -> tuple[str, ...]:
    """Return a chain without pauses up to the end; it begins where somebody or something is there
    no sooner.
    """
    last = min(
        (n for n, one in early.items() if _is_work(one) and one.free_s == end_s), default=None
    )
    chain: list[str] = []
    while last is not None:
        chain.append(last)
        start = early[last].start_s
        if start == _released_s(gap, early[last]):
            break
        last = min(
            link.before
            for link in links
            if link.after == last and early[link.before].start_s + link.lag_s == start
        )
    return tuple(reversed(chain))
