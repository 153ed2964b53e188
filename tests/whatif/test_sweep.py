"""Sweeps: the same answers on one process or two, what an interrupt keeps, what a death costs."""

from __future__ import annotations

import os
import signal
import sys
import threading
from dataclasses import replace
from functools import cache

import pytest

from kitplan.allocate.search import Limits
from kitplan.errors import SettingError
from kitplan.whatif import sweep
from kitplan.whatif.changed import without_person, without_unit
from kitplan.whatif.cluster import Cluster
from kitplan.whatif.executors import Here, Pool, executor_for
from kitplan.whatif.sweep import DIED, STOPPED, Job, Result, run
from tests.plans import brief_of
from tests.small import SHOOT_ID, role, small_brief, small_kit, solve

LIMITS = Limits(seconds=2, seed=1, workers=1)
BRIEFS = {
    "whole": small_brief(),
    "one camera": without_unit(small_brief(), "cam-2"),
    "no Ben": without_person(small_brief(), "ben"),
    "no camera": small_brief(small_kit(counts={"cam": 0, "legs": 2})),
}
posix_only = pytest.mark.skipif(sys.platform == "win32", reason="no such signal there")


class Deadly(Job):
    """A job that ends the process which is handed it."""

    def __reduce__(self) -> tuple[object, ...]:
        return (os._exit, (1,))


def jobs() -> list[Job]:
    """Return four small jobs."""
    return [Job(key, brief, SHOOT_ID, LIMITS) for key, brief in BRIEFS.items()]


def quiet(*_: object) -> None:
    """Hear nothing."""


@cache
def alone() -> tuple[tuple[str, Result], ...]:
    """Return what the jobs come to in this process."""
    return tuple(run(jobs(), processes=1, tell=quiet))


def test_two_processes_give_what_one_does() -> None:
    """To the last figure and in the order of the jobs, however their ends follow each other."""
    assert tuple(run(jobs(), processes=2, tell=quiet)) == alone()
    assert [key for key, _ in alone()] == list(BRIEFS)


def test_a_result_has_the_figures_of_the_plan() -> None:
    """Two cameras at two of three positions."""
    result = dict(alone())["whole"]
    plan = solve(BRIEFS["whole"], 2)
    assert result.figures is not None
    assert result.figures.viewpoints == 2
    assert result.positions == tuple(sorted({p.position for p in plan.placements}))
    assert result.operators == ("ann", "ben")
    assert {"cam-1", "cam-2"} < set(result.units)
    assert result.is_proven
    assert result.is_complete


def test_missed_musts_are_named() -> None:
    """Nobody can frame from a place that is not there."""
    brief = small_brief(roles=(role(positions=("front",)), role("b", positions=("front",))))
    ((_, result),) = run([Job("a", brief, SHOOT_ID, LIMITS)], processes=1, tell=quiet)
    assert len(result.missed) == 1
    assert len(result.roles) == 1


def test_progress_counts_up() -> None:
    """Done, of how many, and which."""
    told: list[tuple[int, int, str]] = []
    list(run(jobs()[:2], processes=1, tell=lambda *each: told.append(each)))
    assert told == [(1, 2, "whole"), (2, 2, "one camera")]


def test_jobs_are_solved_in_a_way_that_repeats(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever limits they bring along."""
    asked: list[Limits] = []

    def plan_shoot(*_: object, limits: Limits, **__: object) -> None:
        asked.append(limits)
        raise KeyboardInterrupt

    monkeypatch.setattr("kitplan.produce.solve.plan_shoot", plan_shoot)
    job = replace(jobs()[0], limits=Limits(seconds=3, seed=7, workers=4))
    list(run([job], processes=1, tell=quiet))
    assert asked == [Limits(seconds=3, seed=7, workers=1)]


def test_a_plan_that_does_not_hold_has_no_figures(monkeypatch: pytest.MonkeyPatch) -> None:
    """But says so."""
    monkeypatch.setattr("kitplan.plan.verify.verify", lambda _: ("a fault", "another"))
    ((_, result),) = run(jobs()[:1], processes=1, tell=quiet)
    assert result == Result(None, "the plan found does not hold", findings=2)
    assert result.is_complete


@posix_only
@pytest.mark.parametrize("processes", [1, 2])
def test_an_interrupt_keeps_what_is_done(processes: int) -> None:
    """The key is pressed while the second and third, large ones, are under way."""
    large = brief_of("school-dance")
    slow = [Job(key, large, "school-dance", Limits(seconds=600)) for key in ("slow", "other")]

    def tell(done: int, total: int, key: str) -> None:
        assert (done, total, key) == (1, 3, "whole")
        threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT)).start()

    found = dict(run([jobs()[0], *slow], processes=processes, tell=tell))
    assert found["whole"].figures is not None
    assert found["slow"] == found["other"] == Result(None, STOPPED)
    assert not found["slow"].is_complete


def test_an_interrupt_between_jobs_keeps_what_is_done() -> None:
    """As it is while progress is shown."""

    def tell(*_: object) -> None:
        raise KeyboardInterrupt

    found = dict(run(jobs(), processes=1, tell=tell))
    assert [result.is_complete for result in found.values()] == [True, False, False, False]


def test_it_runs_where_it_is_asked_to() -> None:
    """By default on as many processes as suit the machine, four at most."""
    assert executor_for(1) == Here()
    assert executor_for(3) == Pool(3)
    assert executor_for() in (Here(), Pool(2), Pool(3), Pool(4))
    assert executor_for(None, "tcp://127.0.0.1:8786") == Cluster("tcp://127.0.0.1:8786")
    with pytest.raises(SettingError, match="Leave it out beside --cluster"):
        executor_for(2, "tcp://127.0.0.1:8786")


def test_a_process_that_dies_costs_its_own_job_only() -> None:
    """The first of three, tried twice; the others come out as if nothing had been."""
    first = jobs()[0]
    deadly = Deadly("deadly", first.brief, SHOOT_ID, LIMITS)
    found = tuple(run([deadly, *jobs()[:2]], processes=2, tell=quiet))
    assert found[0] == ("deadly", Result(None, DIED))
    assert not found[0][1].is_complete
    assert found[1:] == alone()[:2]


def test_a_fault_of_the_program_is_not_hidden(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is no answer."""

    def fail(_: Job) -> Result:
        raise RuntimeError("odd")

    monkeypatch.setattr(sweep, "solve", fail)
    with pytest.raises(RuntimeError, match="odd"):
        run(jobs(), processes=1, tell=quiet)
