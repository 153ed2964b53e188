"""What there is to do in a gap, and with what: the input of the engine. No solver types.

Seconds count from the end of the pass before. A task is a piece of work that has no time yet; on
the clock it becomes a `Job` of the plan. Ids of the tasks that turn cameras round (letters as they
are in the pass that the task belongs to):

- `off/A`, `strike/A`: camera A is struck where it stood (`off` only where the stand takes more
  people than the camera); `away/A`: what is not needed any more goes back to the cases;
- `fetch/A`, `carry/A`: its things come from the cases, and from other positions;
- `build/A`, `frame/A`, `check/A`: its stand is built, the camera is put up and framed, media and
  battery go in and are tried;
- `stay/A`: camera A stays where it is and gets its minutes (media, battery, level, frame, focus).

A task that is not among those that turn cameras round has an id of its own (`charge/battery-s-1`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

from kitplan.plan.day.work import JobKind

Amounts: TypeAlias = tuple[tuple[str, int], ...]
"""How much of which: pairs of an id and a number."""

BY_THEMSELVES: frozenset[JobKind] = frozenset({"charge", "copy", "format"})
"""Kinds of work that nobody takes over from anybody."""


@dataclass(frozen=True)
class Machine:
    """A way to run a task: the resource that it takes (one of it), and how long it then lasts."""

    resource: str | None
    """None takes nothing (what a cart would carry, carried by hand)."""
    run_s: int


@dataclass(frozen=True)
class Task:
    """A piece of work that is done in one go."""

    id: str
    kind: JobKind
    run_s: int = 0
    """How long it lasts whoever does it; with `able` or `machines` those lengths count as well, and
    the longest decides."""
    people: int = 0
    """How many people it takes; 0 runs by itself."""
    able: Amounts = ()
    """Who can do it, and how many seconds it takes with them; the slowest of those who do it
    decides."""
    led_by: tuple[tuple[str, ...], ...] = ()
    """Of each of these groups at least one is among those who do it (somebody who may rig)."""
    hands_s: int | None = None
    """How long its people are bound from its start on; None binds them until it ends. What remains
    runs by itself (a charge, a copy)."""
    uses: Amounts = ()
    """Resources that it takes from start to end, and how much of each."""
    machines: tuple[Machine, ...] = ()
    """Resources of which it takes exactly one (a bay, a laptop); empty needs none."""
    after: tuple[str, ...] = ()
    """Ids of tasks that have to be over before it begins."""
    before: tuple[str, ...] = ()
    """Ids of tasks that wait for its end; ids that the gap does not have are passed over."""
    earliest_s: int = 0
    latest_s: int | None = None
    """When it has to be over; None is the gate. May be after the gate (a charge that is wanted at
    the downbeat)."""
    letter: str | None = None
    """Camera letter, or the id of a sound setup."""
    position: str | None = None
    units: tuple[str, ...] = ()
    """What is struck, carried, built, charged or copied."""


@dataclass(frozen=True)
class Hand:
    """Somebody who works in the gap, and when: pairs of seconds, from and to, one after another."""

    person: str
    hours_s: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Resource:
    """Something that several tasks may want at the same time: a cart, the doorway, bays, sockets.

    Its bays or places are numbered from 1 when the tasks have their times.
    """

    id: str
    capacity: int


@dataclass(frozen=True)
class Rest:
    """A break that each of some people takes in one piece within a stretch of time."""

    id: str
    people: tuple[str, ...]
    length_s: int
    since_s: int
    until_s: int
    is_together: bool = False


@dataclass(frozen=True)
class Gap:
    """All that is to be done in one gap, by whom and with what."""

    tasks: tuple[Task, ...]
    hands: tuple[Hand, ...]
    resources: tuple[Resource, ...]
    rests: tuple[Rest, ...]
    gate_s: int
    """When everything has to be done that has no `latest_s` of its own."""


def precedence(tasks: Sequence[Task]) -> list[tuple[str, str]]:
    """Return the pairs of tasks that follow each other, sorted: a set of words has another order in
    every process. Ids that are not there are left out.
    """
    known = {task.id for task in tasks}
    pairs = {(before, task.id) for task in tasks for before in task.after}
    pairs |= {(task.id, after) for task in tasks for after in task.before}
    return sorted((one, other) for one, other in pairs if one in known and other in known)
