"""A shoot planned to the end, as the command line and the page both do it: rounds until the work
fits, the day, the check, the files, the alternatives beside them.

What is being done is told as it happens; how that is shown is up to who asks.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Collection
from contextlib import AbstractContextManager
from dataclasses import dataclass, field, replace
from pathlib import Path

from kitplan.allocate.search import Limits, Listener
from kitplan.allocate.solver import keeping_interrupts
from kitplan.plan.alternatives import Alternatives
from kitplan.plan.files import alternative_folder, set_alternatives_aside, write_plan
from kitplan.plan.records import Plan
from kitplan.plan.verify import Finding, verify
from kitplan.produce.day import Tell, with_day
from kitplan.produce.rounds import Shares, plan_that_fits
from kitplan.produce.solve import Solved
from kitplan.shoot.brief import Brief
from kitplan.shoot.nogoods import NoGood

logger = logging.getLogger("kitplan")
Searching = Callable[[], AbstractContextManager[Listener]]
"""Opened around the search of each round; gives what listens to it."""


def solved_whole(
    brief: Brief,
    shoot_id: str,
    limits: Limits,
    *,
    searching: Searching,
    tell_again: Callable[[NoGood], None],
    add_day: Callable[[Plan], Plan],
    has_work: bool = True,
) -> Solved:
    """Return the best plan with its day and what it was found with.

    Args:
        limits: Of all rounds together.
        tell_again: Called with each no-good before it is planned again.
        add_day: Returns a plan with its day, such as that of `day_or_none`.
        has_work: Whether that day has the work between passes.

    Raises:
        NoPlanInTime: If there is none in that time.
        KeyboardInterrupt: If it is stopped before any plan is found.
    """
    answers: list[Solved] = []
    shares = Shares(shoot_id, limits, has_work=has_work)

    def once(now: Brief) -> Plan:
        with searching() as tell:
            answers.append(shares.solve(now, tell))
        return answers[-1].plan

    logger.info(
        "planning %s: %g s, seed %d, workers %d",
        shoot_id,
        limits.seconds,
        limits.seed,
        limits.workers,
    )
    made = plan_that_fits(brief, once, tell=tell_again, add_day=add_day)
    return replace(answers[-1], plan=made)


def day_or_none(
    plan: Plan, *, leave_out: Collection[str] = (), tell: Tell, stopped: Callable[[], None]
) -> Plan:
    """Return a plan with its day; an interrupt leaves it without one.

    Args:
        stopped: Called when that happens.
    """
    try:
        return with_day(plan, leave_out=leave_out, tell=tell)
    except KeyboardInterrupt:
        stopped()
        return plan


@dataclass
class Written:
    """A plan that was checked and written, and its alternatives likewise.

    Raises:
        PlanFileError: If the folder cannot be written to.
    """

    solved: Solved
    folder: Path
    name: str
    path: Path = field(init=False)
    checks: list[tuple[str, Plan, tuple[Finding, ...]]] = field(init=False)
    """Every plan that was written, with a word on which it is and what the check found."""
    alternatives: Alternatives | None = None
    """None where none were looked for."""
    beside: list[Path] = field(default_factory=list)
    """Where the alternatives lie."""

    def __post_init__(self) -> None:
        plan = self.solved.plan
        with keeping_interrupts(self.solved.found):  # one more at the end costs no plan
            self.checks = [("", plan, _findings(plan))]
            self.path = write_plan(plan, self.folder, self.name)
            set_alternatives_aside(self.folder, self.name)

    def add(self, alternatives: Alternatives) -> None:
        """Check alternatives and write each into a folder of its own inside the plan's.

        Raises:
            PlanFileError: If they cannot be written.
        """
        self.alternatives = alternatives
        for place, each in enumerate(alternatives.found, 1):
            self.checks.append((f"Alternative {place}: ", each.plan, _findings(each.plan)))
            folder = alternative_folder(self.folder, place)
            self.beside.append(write_plan(each.plan, folder, self.name))

    @property
    def faulty(self) -> list[tuple[str, Plan, tuple[Finding, ...]]]:
        """Those of the plans that do not hold."""
        return [each for each in self.checks if each[-1]]

    @property
    def is_fine(self) -> bool:
        """Whether all hold, no must is missed, and the work between passes fits."""
        return not self.faulty and not falls_short(self.solved.plan)


def falls_short(made: Plan) -> bool:
    """Whether a must is missed, or the work between passes does not fit."""
    work = None if made.day is None else made.day.work
    is_too_much = work is not None and any(gap.reason for gap in work.gaps)
    return is_too_much or made.status == "musts-missed"


def _findings(made: Plan) -> tuple[Finding, ...]:
    findings = verify(made)
    logger.info("the check found %d faults", len(findings))
    return findings
