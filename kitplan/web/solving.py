"""Searches of the page: one at a time, in a process of its own.

Whoever looks sees the same state, however often they come and go. The process ends with the
server.
"""

from __future__ import annotations

import logging
import os
import signal
import sys
import threading
import time
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from typing import Any, Literal

from kitplan.errors import KitplanError
from kitplan.paper.goals import GOALS, certainty
from kitplan.web.searches import Task, work

logger = logging.getLogger("kitplan")
Stage = Literal[
    "none",
    "starting",
    "searching",
    "day",
    "checking",
    "alternatives",
    "done",
    "stopped",
    "failed",
]
OVER = frozenset({"none", "done", "stopped", "failed"})
MOST_NOTES = 50
OWN_FAULT = "kitplan met a fault of its own; the terminal where it runs says which."
DIED = "The process that searched has died; it may have run out of memory. Start it again."
NAMES = {"plan": "A plan", "compare": "A comparison of schedules", "without": "A loss"}


class Busy(KitplanError):
    """Another search is at work."""


@dataclass
class Search:
    """A search, and all that is known of it."""

    number: int
    kind: str
    seconds: float | None
    start: float = field(default_factory=time.monotonic)
    end: float | None = None
    stage: Stage = "starting"
    rounds: int = 0
    goals: dict[str, dict[str, float | None]] = field(default_factory=dict)
    goal: str | None = None
    """The one being worked on."""
    part: str | None = None
    """Of the day, or which alternative."""
    parts: list[str] = field(default_factory=list)
    """All parts of the day in order, once it is worked out."""
    counted: dict[str, int] | None = None
    notes: list[str] = field(default_factory=list)
    is_stopping: bool = False
    has_written: bool = False
    """The plan file is new."""
    result: dict[str, Any] | None = None
    failure: dict[str, Any] | None = None

    @property
    def is_over(self) -> bool:
        """Whether nothing more will come."""
        return self.stage in OVER

    def hear(self, kind: str, told: Any) -> None:
        """Take in what the process tells."""
        match kind:
            case "stage":
                self.stage, self.part, self.is_stopping = told, None, False
                if told == "searching":
                    self.rounds += 1
                    self.goals.clear()
            case "goal":
                self.goal = told["goal"]
                self.goals[told["goal"]] = {"best": told["best"], "bound": told["bound"]}
            case "written":
                self.has_written = True
            case "part":
                self.part = told
            case "parts":
                self.parts = told
            case "counted":
                self.counted = told
            case "note":
                self.notes = [*self.notes, told][-MOST_NOTES:]
            case "done":
                self.result = told
                self.close("done")
            case "stopped":
                self.close("stopped")
            case "failed":
                self.failure = told
                self.close("failed")
            case "fault":
                logger.error("a search met a fault of its own: %s", told.splitlines()[-1])
                logger.info("the fault in full: %s", told)
                self.fail(OWN_FAULT)

    def fail(self, words: str) -> None:
        """End it with what went wrong."""
        self.failure = {"error": words, "problems": []}
        self.close("failed")

    def close(self, stage: Stage) -> None:
        """End it."""
        self.stage, self.end, self.part, self.goal = stage, time.monotonic(), None, None

    def state(self) -> dict[str, Any]:
        """Return all of it as plain data, in the form of `/api/solve`."""
        end = time.monotonic() if self.end is None else self.end
        return {
            "search": self.number,
            "kind": self.kind,
            "stage": self.stage,
            "is_over": self.is_over,
            "is_stopping": self.is_stopping and not self.is_over,
            "elapsed_s": round(end - self.start, 1),
            "seconds": self.seconds,
            "has_written": self.has_written,
            "round": self.rounds,
            "goals": [self._goal(goal) for goal in GOALS] if self.kind != "compare" else [],
            "part": self.part,
            "parts": self.parts,
            "counted": self.counted,
            "notes": list(self.notes),
            "result": self.result,
            "failure": self.failure,
        }

    def _goal(self, goal: str) -> dict[str, Any]:
        words, known = GOALS[goal], self.goals.get(goal, {})
        best, bound = known.get("best"), known.get("bound")
        at_best = bound if bound is None or best is None else max(best, bound)
        return {
            "id": goal,
            "name": words.name,
            "is_lost": words.is_lost,
            "is_at_work": goal == self.goal and self.stage == "searching",
            "best": None if best is None else words.figure(best),
            "bound": None if at_best is None else words.figure(at_best),
            "is_proven": None not in (best, at_best) and best == at_best,
            "certainty": "" if best is None or at_best is None else certainty(goal, best, at_best),
        }


