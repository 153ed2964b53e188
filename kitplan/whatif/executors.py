"""Where independent pieces of work are done: in this process, in a pool of them, on a cluster.

An executor has one method and decides nothing but where and when: what a task comes to is up to
the task alone. `cluster` has the third one.
"""

from __future__ import annotations

import os
import signal
import socket
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing import active_children, get_context
from threading import current_thread, main_thread
from typing import Protocol, TypeVar

from kitplan.errors import SettingError

MOST_USUAL_PROCESSES = 4
"""Each may need some hundred megabytes, a large festival two gigabytes."""


class Task(Protocol):
    """Something to work on; it can be sent to another process."""

    @property
    def key(self) -> str:
        """Its name, different from that of every other task of the sweep."""


T = TypeVar("T", bound=Task)
R = TypeVar("R")
Work = Callable[[T], R]
"""A function of a module, since its name is what is sent."""
Note = Callable[[T, R | None], None]
"""Told what a task came to; None where the process that worked on it died, again and again."""
Tell = Callable[[int, int, str], None]
"""Told how many tasks are done, of how many, and the key of the latest."""


class Executor(Protocol):
    """A place where tasks are worked on."""

    def run(self, work: Callable[[T], R], tasks: Sequence[T], note: Note[T, R]) -> None:
        """Work on every task and note each answer in this thread as soon as it is there.

        Raises:
            KeyboardInterrupt: If it is stopped; nothing is noted after that.
        """


def executor_for(processes: int | None = None, cluster: str | None = None) -> Executor:
    """Return the executor that is asked for; without any wish a pool that suits this machine.

    Args:
        processes: With 1 everything is done in this process, one task after the other.
        cluster: Address of a scheduler.

    Raises:
        SettingError: If both are given.
    """
    if cluster is not None and processes is not None:
        raise SettingError(
            "a cluster has as many processes as it has workers",
            where="--processes",
            fix="Leave it out beside --cluster",
        )
    if cluster is not None:
        from kitplan.whatif.cluster import Cluster

        return Cluster(cluster)
    number = processes or usual_processes()
    return Here() if number == 1 else Pool(number)


def usual_processes() -> int:
    """Return how many processes suit this machine."""
    return min(os.cpu_count() or 1, MOST_USUAL_PROCESSES)


def answers(
    executor: Executor, work: Callable[[T], R], tasks: Sequence[T], tell: Tell
) -> dict[str, R | None]:
    """Return what the tasks come to by key, None where a process died over it.

    An interrupt ends the sweep: what is done is kept, the rest is not in the answer.
    """
    found: dict[str, R | None] = {}

    def note(task: T, answer: R | None) -> None:
        found[task.key] = answer
        tell(len(found), len(tasks), task.key)

    if not tasks:
        return found
    with suppress(KeyboardInterrupt):
        executor.run(work, tasks, note)
    return found


# -- in this process -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Here:
    """This process, one task after the other."""

    def run(self, work: Callable[[T], R], tasks: Sequence[T], note: Note[T, R]) -> None:
        """Work on every task; see `Executor`."""
        with _interrupts() as was_interrupted:
            for task in tasks:
                answer = work(task)
                if was_interrupted():
                    raise KeyboardInterrupt  # the search was cut short: no answer to the task
                note(task, answer)


@contextmanager
def _interrupts() -> Iterator[Callable[[], bool]]:
    """Yield whether an interrupt has come in, even one that planning has taken for itself."""
    if current_thread() is not main_thread():
        yield lambda: False
        return
    seen, alarm = socket.socketpair()
    seen.setblocking(False)
    alarm.setblocking(False)
    before = signal.set_wakeup_fd(alarm.fileno(), warn_on_full_buffer=False)

    def was_interrupted() -> bool:
        try:
            return signal.SIGINT in seen.recv(1024)
        except BlockingIOError:
            return False

    try:
        yield was_interrupted
    finally:
        signal.set_wakeup_fd(before)
        seen.close()
        alarm.close()


# -- in several ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Pool:
    """So many processes of this machine.

    One that dies costs nothing but its own task, which is tried once more.
    """

    processes: int

    def run(self, work: Callable[[T], R], tasks: Sequence[T], note: Note[T, R]) -> None:
        """Work on every task; see `Executor`."""
        if len(tasks) == 1:
            return Here().run(work, tasks, note)  # nothing to share out
        waiting = deque(tasks)
        while waiting:
            for suspect in _until_one_dies(work, waiting, self.processes, note):
                if _until_one_dies(work, deque([suspect]), 1, note):
                    note(suspect, None)
        return None


def _until_one_dies(
    work: Callable[[T], R], waiting: deque[T], processes: int, note: Note[T, R]
) -> tuple[T, ...]:
    """Work through the tasks; return those that were under way when a process died.

    No more tasks are given out than there are processes: a pool that breaks does not say whose
    fault it was, and so few are under suspicion.
    """
    flying: dict[Future[R], T] = {}
    with _pool(processes) as pool:
        while waiting or flying:
            with suppress(BrokenProcessPool):  # what is under way will say so as well
                while waiting and len(flying) < processes:
                    flying[pool.submit(work, waiting[0])] = waiting[0]
                    waiting.popleft()
            if not flying:
                break
            for future in wait(flying, return_when=FIRST_COMPLETED).done:
                if isinstance(future.exception(), BrokenProcessPool):
                    return tuple(_not_done(flying, note))
                note(flying[future], future.result())
                del flying[future]
    return ()


def _not_done(flying: dict[Future[R], T], note: Note[T, R]) -> Iterator[T]:
    """Note the answers that came in before the pool broke; yield the tasks without one."""
    wait(flying)
    for future, task in flying.items():
        if future.exception() is None:
            note(task, future.result())
        else:
            yield task


@contextmanager
def _pool(processes: int) -> Iterator[ProcessPoolExecutor]:
    """Yield a pool whose processes end at once when anything goes wrong here."""
    others = set(active_children())
    pool = ProcessPoolExecutor(
        processes, mp_context=get_context("spawn"), initializer=_leave_interrupts_to_the_parent
    )
    try:
        yield pool
    except BaseException:
        for child in set(active_children()) - others:
            child.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)


def _leave_interrupts_to_the_parent() -> None:
    """A key press reaches every process of a terminal; only the first of them is to act on it."""
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    else:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
