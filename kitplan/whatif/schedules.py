"""Schedules: what one pass buys, or two, or all of them, each planned for itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from kitplan.allocate.solver import Limits
from kitplan.plan.records import Plan
from kitplan.plan.verify import Finding, verify
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Shoot
from kitplan.whatif.executors import Executor, Tell, answers
from kitplan.whatif.figures import Figures, figures
from kitplan.whatif.forecast import Forecast, forecast
from kitplan.whatif.sweep import DIED, STOPPED

MOST_SCHEDULES = 7
NOT_COMPARED = ("sound", "power", "media", "cases")
"""Parts of the day that say nothing of a schedule."""
PAIRS_FROM_PASSES = 3
"""Pairs are compared where there are just so many passes; with more there are too many."""


@dataclass(frozen=True)
class Schedule:
    """Some of the passes of a shoot."""

    passes: tuple[Pass, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """Ids of its passes."""
        return tuple(each.id for each in self.passes)

    @property
    def label(self) -> str:
        """Name for people: 'Closed run + Show'."""
        return " + ".join(each.label for each in self.passes)


@dataclass(frozen=True)
class Outcome:
    """What a schedule comes to; plan and figures are None where no plan was found in time."""

    schedule: Schedule
    plan: Plan | None
    figures: Figures | None
    findings: tuple[Finding, ...] = ()
    is_all: bool = False
    """Whether it is the schedule of all passes."""
    forecast: Forecast | None = None
    """How its songs can be cut."""
    reason: str = ""
    """Why there is no plan."""


@dataclass(frozen=True)
class Trial:
    """A schedule to plan; it can be sent to another process."""

    schedule: Schedule
    brief: Brief
    """The whole shoot."""
    shoot_id: str
    limits: Limits

    @property
    def key(self) -> str:
        """Its name in a sweep."""
        return "+".join(self.schedule.ids)

    def without_plan(self, reason: str) -> Outcome:
        """Return that it comes to nothing."""
        return Outcome(self.schedule, None, None, is_all=self.is_all, reason=reason)

    @property
    def is_all(self) -> bool:
        """Whether it is the schedule of all passes."""
        return len(self.schedule.passes) == len(self.brief.shoot.passes)


def schedules(shoot: Shoot) -> tuple[Schedule, ...]:
    """Return the schedules worth comparing: every pass alone, pairs of three, all of them."""
    passes = shoot.passes
    alone = [(each,) for each in passes]
    if len(passes) > MOST_SCHEDULES - 1:
        others = [each for each in passes if each.id != shoot.master.id]
        kept = {each.id for each in (shoot.master, *others[: MOST_SCHEDULES - 2])}
        alone = [(each,) for each in passes if each.id in kept]
    pairs = list(combinations(passes, 2)) if len(passes) == PAIRS_FROM_PASSES else []
    found = [Schedule(tuple(each)) for each in (*alone, *pairs, passes)]
    return tuple({each.ids: each for each in found}.values())


def trials(brief: Brief, shoot_id: str, limits: Limits) -> tuple[Trial, ...]:
    """Return every schedule worth comparing, to be planned in a way that repeats."""
    repeatable = replace(limits, workers=1)
    return tuple(Trial(each, brief, shoot_id, repeatable) for each in schedules(brief.shoot))


def compare(tries: Sequence[Trial], executor: Executor, tell: Tell) -> tuple[Outcome, ...]:
    """Return what each schedule comes to, planned and verified, wherever there is room.

    An interrupt keeps what is done.
    """
    found = answers(executor, outcome, tries, tell)
    return tuple(
        (found[each.key] or each.without_plan(DIED))
        if each.key in found
        else each.without_plan(STOPPED)
        for each in tries
    )


def outcome(trial: Trial) -> Outcome:
    """Return what a schedule comes to.

    Raises:
        KeyboardInterrupt: If it is stopped before any plan is found.
    """
    from kitplan.produce.day import with_day
    from kitplan.produce.solve import NoPlanInTime, plan_shoot

    part = trial.brief.only_passes(trial.schedule.ids)
    try:
        plan = plan_shoot(part, shoot_id=trial.shoot_id, limits=trial.limits)
        plan = with_day(plan, leave_out=NOT_COMPARED)
    except NoPlanInTime as error:
        return trial.without_plan(error.problem)
    return Outcome(
        trial.schedule,
        plan,
        figures(plan, trial.brief.shoot),
        verify(plan),
        is_all=trial.is_all,
        forecast=forecast(plan, trial.shoot_id),
    )


def rank(found: Figures) -> tuple[float, ...]:
    """Return what schedules are ranked by, in order: musts, wants, thinnest song, viewpoints."""
    return (found.musts_met, found.wants_weight, found.thinnest, found.points)