NOTHING = Search(0, "none", None, start=0.0, end=0.0, stage="none")


class Searcher:
    """Starts a search, stops it, knows how far it is. Safe for threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._search = NOTHING
        self._process: SpawnProcess | None = None
        self._connection: Connection | None = None
        self._latest: dict[str, dict[str, Any]] = {}
        self._changes = 0
        self.is_closed = False
        """The server is ending; it may be set at any time, even while something is held."""

    @property
    def changes(self) -> int:
        """A number that grows whenever there is something new to see."""
        return self._changes

    def state(self) -> dict[str, Any]:
        """Return the state of the search that is at work, or was last."""
        with self._lock:
            return self._search.state()

    def latest(self, kind: str) -> dict[str, Any] | None:
        """Return the state of the last search of a kind that came to a result; None without."""
        with self._lock:
            return self._latest.get(kind)

    def start(self, task: Task, seconds: float | None = None) -> dict[str, Any]:
        """Start a search and return its state.

        Args:
            seconds: What was given to it, for those who wait.
        Raises:
            Busy: If another one is at work.
        """
        with self._lock:
            if self.is_closed or not self._search.is_over:
                raise Busy(
                    f"{NAMES.get(self._search.kind, 'Something')} is being worked on already",
                    where="the search",
                    fix="Wait for it or stop it first",
                )
            context = get_context("spawn")
            ours, theirs = context.Pipe()
            process = context.Process(target=work, args=(task, theirs))
            process.start()
            theirs.close()
            search = Search(self._search.number + 1, task.kind, seconds)
            self._search, self._connection, self._process = search, ours, process
            self._changes += 1
            args = (search, ours, process)
            threading.Thread(target=self._follow, args=args, daemon=True).start()
            return search.state()

    def stop(self) -> dict[str, Any]:
        """Ask the search to stop and keep the best so far; return its state. Once more while the
        day is worked out leaves that out.
        """
        with self._lock:
            if not self._search.is_over and self._connection is not None:
                self._search.is_stopping = True
                self._changes += 1
                with suppress(OSError):
                    self._connection.send("stop")
            return self._search.state()

    def close(self) -> None:
        """End the search, whatever it is at; nothing is written by half. No other starts."""
        with self._lock:
            self.is_closed, process = True, self._process
            if not self._search.is_over:
                self._search.close("stopped")
        if process is not None and process.is_alive():
            end_group(process)

    def _follow(self, search: Search, connection: Connection, process: SpawnProcess) -> None:
        """Take in what a process tells until it ends."""
        with connection, suppress(EOFError, OSError):
            while True:
                kind, told = connection.recv()
                self._hear(search, kind, told)
        process.join()
        with self._lock:
            if not search.is_over:
                search.fail(DIED)
            self._changes += 1

    def _hear(self, search: Search, kind: str, told: Any) -> None:
        with self._lock:
            if not search.is_over:
                search.hear(kind, told)
            if search.result is not None:
                self._latest[search.kind] = search.state()
            self._changes += 1


def end_group(process: SpawnProcess) -> None:
    """End a process of `searches.work` and all that it has started."""
    if sys.platform != "win32" and process.pid is not None:
        with suppress(ProcessLookupError, PermissionError):
            if os.getpgid(process.pid) == process.pid:  # else it has not yet left our group
                os.killpg(process.pid, signal.SIGKILL)
    process.kill()
    process.join()
