"""Tiny gaps for a seed: a few tasks with all that binds them."""

from __future__ import annotations

import random

from kitplan.day.work.task import Gap, Hand, Machine, Resource, Rest, Task

PEOPLE = ("ann", "ben", "cy")


def random_gap(seed: int) -> Gap:
    """Return a gap of three or four tasks; about one in four does not fit."""
    dice = random.Random(seed)
    gate = dice.randint(7, 11)
    people = PEOPLE[: dice.randint(2, 3)]
    names = [f"t{n}" for n in range(dice.randint(3, 4))]
    return Gap(
        tasks=tuple(_task(dice, names, number, people, gate) for number in range(len(names))),
        hands=tuple(Hand(person, _hours(dice, gate)) for person in people),
        resources=(Resource("door", dice.randint(1, 2)), Resource("cart", 1)),
        rests=_rests(dice, people, gate),
        gate_s=gate,
    )


def _task(
    dice: random.Random, names: list[str], number: int, people: tuple[str, ...], gate: int
) -> Task:
    able = tuple((p, dice.randint(1, 4)) for p in people if dice.random() < 0.8)
    if dice.random() < 0.4:  # people whom only their names tell apart
        able = tuple((person, 2) for person in people)
    count = dice.choice((0, 1, 1, 1, 2))
    has_machines = dice.random() < 0.4
    runs_on = dice.random() < 0.25
    return Task(
        id=names[number],
        kind="charge" if runs_on else "build",
        run_s=dice.randint(2, 4) if not count or runs_on else 0,
        people=count,
        able=tuple((p, 1) for p, _ in able) if runs_on else able,
        led_by=(tuple(dice.sample(people, 2)),) if count and dice.random() < 0.3 else (),
        hands_s=1 if runs_on and count else None,
        uses=(("door", 1),) if dice.random() < 0.4 else (),
        machines=(Machine(None, 4), Machine("cart", 2)) if has_machines else (),
        after=tuple(name for name in names[:number] if dice.random() < 0.3),
        before=("nobody-knows-it",) if dice.random() < 0.1 else (),
        earliest_s=dice.choice((0, 0, 0, 2)),
        latest_s=gate + 2 if not count and dice.random() < 0.5 else None,
        letter=dice.choice(("A", "A", "B", None)),
    )


def _hours(dice: random.Random, gate: int) -> tuple[tuple[int, int], ...]:
    kind = dice.random()
    if kind < 0.6:
        return ((0, gate),)
    if kind < 0.8:
        return ((2, gate),)
    return ((0, 4), (5, gate))


def _rests(dice: random.Random, people: tuple[str, ...], gate: int) -> tuple[Rest, ...]:
    if dice.random() < 0.5:
        return ()
    since = dice.randint(0, 2)
    return (Rest("supper", people[:2], 2, since, gate - 1, is_together=dice.random() < 0.4),)
