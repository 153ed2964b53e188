"""What is searched for in a process of its own, and how it tells the server how far it has come.

Each task uses the functions of the command of its name. What it tells are pairs of a kind and plain
data; `solving` puts them together. A stop is the interrupt that Ctrl-C is on the command line.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from queue import SimpleQueue
from typing import Any, ClassVar, Protocol

from kitplan.errors import BadInput, KitplanError
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief

NICENESS = 5
"""Pages come first: a search that has all cores would make thirty phones wait."""
Tell = Callable[[str, Any], None]


class Task(Protocol):
    """Something to search for; it can be sent to another process."""

    kind: ClassVar[str]

    def run(self, tell: Tell) -> dict[str, Any]:
        """Return the result as plain data.

        Raises:
            KeyboardInterrupt: If it was stopped before there was any.
        """


@dataclass(frozen=True)
class PlanTask:
    """`kitplan plan`: the plan and its alternatives, written into the plan's folder."""

    kind: ClassVar[str] = "plan"
    brief: Brief
    shoot_id: str
    folder: Path
    seconds: float

    def run(self, tell: Tell) -> dict[str, Any]:
        """Plan, work the day out, check, write, look for alternatives; see `Task`."""
        from kitplan.allocate.search import Limits
        from kitplan.produce.alternatives import USUAL, find_alternatives
        from kitplan.produce.whole import Written, solved_whole

        limits = Limits(seconds=self.seconds, seed=1)
        solved = solved_whole(
            self.brief,
            self.shoot_id,
            limits,
            searching=_searching(tell),
            tell_again=lambda no_good: tell("note", _again(no_good.words)),
            add_day=_day_of(tell),
        )
        tell("stage", "checking")
        written = Written(solved, self.folder, self.shoot_id)
        tell("written", None)
        tell("stage", "alternatives")
        written.add(find_alternatives(solved, USUAL, lambda n: tell("part", f"alternative {n}")))
        faulty = [f"{which}{found[0]}" for which, _, found in written.faulty]
        return {
            "status": solved.plan.status,
            "is_fine": written.is_fine,
            "findings": faulty,
            "alternatives": len(written.beside),
        }


@dataclass(frozen=True)
class CompareTask:
    """`kitplan compare --out`: every schedule planned for itself; kept for the papers as well."""

    kind: ClassVar[str] = "compare"
    brief: Brief
    shoot_id: str
    folder: Path
    seconds: float

    def run(self, tell: Tell) -> dict[str, Any]:
        """Plan every schedule; see `Task`."""
        from kitplan.allocate.solver import Limits
        from kitplan.paper.pack.beside import mark_of_shoot, write_beside
        from kitplan.paper.schedules import schedules_records, schedules_table, schedules_text, why
        from kitplan.whatif.executors import executor_for
        from kitplan.whatif.schedules import compare, trials
        from kitplan.whatif.sweep import STOPPED

        tries = trials(self.brief, self.shoot_id, Limits(seconds=self.seconds, seed=1, workers=1))
        labels = {each.key: each.schedule.label for each in tries}
        tell("stage", "searching")
        tell("counted", {"done": 0, "total": len(tries)})

        def count(done: int, total: int, key: str) -> None:
            tell("counted", {"done": done, "total": total})
            tell("note", f"{labels[key]} is planned.")

        outcomes = compare(tries, executor_for(), count)
        if all(each.reason == STOPPED for each in outcomes):
            raise KeyboardInterrupt
        shoot, records = self.brief.shoot, schedules_records(self.brief.shoot, outcomes)
        path = self.folder / f"{self.shoot_id}-schedules.json"
        write_beside(path, "schedules", mark_of_shoot(shoot, self.brief.kit), records)
        return {
            "text": schedules_text(shoot, outcomes),
            "headers": [each.schedule.label for each in outcomes],
            "rows": [list(row) for row in schedules_table(shoot, outcomes)],
            "why": why(shoot, outcomes),
            "schedules": records,
        }


