"""Work done in a process of its own meanwhile, on machines where that is cheap.

A fork takes over what the parent has read already, without a start of its own. Where there is none,
or only one core, or threads that a fork would lose, the work is done when it is asked for: slower,
with the same answer.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import warnings
from collections.abc import Callable, Mapping
from concurrent.futures import Future
from contextlib import suppress
from multiprocessing.connection import Connection
from typing import Any

Jobs = Mapping[str, Callable[[], Any]]


class Aside:
    """Jobs by name, worked off in their order. Jobs neither print nor change anything."""

    def __init__(self, jobs: Jobs) -> None:
        """Begin."""
        self._jobs = dict(jobs)
        self._done: dict[str, Future[Any]] = {}
        if self._jobs and _may_fork():
            self._begin()

    def result(self, name: str) -> Any:
        """Return what a job returned; waits for it. What could not be had from the other process is
        worked out here, so that errors are told where they are expected.
        """
        future = self._done.get(name)
        found = None if future is None else future.result()
        return self._jobs[name]() if found is None else found[0]

    def _begin(self) -> None:
        fork = multiprocessing.get_context("fork")
        ours, theirs = fork.Pipe(duplex=False)
        worker = fork.Process(target=_work, args=(self._jobs, ours, theirs), daemon=True)
        with warnings.catch_warnings():  # of threads in libraries, which have no part in the jobs
            warnings.simplefilter("ignore", DeprecationWarning)
            worker.start()
        theirs.close()
        self._done = {name: Future() for name in self._jobs}
        # Answers are taken at once, or the other process would wait where the pipe is full.
        threading.Thread(target=self._listen, args=(ours,), daemon=True).start()

    def _listen(self, ours: Connection) -> None:
        with suppress(EOFError, OSError), ours:
            for future in self._done.values():
                future.set_result((ours.recv(),))
        for future in self._done.values():
            if not future.done():
                future.set_result(None)


def _may_fork() -> bool:
    # On macOS libraries of the system do not outlive a fork.
    return (
        sys.platform == "linux"
        and len(os.sched_getaffinity(0)) > 1
        and threading.active_count() == 1
    )


def _work(jobs: Jobs, ours: Connection, theirs: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    ours.close()
    with suppress(Exception):
        for job in jobs.values():
            theirs.send(job())
