"""A sweep: many briefs, each planned and verified for itself, wherever there is room.

What a job comes to depends on nothing but the job: one worker, its seed, and time counted in the
solver's own steps. So where the jobs are done, and how many at a time, changes how long a sweep
takes and nothing else. `executors` has the places.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from kitplan.allocate.solver import Limits
from kitplan.plan.difference import PlacementChange, difference
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.whatif.executors import Tell, answers, executor_for
from kitplan.whatif.figures import Figures, figures

STOPPED = "stopped before it was worked out"
DIED = "the process that worked on it died each time"

PLACED = frozenset({"camera", "stand", "operator", "shot"})
"""Parts by which a placement is another one."""


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
    reply: Plan | None = None
    """The plan itself, where the job had one before."""
    changes: tuple[PlacementChange, ...] = ()
    """What it changes of the one before."""

    @property
    def is_complete(self) -> bool:
        """Whether it was worked out, even if to no plan."""
        return self.reason not in (STOPPED, DIED)


def run(
    jobs: Sequence[Job], *, processes: int | None = None, cluster: str | None = None, tell: Tell
) -> Iterator[tuple[str, Result]]:
    """Return the key and result of every job, in the order of the jobs.

    An interrupt ends the sweep: what is done is kept, the rest comes back as stopped. A process
    that dies costs nothing but its own job, which is tried once more.

    Args:
        processes: With 1 all jobs run in this process, one after the other; by default as many as
            suit the machine.
        cluster: Address of a scheduler to send the jobs to instead.

    Raises:
        SettingError: If there is no cluster that can do them.
    """
    found = answers(executor_for(processes, cluster), solve, jobs, tell)
    return iter([(job.key, _noted(job, found)) for job in jobs])


def _noted(job: Job, found: dict[str, Result | None]) -> Result:
    if job.key not in found:
        return Result(None, STOPPED)
    return found[job.key] or Result(None, DIED)


# -- one job ---------------------------------------------------------------------------------------


def solve(job: Job) -> Result:
    """Return what a job comes to.

    Raises:
        KeyboardInterrupt: If it is stopped before any plan is found.
    """
    from kitplan.allocate.past import PastError
    from kitplan.produce.solve import NoPlanInTime, plan_shoot

    limits = replace(job.limits, workers=1)
    try:
        plan = plan_shoot(job.brief, shoot_id=job.shoot_id, limits=limits, before=job.before)
    except (NoPlanInTime, PastError) as error:
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
    changes = () if before is None else difference(before, plan)
    return Result(
        reached,
        variety=goals["variety"].value,
        is_proven=reached.is_proven and goals["variety"].is_proven,
        missed=tuple(d.words for d in plan.demands if d.priority == "must" and not d.is_met),
        roles=tuple(sorted({demand.id for demand in roles} - open_roles)),
        units=tuple(sorted({unit for each in plan.placements for unit in each.units})),
        positions=tuple(sorted({each.position for each in plan.placements})),
        operators=tuple(sorted({each.operator for each in plan.placements if each.operator})),
        moved=_moved(changes),
        reply=None if before is None else plan,
        changes=changes,
    )


def _moved(changes: Sequence[PlacementChange]) -> int:
    """Return how many placements are not as before; roles and further shots aside."""
    return sum(bool(PLACED & set(change.parts)) or not change.parts for change in changes)
