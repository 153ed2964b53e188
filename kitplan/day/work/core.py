"""A smallest set of moves that does not fit into a gap together.

A move is what is done to one camera on one side of the gap: it is struck, or built, or stays.
Deletion filter: moves are taken out one by one, the smallest first, as long as what is left still
does not fit; of what is left no move can be spared.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from kitplan.day.work.engine import Effort, is_too_short
from kitplan.day.work.least import least_s
from kitplan.day.work.task import Gap, Task

STRUCK = ("off", "strike", "away")
BUILT = ("fetch", "carry", "build", "frame", "check")


@dataclass(frozen=True)
class Move:
    """Tasks that stand or fall together."""

    what: str
    """`strike`, `build` or `stay` of a camera; otherwise the id of its only task."""
    letter: str | None
    tasks: tuple[Task, ...]

    @property
    def work_s(self) -> int:
        """Seconds of hands at least, over all who are needed."""
        return sum(task.people * least_s(task) for task in self.tasks)


def moves_of(tasks: Sequence[Task]) -> tuple[Move, ...]:
    """Return tasks gathered into moves."""
    gathered: dict[tuple[str, str | None], list[Task]] = {}
    for task in tasks:
        name, _, letter = task.id.partition("/")
        what = {**dict.fromkeys(STRUCK, "strike"), **dict.fromkeys(BUILT, "build")}.get(name)
        if what is None and name != "stay":
            gathered[task.id, None] = [task]
        else:
            gathered.setdefault((what or "stay", letter), []).append(task)
    return tuple(Move(*key, tuple(found)) for key, found in gathered.items())


def smallest_core(gap: Gap, effort: Effort | None = None) -> tuple[Move, ...]:
    """Return moves of a gap that does not fit, of which none can be left out.

    Nothing at all where the gap is not proven too short.
    """
    if not _is_too_much(gap, moves_of(gap.tasks), effort):
        return ()
    core = sorted(moves_of(gap.tasks), key=lambda move: (move.work_s, move.what, move.letter or ""))
    for move in tuple(core):
        fewer = [other for other in core if other is not move]
        if _is_too_much(gap, fewer, effort):
            core = fewer
    return tuple(reversed(core))


def separate_cores(gap: Gap, effort: Effort | None = None) -> Iterator[tuple[Move, ...]]:
    """Yield smallest sets of moves that do not fit, none of which has a move of another."""
    left = list(gap.tasks)
    while core := smallest_core(replace(gap, tasks=tuple(left)), effort):
        yield core
        gone = {task.id for move in core for task in move.tasks}
        left = [task for task in left if task.id not in gone]


def _is_too_much(gap: Gap, moves: Sequence[Move], effort: Effort | None) -> bool:
    chosen = {task.id for move in moves for task in move.tasks}
    tasks = tuple(task for task in gap.tasks if task.id in chosen)
    return is_too_short(replace(gap, tasks=tasks), effort)
