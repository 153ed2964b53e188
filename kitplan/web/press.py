"""Where papers and cards are made: in a process of its own, with the functions of `kitplan papers`.

What was made is kept for the state of the plan and the setting that it was made for; the next one
who asks gets it at once. Pages never wait for it but by looking again.
"""

from __future__ import annotations

import logging
import threading
from collections import OrderedDict
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from pathlib import Path
from typing import Any, Literal

from kitplan.errors import KitplanError
from kitplan.paper.pack.setting import Setting
from kitplan.web.searches import stand_alone
from kitplan.web.solving import end_group

logger = logging.getLogger("kitplan")
Kind = Literal["papers", "cards"]
MOST_KEPT = 4
"""Finished orders; a whole show pack is some ten megabytes."""
OWN_FAULT = "kitplan met a fault of its own; its log has it in full"
DIED = "The process that made them has died. Ask again; with less memory in use it may do."


@dataclass(frozen=True)
class Order:
    """What is to be made."""

    kind: Kind
    path: Path
    """Of the plan file."""
    stamp: str
    """State of that file and of the answers beside it."""
    setting: Setting


@dataclass
class Job:
    """An order, and how far it has come."""

    order: Order
    state: Literal["waiting", "making", "ready", "failed"] = "waiting"
    words: str = ""
    """What is being made, or what went wrong."""
    result: dict[str, Any] = field(default_factory=dict)
    done: threading.Event = field(default_factory=threading.Event)


class Press:
    """Makes one order after the other. Safe for threads."""

    def __init__(self) -> None:
        self._lock, self._turn = threading.Lock(), threading.Lock()
        self._jobs: OrderedDict[Order, Job] = OrderedDict()
        self._process: SpawnProcess | None = None
        self._is_closed = False

    def found(self, order: Order) -> Job | None:
        """Return the job of an order; None where nobody has asked for it yet."""
        with self._lock:
            return self._jobs.get(order)

    def ask(self, order: Order) -> Job:
        """Return the job of an order, begun now where it is not made yet or has failed."""
        with self._lock:
            job = self._jobs.get(order)
            if job is not None and job.state != "failed":
                self._jobs.move_to_end(order)
                return job
            job = self._jobs[order] = Job(order)
            self._forget()
        threading.Thread(target=self._make, args=(job,), daemon=True).start()
        return job

    def close(self) -> None:
        """End what is being made; no other begins."""
        with self._lock:
            self._is_closed, process = True, self._process
        if process is not None and process.is_alive():
            end_group(process)

    def _forget(self) -> None:
        """Forget the oldest jobs that are over."""
        over = [order for order, job in self._jobs.items() if job.done.is_set()]
        for order in over[: max(0, len(self._jobs) - MOST_KEPT)]:
            del self._jobs[order]

    def _make(self, job: Job) -> None:
        with self._turn:
            try:
                self._follow(job)
            finally:
                if job.state != "ready":
                    job.state = "failed"
                    job.words = job.words if job.result.get("is_told") else DIED
                job.done.set()

    def _follow(self, job: Job) -> None:
        context = get_context("spawn")
        ours, theirs = context.Pipe(duplex=False)
        with self._lock:
            if self._is_closed:
                return
            self._process = process = context.Process(
                target=make, args=(job.order, theirs), daemon=True
            )
            process.start()
        theirs.close()
        job.state = "making"
        with ours, suppress(EOFError, OSError):
            while True:
                self._hear(job, *ours.recv())
        process.join()

    def _hear(self, job: Job, kind: str, told: Any) -> None:
        match kind:
            case "tell":
                job.words = told
            case "done":
                job.result, job.words, job.state = told, "", "ready"
            case "failed":
                job.words, job.result = told, {"is_told": True}
            case "fault":
                logger.error("papers met a fault of their own: %s", told)
                job.words, job.result = OWN_FAULT, {"is_told": True}


# -- in the process --------------------------------------------------------------------------------


def make(order: Order, connection: Connection) -> None:
    """Make an order and send it: words on the way, then the result or what went wrong."""
    import signal
    import traceback

    stand_alone()
    signal.signal(signal.SIGINT, signal.SIG_IGN)

    def tell(words: str) -> None:
        connection.send(("tell", words))

    with suppress(BrokenPipeError):  # nobody waits for it any more
        try:
            connection.send(("done", made(order, tell)))
        except KitplanError as error:
            connection.send(("failed", str(error)))
        except BrokenPipeError:
            raise
        except Exception:
            connection.send(("fault", traceback.format_exc()))


def made(order: Order, tell: Callable[[str], None]) -> dict[str, Any]:
    """Return what an order asks for: its `mark`, and `files` or `cards`.

    Raises:
        KitplanError: If the plan cannot be read or its papers cannot be made.
    """
    from kitplan.errors import PlanFileError
    from kitplan.paper.pack.beside import with_beside
    from kitplan.paper.pack.source import Source
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify
    from kitplan.produce.day import with_day_down_to

    tell("the plan")
    plan = read_plan(order.path)
    require_whole(plan, order.path.name)
    findings = [str(each) for each in verify(plan)]
    if plan.day is None or plan.day.cases is None:
        if findings:
            fix = "See on the plan page what is wrong, and plan again"
            where = order.path.name
            raise PlanFileError("it has no day and does not hold", where=where, fix=fix)
        plan = with_day_down_to(plan, "cases", tell=lambda part: tell(f"the day: {part}"))
    notes: list[str] = []
    source = with_beside(Source(plan, order.setting), order.path, notes.append)
    content = _cards(source) if order.kind == "cards" else _files(source, tell)
    return {"mark": source.mark, "findings": findings, "notes": notes, **content}


def _files(source: Any, tell: Callable[[str], None]) -> dict[str, Any]:
    from kitplan.paper.pack.out.files import files_of
    from kitplan.paper.pack.papers import PAPERS

    files = files_of(source, PAPERS, is_bound=True, tell=tell)
    return {"files": {each.name: each for each in files}}


def _cards(source: Any) -> dict[str, Any]:
    """Return the sections of each card by pass and letter, with what it is called."""
    from kitplan.paper.pack.contents.card_camera import card_passes
    from kitplan.paper.pack.contents.cards import cards_of
    from kitplan.paper.pack.out.page import html_sections
    from kitplan.paper.pack.pictures import ShotPictures

    draw, names = ShotPictures(source.names).of, source.names
    found: dict[tuple[str, str], dict[str, Any]] = {}
    for each in card_passes(source):
        pass_id = each.clock.pass_id
        for letter, placement in each.clock.placements.items():
            found[pass_id.partition("/")[2], letter] = {
                "letter": letter,
                "is_operated": placement.operator is not None,
                "who": names.operator(placement),
                "place": names.place(placement),
                "pass": names.pass_label(pass_id),
                "html": html_sections(tuple(cards_of(each.camera(letter), draw))),
            }
    return {"title": source.plan.title, "cards": found}
