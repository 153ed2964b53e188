"""Every timetable of a tiny gap, tried one after the other: what the engine has to equal.

Tasks are taken in an order that keeps the precedence; for each, every set of people, every machine
and every start up to the gate. Rests are tried last, second by second.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from kitplan.day.work.task import Gap, Rest, Task


@dataclass(frozen=True)
class Try:
    """A task at a time, with its people and machine."""

    task: Task
    start_s: int
    end_s: int
    free_s: int
    people: tuple[str, ...]
    machine: str | None


def best_by_trying(gap: Gap, grain_s: int) -> tuple[int, int] | None:
    """Return the least steps of the end and then the fewest hand-overs; None where nothing fits."""
    best: list[tuple[int, int]] = []
    _try_next(gap, _sorted(gap.tasks), (), grain_s, best)
    return min(best, default=None)


def _waits(first: Task, second: Task) -> bool:
    return first.id in second.after or second.id in first.before


def _sorted(tasks: Sequence[Task]) -> list[Task]:
    """Tasks so that none stands before one that it waits for."""
    left, done = list(tasks), []
    while left:
        ready = [t for t in left if not any(_waits(o, t) for o in left if o is not t)]
        done.append(ready[0])
        left.remove(ready[0])
    return done


def _try_next(
    gap: Gap,
    left: Sequence[Task],
    so_far: tuple[Try, ...],
    grain_s: int,
    best: list[tuple[int, int]],
) -> None:
    steps = -(-max((t.free_s for t in so_far if t.task.people), default=0) // grain_s)
    if best and steps > min(best)[0]:
        return
    if not left:
        if _can_rest(gap, so_far):
            best.append((steps, _hand_overs(so_far)))
        return
    for tried in _ways(gap, left[0]):
        if _fits(gap, so_far, tried):
            _try_next(gap, left[1:], (*so_far, tried), grain_s, best)


def _ways(gap: Gap, task: Task) -> Iterator[Try]:
    there = {hand.person for hand in gap.hands}
    able = {person: run_s for person, run_s in task.able if person in there}
    due = gap.gate_s if task.latest_s is None else task.latest_s
    for people, machine in product(
        combinations(sorted(able), task.people), task.machines or (None,)
    ):
        if any(not set(group) & set(people) for group in task.led_by):
            continue
        own = machine.run_s if machine else 0
        length = max([task.run_s, own, *(able[person] for person in people)])
        bound = length if task.hands_s is None else task.hands_s
        for start in range(task.earliest_s, due - length + 1):
            name = machine.resource if machine else None
            yield Try(task, start, start + length, start + bound, people, name)


def _fits(gap: Gap, so_far: tuple[Try, ...], new: Try) -> bool:
    for one in so_far:
        if _waits(one.task, new.task) and one.end_s > new.start_s:
            return False
        if (
            set(one.people) & set(new.people)
            and one.start_s < new.free_s
            and new.start_s < one.free_s
        ):
            return False
    hours = {hand.person: hand.hours_s for hand in gap.hands}
    for person in new.people:
        if not any(a <= new.start_s and new.free_s <= b for a, b in hours[person]):
            return False
    return all(
        _used(so_far, new, r.id, second) <= r.capacity
        for r in gap.resources
        for second in range(new.start_s, new.end_s)
    )


def _used(so_far: tuple[Try, ...], new: Try, resource: str, second: int) -> int:
    running = [one for one in (*so_far, new) if one.start_s <= second < one.end_s]
    return sum(dict(one.task.uses).get(resource, 0) + (one.machine == resource) for one in running)


def _hand_overs(tried: tuple[Try, ...]) -> int:
    return sum(
        _waits(one.task, other.task)
        and one.task.letter is not None
        and one.task.letter == other.task.letter
        and bool(one.people and other.people)
        and "charge" not in (one.task.kind, other.task.kind)
        and not set(one.people) & set(other.people)
        for one in tried
        for other in tried
    )


def _can_rest(gap: Gap, tried: tuple[Try, ...]) -> bool:
    """One rest at most in these gaps, so that rests need not be tried against each other."""
    assert len(gap.rests) < 2
    return all(_can_take(gap, tried, rest) for rest in gap.rests)


def _can_take(gap: Gap, tried: tuple[Try, ...], rest: Rest) -> bool:
    starts = range(rest.since_s, rest.until_s - rest.length_s + 1)
    free = {
        person: {s for s in starts if _is_free(gap, tried, person, s, s + rest.length_s)}
        for person in rest.people
    }
    if rest.is_together:
        return bool(set(starts).intersection(*free.values()))
    return all(free.values())


def _is_free(gap: Gap, tried: tuple[Try, ...], person: str, begin: int, end: int) -> bool:
    hours = next(hand.hours_s for hand in gap.hands if hand.person == person)
    return any(a <= begin and end <= b for a, b in hours) and not any(
        person in one.people and one.start_s < end and begin < one.free_s for one in tried
    )


def fault_of(
    gap: Gap, tried: tuple[Try, ...], rests: dict[str, tuple[tuple[str, ...], int, str]]
) -> str:
    """Return the first task or rest that does not fit with those before it; empty if all do."""
    for number, one in enumerate(tried):
        due = gap.gate_s if one.task.latest_s is None else one.task.latest_s
        is_due = one.task.earliest_s <= one.start_s and one.end_s <= due
        if not is_due or not _fits(gap, tried[:number] + tried[number + 1 :], one):
            return one.task.id
    wanted = {rest.id: rest for rest in gap.rests}
    for name, (people, start, rest_id) in rests.items():
        rest = wanted[rest_id]
        is_due = rest.since_s <= start and start + rest.length_s <= rest.until_s
        if not is_due or not all(
            _is_free(gap, tried, person, start, start + rest.length_s) for person in people
        ):
            return name
    return ""
