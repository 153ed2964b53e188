"""Questions about a plan that take seconds to answer, asked in a process of their own.

The process is started with the first question and kept, since most of its time goes into finding
out what is possible, which is the same for all questions about one plan.
"""

from __future__ import annotations

import signal
import threading
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitplan.errors import KitplanError
from kitplan.web.searches import stand_alone
from kitplan.web.solving import Busy, end_group

if TYPE_CHECKING:
    from kitplan.whatif.why import Inquiry

MOST_WAITING = 4
PATIENCE, LEAST_PATIENCE_S = 3.0, 90.0
"""An answer may take so many times what it was given for its search, and some time beside it."""


@dataclass(frozen=True)
class Question:
    """`kitplan why`: about a plan as it is now."""

    path: Path
    stamp: str
    """State of the plan file."""
    about: str | None
    """A role, item, position, person or goal; None for all that is missing."""
    seconds: float


class Asker:
    """Answers one question at a time; a few may wait. Safe for threads."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._waiting = threading.BoundedSemaphore(MOST_WAITING)
        self._process: SpawnProcess | None = None
        self._connection: Connection | None = None
        self._is_closed = False

    def ask(self, question: Question) -> dict[str, Any]:
        """Return the answer: `text` and `holds`, or `error` where it was refused.

        Raises:
            Busy: If too many wait, or no answer came in time.
        """
        if not self._waiting.acquire(blocking=False):
            raise Busy("others have asked before you", where="why", fix="Ask again in a minute")
        try:
            with self._turn:
                return self._answer(question)
        finally:
            self._waiting.release()

    def _answer(self, question: Question) -> dict[str, Any]:
        if self._is_closed:
            raise Busy("the page is being closed", where="why", fix="Start it again")
        if self._process is None or not self._process.is_alive():
            self._begin()
        assert self._connection is not None
        with suppress(EOFError, OSError):
            self._connection.send(question)
            if self._connection.poll(max(PATIENCE * question.seconds, LEAST_PATIENCE_S)):
                answer: dict[str, Any] = self._connection.recv()
                return answer
        self._end()
        raise Busy("no answer came in time", where="why", fix="Ask again, with fewer seconds")

    def _begin(self) -> None:
        context = get_context("spawn")
        self._connection, theirs = context.Pipe()
        self._process = context.Process(target=answer_all, args=(theirs,), daemon=True)
        self._process.start()
        theirs.close()

    def close(self) -> None:
        """End the process, whatever it is at, and answer nothing more."""
        self._is_closed = True
        self._end()

    def _end(self) -> None:
        """End the process; the next question starts another one."""
        process, self._process = self._process, None
        if process is not None:
            end_group(process)


# -- in the process --------------------------------------------------------------------------------


def answer_all(connection: Connection) -> None:
    """Answer questions as long as somebody is there to ask."""
    stand_alone()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with suppress(EOFError, OSError):
        while True:
            connection.send(answered(connection.recv()))


def answered(question: Question) -> dict[str, Any]:
    """Return the answer to a question, or what is wrong with it, as plain data."""
    try:
        inquiry, holds = _inquiry(question.path, question.stamp)
        return {"text": _text(inquiry, question.about, question.seconds), "holds": holds}
    except KitplanError as error:
        return {"error": str(error), "problems": []}


@lru_cache(maxsize=1)
def _inquiry(path: Path, stamp: str) -> tuple[Inquiry, bool]:  # noqa: ARG001  (the key)
    """Return what knows all about a plan, and whether the plan holds."""
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify
    from kitplan.whatif.why import Inquiry

    plan = read_plan(path)
    require_whole(plan, path.name)
    return Inquiry(plan), not verify(plan)


def _text(inquiry: Inquiry, about: str | None, seconds: float) -> str:
    """Return what `kitplan why` prints."""
    from kitplan.paper.layout import blocks
    from kitplan.paper.trades import goals_named, trades_text
    from kitplan.paper.why import overview_text, why_text
    from kitplan.whatif.answers import answers_about, missing_in
    from kitplan.whatif.trades import explain_goals

    plan = inquiry.plan
    if about is None:
        found = missing_in(inquiry, seconds)
        return overview_text(plan, found.unmet, found.unused, found.repair)
    if not inquiry.knows(about) and (goals := goals_named(about)):
        return trades_text(plan, explain_goals(inquiry, goals, seconds))
    return blocks(*(why_text(plan, *each) for each in answers_about(inquiry, about, seconds)))
