"""The work of a plan as its records say it: every gap scheduled, or the reason why it cannot be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from kitplan.day.work.engine import Effort, Misfit, Timetable, schedule
from kitplan.day.work.gaps import More, gap_with, stretched, turn_of
from kitplan.day.work.order import Placed, ordered
from kitplan.day.work.task import Gap, Task, precedence
from kitplan.day.work.why import why_not
from kitplan.plan.day.work import GapWork, Job
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.shoot.gaps import Stretch, crew_of, stretches
from kitplan.shoot.records import Pass, Person
from kitplan.units import work_s

NOTHING = More()
NOT_FOUND = "No way was found to do all before the gate; it is not proven that there is none."


def usual_effort(brief: Brief) -> Effort:
    """Return how the work of a shoot is scheduled unless somebody asks for more."""
    return Effort(grain_s=work_s(brief.shoot.rules.work_step_min))


def day_work(
    brief: Brief,
    shoot_id: str,
    placements: Sequence[Placement],
    more: Callable[[Stretch, tuple[Person, ...]], More] | None = None,
    effort: Effort | None = None,
) -> tuple[GapWork, ...]:
    """Return the work of every gap of a shoot.

    Args:
        more: Returns what else is to be done in a gap, given who is on hand.
    """

    def also(stretch: Stretch) -> More:
        return NOTHING if more is None else more(stretch, crew_of(brief.shoot, stretch))

    return tuple(
        gap_work(brief, shoot_id, stretch, placements, also(stretch), effort)
        for stretch in stretches(brief.shoot)
    )


def gap_work(
    brief: Brief,
    shoot_id: str,
    stretch: Stretch,
    placements: Sequence[Placement],
    more: More = NOTHING,
    effort: Effort | None = None,
) -> GapWork:
    """Return the work of one gap."""
    effort = effort or usual_effort(brief)
    turn = turn_of(brief, placements, stretch)
    gap = gap_with(brief.shoot, stretch, turn, turn.tasks(), more)
    found = schedule(gap, effort)
    reason, is_too_short = "", False
    if isinstance(found, Misfit):
        is_too_short = found.is_proven
        reason = why_not(brief, stretch, gap, effort) if found.is_proven else NOT_FOUND
        longer = stretched(gap)
        found = schedule(longer, effort)
        gap = replace(gap, hands=longer.hands)
    record = GapWork(
        after=_pass_id(shoot_id, stretch.after),
        before=_pass_id(shoot_id, stretch.before),
        begin=stretch.begin,
        gate=stretch.gate,
        reserve_s=_reserve_s(brief, stretch),
        jobs=(),
        critical=(),
        end_s=0,
        bound_s=0,
        is_proven=False,
        reason=reason,
        is_too_short=is_too_short,
    )
    return record if isinstance(found, Misfit) else _filled(record, gap, found, effort.grain_s)


def _pass_id(shoot_id: str, each: Pass | None) -> str | None:
    return None if each is None else f"{shoot_id}/{each.id}"


def _reserve_s(brief: Brief, stretch: Stretch) -> int:
    """What should stay free, rounded up; nothing waits for the get-out."""
    if stretch.before is None:
        return 0
    return work_s((stretch.gate_s or 0) / 60 * brief.shoot.rules.reset_slack)


def _filled(record: GapWork, gap: Gap, table: Timetable, grain_s: int) -> GapWork:
    """Return the record with its jobs. Where nothing waits, slack counts from the last end."""
    found = ordered(gap, table)
    if record.gate is None:
        last_s = max((one.timed.end_s for one in found.placed), default=0)
        found = ordered(replace(gap, gate_s=last_s), table)
    tasks = {task.id: task for task in gap.tasks}
    after: dict[str, set[str]] = {}
    for first, second in precedence(gap.tasks):
        after.setdefault(second, set()).add(first)
    return record.model_copy(
        update={
            "jobs": tuple(
                _job(one, tasks.get(one.timed.id), tuple(sorted(after.get(one.timed.id, ()))))
                for one in found.placed
            ),
            "critical": found.critical,
            "end_s": found.end_s,
            "bound_s": min(table.bound_s, found.end_s),
            "is_proven": not _is_a_step_later(found.end_s, table.bound_s, grain_s),
            "hand_overs": table.hand_overs,
            "hand_overs_bound": table.hand_overs_bound,
        }
    )


def _is_a_step_later(end_s: int, bound_s: int, grain_s: int) -> bool:
    return -(-end_s // grain_s) > -(-bound_s // grain_s)


def _job(one: Placed, task: Task | None, after: tuple[str, ...]) -> Job:
    timed = one.timed
    return Job(
        id=timed.id,
        kind="break" if task is None else task.kind,
        letter=task.letter if task else None,
        position=task.position if task else None,
        units=task.units if task else (),
        start_s=timed.start_s,
        end_s=timed.end_s,
        free_s=None if timed.free_s == timed.end_s else timed.free_s,
        people=timed.people,
        bay=one.place,
        after=after,
        latest_end_s=one.latest_end_s,
    )