@dataclass(frozen=True)
class LossTask:
    """`kitplan without`: what a loss would move. Nothing is written."""

    kind: ClassVar[str] = "without"
    plan: Plan
    things: tuple[str, ...]
    labels: tuple[str, ...]

    def run(self, tell: Tell) -> dict[str, Any]:
        """Plan anew and move as little as can be; see `Task`."""
        from kitplan.paper.losses import loss_records, loss_text
        from kitplan.whatif.losses import find_losses, plan_without, usual_limits

        lost = find_losses(self.plan, self.things)
        with _searching(tell)() as listen:
            reply = plan_without(self.plan, lost, usual_limits(self.plan), tell=listen)
        return {
            "things": list(self.things),
            "labels": list(self.labels),
            "text": loss_text(self.labels, self.plan, reply.plan, reply.changes),
            **loss_records(self.plan, reply.plan, reply.changes),
        }


def _again(words: str) -> str:
    return f"The work between passes does not fit: {words} Planning again."


def _searching(tell: Tell) -> Callable[[], Any]:
    """Return what is opened around a search: it tells of every step."""
    from kitplan.allocate.search import Listener, Step
    from kitplan.paper.goals import RAW_SCALE

    @contextmanager
    def opened() -> Iterator[Listener]:
        def step(each: Step) -> None:
            scale = RAW_SCALE.get(each.goal, 1.0)
            best, bound = (None if v is None else v / scale for v in (each.best, each.bound))
            tell("goal", {"goal": each.goal, "best": best, "bound": bound})

        tell("stage", "searching")
        yield step

    return opened


def _day_of(tell: Tell) -> Callable[[Plan], Plan]:
    from kitplan.produce.day import PARTS
    from kitplan.produce.whole import day_or_none

    def add_day(plan: Plan) -> Plan:
        tell("parts", list(PARTS))
        if plan.status == "stopped-early":
            tell("note", "Stopped early: this is the best plan so far.")
        tell("stage", "day")
        return day_or_none(
            plan,
            tell=lambda part: tell("part", part),
            stopped=lambda: tell("note", "Stopped: the plan is kept without its day."),
        )

    return add_day


# -- in the process --------------------------------------------------------------------------------


def work(task: Task, connection: Connection) -> None:
    """Work on a task and tell of it; this is where the process begins, and it ends here.

    Whatever comes in asks for a stop. When the other side is gone, this one ends at once.
    """
    stand_alone()
    queue: SimpleQueue[tuple[str, Any] | None] = SimpleQueue()
    sender = threading.Thread(target=_send_all, args=(queue, connection), daemon=True)
    sender.start()
    try:
        signal.signal(signal.SIGINT, signal.default_int_handler)
        threading.Thread(target=_listen, args=(connection,), daemon=True).start()
        ending: tuple[str, Any] = ("done", task.run(lambda kind, data: queue.put((kind, data))))
    except KeyboardInterrupt:
        ending = ("stopped", None)
    except KitplanError as error:
        problems = error.problems if isinstance(error, BadInput) else ()
        ending = ("failed", {"error": str(error), "problems": [str(each) for each in problems]})
    except Exception as error:
        import traceback

        ending = ("fault", "".join(traceback.format_exception(error)))
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    queue.put(ending)
    queue.put(None)
    sender.join()
    os._exit(0)  # a solver that does not listen may still be at work on a thread of its own


def stand_alone() -> None:
    """Leave the terminal's group, whose Ctrl-C is for the server, and let pages go first."""
    if hasattr(os, "setsid"):
        with suppress(OSError):
            os.setsid()
        with suppress(OSError):
            os.nice(NICENESS)


def _send_all(queue: SimpleQueue[tuple[str, Any] | None], connection: Connection) -> None:
    with suppress(OSError):  # nobody listens any more; `_listen` ends the process
        while (told := queue.get()) is not None:
            connection.send(told)


def _listen(connection: Connection) -> None:
    try:
        while True:
            connection.recv()
            if hasattr(signal, "pthread_kill"):
                signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGINT)
            else:
                import _thread

                _thread.interrupt_main()
    except (EOFError, OSError):
        _end_group()


def _end_group() -> None:
    """End this process and those that it has started."""
    if sys.platform != "win32":
        os.killpg(0, signal.SIGKILL)
    os._exit(1)
