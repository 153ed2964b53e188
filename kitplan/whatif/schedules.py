"""Schedules: what one pass buys, or two, or all of them, each planned for itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify import Finding, verify
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Shoot
from kitplan.whatif.figures import Figures, figures
from kitplan.whatif.forecast import Forecast, forecast

MOST_SCHEDULES = 7
PAIRS_FROM_PASSES = 3
"""Pairs are compared where there are just so many passes; with more there are too many."""

Solve = Callable[[Brief, str], Plan | None]
"""Returns the plan of a brief, None where there is none in time; told what to call it."""


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


@dataclass(frozen=True)
class Gain:
    """Where the viewpoints come from that a longer schedule has outside the master pass."""

    closed: tuple[Placement, ...]
    """At positions that are not open in the master."""
    elsewhere: tuple[Placement, ...]
    """At positions that are open there as well, but where no camera is to spare."""
    repeats: tuple[Placement, ...]
    """Not counted: alike to a counted one, or too weak."""


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


def compare(brief: Brief, solve: Solve) -> tuple[Outcome, ...]:
    """Return what each schedule comes to, planned and verified."""
    return tuple(_outcome(brief, schedule, solve) for schedule in schedules(brief.shoot))


def _outcome(brief: Brief, schedule: Schedule, solve: Solve) -> Outcome:
    plan = solve(brief.only_passes(schedule.ids), schedule.label)
    is_all = len(schedule.passes) == len(brief.shoot.passes)
    if plan is None:
        return Outcome(schedule, None, None, is_all=is_all)
    (shoot_id,) = plan.shoots
    return Outcome(
        schedule,
        plan,
        figures(plan, brief.shoot),
        verify(plan),
        is_all=is_all,
        forecast=forecast(plan, shoot_id),
    )


def rank(found: Figures) -> tuple[float, ...]:
    """Return what schedules are ranked by, in order: musts, wants, thinnest song, viewpoints."""
    return (found.musts_met, found.wants_weight, found.thinnest, found.points)


def gain(plan: Plan, master: Pass) -> Gain:
    """Return where the viewpoints outside the master pass come from."""
    (shoot_id,) = plan.shoots
    shoot = plan.shoots[shoot_id]
    open_in = {position.id: position.open_in for position in shoot.venue.positions}
    outside = [p for p in plan.placements if p.pass_id != f"{shoot_id}/{master.id}"]
    counted = [p for p in outside if p.is_counted]

    def is_closed(placement: Placement) -> bool:
        passes = open_in[placement.position]
        return passes is not None and master.id not in passes

    return Gain(
        closed=tuple(p for p in counted if is_closed(p)),
        elsewhere=tuple(p for p in counted if not is_closed(p)),
        repeats=tuple(p for p in plan.placements if not p.is_counted),
    )
