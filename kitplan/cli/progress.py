"""Progress of a search on stderr: a live line on a terminal, else one line per finished goal."""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

import typer

from kitplan.paper.goals import GOALS, RAW_SCALE, goal_line

if TYPE_CHECKING:
    from kitplan.allocate.search import Listener, Step

logger = logging.getLogger("kitplan")


class Progress:
    """Listens to a search. Steps come from the solver's threads, group after group."""

    def __init__(self, what: str) -> None:
        from kitplan.allocate.climb import GROUPS

        self._what = what
        self._lock = threading.Lock()
        self._latest: dict[str, Step] = {}
        self._told: dict[str, str] = {}
        self._group_of = {goal: at for at, group in enumerate(GROUPS) for goal in group}
        self._live = _live_line(f"{what}: finding out what is possible") if _is_terminal() else None

    def __enter__(self) -> Self:
        if self._live is not None:
            self._live.start()
        self._print(self._what)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        with self._lock:
            self._finish_before(len(self._group_of))
        if self._live is not None:
            self._live.stop()

    def tell(self, step: Step) -> None:
        """Show a step of the search."""
        with self._lock:
            self._finish_before(self._group_of[step.goal])
            self._latest[step.goal] = step
            if self._live is not None:
                self._live.update(_plain(f"{self._what}: {_step_words(step)}"))

    def _finish_before(self, group: int) -> None:
        """Leave a line about every goal of earlier groups, again where it got better since."""
        for goal, at in self._group_of.items():
            step = self._latest.get(goal)
            if at >= group or step is None or step.best is None:
                continue
            line = _finished(step)
            if self._told.get(goal) != line:
                self._told[goal] = line
                self._print(f"{step.elapsed_s:5.1f} s  {line}")

    def _print(self, line: str) -> None:
        logger.debug("%s: %s", self._what, line.strip())
        try:
            if self._live is not None:
                self._live.console.print(line, markup=False, highlight=False)
            else:
                typer.echo(line, err=True)
        except BrokenPipeError:
            pass  # nobody listens any more; the plan matters


@contextmanager
def searching() -> Iterator[Listener]:
    """Yield what shows the progress of one search."""
    with Progress("Planning") as progress:
        yield progress.tell


@contextmanager
def live_words(words: str) -> Iterator[Callable[[str], None]]:
    """Yield what shows on a terminal how far long work has come; elsewhere it says nothing."""
    if not _is_terminal():
        yield lambda _: None
        return
    with _live_line(words) as live:
        yield lambda more: live.update(_plain(more))


def _finished(step: Step) -> str:
    assert step.best is not None  # a goal with an answer
    best = _scaled(step, step.best)
    bound = best if step.bound is None else _scaled(step, step.bound)
    return goal_line(step.goal, best, max(best, bound))


def _is_terminal() -> bool:
    return sys.stderr.isatty()


def _live_line(words: str) -> Any:
    from rich.console import Console
    from rich.status import Status

    return Status(_plain(words), console=Console(stderr=True))


def _plain(words: str) -> Any:
    """Return words that a terminal shows as they are: a name may look like markup."""
    from rich.text import Text

    return Text(words)


def _step_words(step: Step) -> str:
    words = GOALS[step.goal]
    best = "none yet" if step.best is None else words.figure(_scaled(step, step.best))
    bound = "?" if step.bound is None else words.figure(_scaled(step, step.bound))
    side = "at least" if words.is_lost else "at most"
    return f"{words.name}: best so far {best}, {side} {bound}, {step.elapsed_s:.0f} s"


def _scaled(step: Step, value: int) -> float:
    return value / RAW_SCALE.get(step.goal, 1.0)
