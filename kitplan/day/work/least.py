"""How short a task, and how early an end can be at best, without any search."""

from __future__ import annotations

from collections.abc import Collection
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from kitplan.day.work.task import Gap, Hand, Task, precedence


def least_s(task: Task, there: Collection[str] | None = None) -> int:
    """Return the shortest time that a task can take, by the quickest people and things.

    Args:
        there: Who is there; None for all.
    """
    by_people = sorted(run_s for person, run_s in task.able if there is None or person in there)
    nth = by_people[task.people - 1] if 0 < task.people <= len(by_people) else 0
    on_machine = min((machine.run_s for machine in task.machines), default=0)
    return max(task.run_s, nth, on_machine)


def least_end_s(gap: Gap) -> int:
    """Return a time before which the last hand cannot be free: the longest path, and for every
    group of people the time that its hours need to hold the work that only it can do.
    """
    return max(_longest_path_s(gap), _by_hours_s(gap))


def _bound_s(task: Task, there: Collection[str]) -> int:
    """How long its people are bound at least."""
    return least_s(task, there) if task.hands_s is None else task.hands_s


def _longest_path_s(gap: Gap) -> int:
    there = {hand.person for hand in gap.hands}
    tasks = {task.id: task for task in gap.tasks}
    before: dict[str, list[str]] = {name: [] for name in tasks}
    for first, second in precedence(gap.tasks):
        before[second].append(first)
    over: dict[str, int] = {}
    last = 0
    try:
        order = list(TopologicalSorter(before).static_order())
    except CycleError:
        return 0
    for name in order:
        start = max([tasks[name].earliest_s, *(over[first] for first in before[name])])
        over[name] = start + least_s(tasks[name], there)
        if tasks[name].people:
            last = max(last, start + _bound_s(tasks[name], there))
    return last


def _by_hours_s(gap: Gap) -> int:
    there = {hand.person for hand in gap.hands}
    able = {task.id: {person for person, _ in task.able} & there for task in gap.tasks}
    last = 0
    for group in sorted({frozenset(people) for people in able.values() if people}, key=sorted):
        needed = sum(
            task.people * _bound_s(task, there)
            for task in gap.tasks
            if task.people and able[task.id] <= group
        )
        hands = [hand for hand in gap.hands if hand.person in group]
        last = max(last, _when_worked_s(hands, needed))
    return last


def _when_worked_s(hands: list[Hand], needed_s: int) -> int:
    """When the hours of some people come to so many seconds; never: 0, others will say so."""
    edges = sorted({edge for hand in hands for hours in hand.hours_s for edge in hours})
    worked = 0
    for begin, end in pairwise(edges):
        number = sum(
            hours[0] <= begin and end <= hours[1] for hand in hands for hours in hand.hours_s
        )
        if number and worked + number * (end - begin) >= needed_s:
            return begin + max(-(-(needed_s - worked) // number), 0)
        worked += number * (end - begin)
    return 0
