"""A sweep: many briefs, each planned and verified for itself, on one processor or on several.

`run` is the whole interface. What a job comes to depends on nothing but the job: one worker, its
seed, and time counted in the solver's own steps. So the number of processes changes how long a
sweep takes and nothing else, and another way of running it can take the place of this one.
"""

from __future__ import annotations

import signal
import socket
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from multiprocessing import active_children, get_context
from threading import current_thread, main_thread

from kitplan.allocate.solver import Limits
from kitplan.plan.difference import difference
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.whatif.figures import Figures, figures

STOPPED = "stopped before it was worked out"
DIED = "the process that worked on it ended twice without an answer"

PLACED = frozenset({"camera", "stand", "operator", "shot"})
"""Parts by which a placement is another one."""

Tell = Callable[[int, int, str], None]
"""Told how many jobs are done, of how many, and the key of the latest."""


@dataclass(frozen=True)
class Job:
    """One brief to plan; it can be sent to another process."""

    key: str
    brief: Brief
    shoot_id: str
    limits: Limits
    before: Plan | None = None
    """A plan that is rigged already: of the best ones, the one that changes least of it."""


@dataclass(frozen=True)
class Result:
    """What a job came to: figures of a verified plan, or the reason why there is none."""

    figures: Figures | None
    reason: str = ""
    variety: float = 0.0
    is_proven: bool = False
    """Whether figures and variety are proven best."""
    missed: tuple[str, ...] = ()
    """Musts that are missed, in words."""
    roles: tuple[str, ...] = ()
    """Ids of the roles that are met."""
    units: tuple[str, ...] = ()
    positions: tuple[str, ...] = ()
    operators: tuple[str, ...] = ()
    """What its placements use, each once, by id."""
    findings: int = 0
    """Faults that the check found; with any there are no figures."""
    moved: int = 0
    """Placements with another rig, operator or shot than in the plan before."""

    @property
    def is_complete(self) -> bool:
        """Whether it was worked out, even if to no plan."""
        return self.reason not in (STOPPED, DIED)


def run(jobs: Sequence[Job], *, processes: int, tell: Tell) -> Iterator[tuple[str, Result]]:
    """Return the key and result of every job, in the order of the jobs.

    An interrupt ends the sweep: what is done is kept, the rest comes back as stopped. A process
    that dies costs nothing but its own job, which is tried once more.

    Args:
        processes: With 1 all jobs run in this process, one after the other.
    """
    notes = _Notes(len(jobs), tell)
    try:
        if processes == 1:
            _run_here(jobs, notes)
        else:
            _run_in_pool(jobs, processes, notes)
    except KeyboardInterrupt:
        pass  # what is done is in the notes
    return iter([(job.key, notes.found.get(job.key, Result(None, STOPPED))) for job in jobs])


class _Notes:
    """Results so far."""

    def __init__(self, total: int, tell: Tell) -> None:
        self.found: dict[str, Result] = {}
        self._total, self._tell = total, tell

    def add(self, job: Job, result: Result) -> None:
        self.found[job.key] = result
        self._tell(len(self.found), self._total, job.key)


# -- one job ---------------------------------------------------------------------------------------


def solve(job: Job) -> Result:
    """Return what a job comes to.

    Raises:
        KeyboardInterrupt: If it is stopped before any plan is found.
    """
    from kitplan.produce.solve import NoPlanInTime, plan_shoot

    limits = replace(job.limits, workers=1)
    try:
        plan = plan_shoot(job.brief, shoot_id=job.shoot_id, limits=limits, before=job.before)
    except NoPlanInTime as error:
        return Result(None, error.problem)
    return result_of(plan, job.brief, job.before)


def result_of(plan: Plan, brief: Brief, before: Plan | None = None) -> Result:
    """Return what a plan comes to; checked first.

    Args:
        before: A plan to count the placements against that are others now.
    """
    from kitplan.plan.verify import verify

    findings = verify(plan)
    if findings:
        return Result(None, "the plan found does not hold", findings=len(findings))
    roles = [demand for demand in plan.demands if demand.kind == "role"]
    open_roles = {demand.id for demand in roles if not demand.is_met}
    goals = {goal.goal: goal for goal in plan.goals}
    reached = figures(plan, brief.shoot)
    return Result(
        reached,
        variety=goals["variety"].value,
        is_proven=reached.is_proven and goals["variety"].is_proven,
        missed=tuple(d.words for d in plan.demands if d.priority == "must" and not d.is_met),
        roles=tuple(sorted({demand.id for demand in roles} - open_roles)),
        units=tuple(sorted({unit for each in plan.placements for unit in each.units})),
        positions=tuple(sorted({each.position for each in plan.placements})),
        operators=tuple(sorted({each.operator for each in plan.placements if each.operator})),
        moved=0 if before is None else _moved(before, plan),
    )


def _moved(before: Plan, plan: Plan) -> int:
    """Return how many placements are not as before; roles and further shots aside."""
    changes = difference(before, plan)
    return sum(bool(PLACED & set(change.parts)) or not change.parts for change in changes)


# -- in this process -------------------------------------------------------------------------------


def _run_here(jobs: Sequence[Job], notes: _Notes) -> None:
    with _interrupts() as was_interrupted:
        for job in jobs:
            result = solve(job)
            if was_interrupted():
                return  # its search was cut short, which says nothing about the brief
            notes.add(job, result)


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


def _run_in_pool(jobs: Sequence[Job], processes: int, notes: _Notes) -> None:
    waiting = deque(jobs)
    while waiting:
        for suspect in _until_one_dies(waiting, processes, notes):
            if _until_one_dies(deque([suspect]), 1, notes):
                notes.add(suspect, Result(None, DIED))


def _until_one_dies(waiting: deque[Job], processes: int, notes: _Notes) -> tuple[Job, ...]:
    """Work through the jobs; return those that were under way when a process died.

    No more jobs are given out than there are processes: a pool that breaks does not say whose
    fault it was, and so few are under suspicion.
    """
    flying: dict[Future[Result], Job] = {}
    with _pool(processes) as pool:
        while waiting or flying:
            with suppress(BrokenProcessPool):  # what is under way will say so as well
                while waiting and len(flying) < processes:
                    flying[pool.submit(solve, waiting[0])] = waiting[0]
                    waiting.popleft()
            if not flying:
                break
            for future in wait(flying, return_when=FIRST_COMPLETED).done:
                if isinstance(future.exception(), BrokenProcessPool):
                    return tuple(_not_done(flying, notes))
                notes.add(flying[future], future.result())
                del flying[future]
    return ()


def _not_done(flying: dict[Future[Result], Job], notes: _Notes) -> Iterator[Job]:
    """Note the answers that came in before the pool broke; yield the jobs without one."""
    wait(flying)
    for future, job in flying.items():
        if future.exception() is None:
            notes.add(job, future.result())
        else:
            yield job


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
