"""What the order of jobs comes to: waiting, slack, hand-overs, critical path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from kitplan.plan.day.work import GapWork, Job
from kitplan.plan.verify.day.turn import Asked
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.hours import minutes_between

if TYPE_CHECKING:
    from kitplan.plan.verify.gaps import Expected

OWN_DUE = frozenset({"strike", "carry", "build", "frame", "check"})


def order_findings(
    where: str, gap: Expected, asked: Mapping[str, Asked], found: GapWork
) -> Iterator[Finding]:
    """Yield what is wrong with waiting, slack, hand-overs and the critical path."""
    jobs = {job.id: job for job in found.jobs}
    for job in found.jobs:
        for before in job.after:
            if before not in jobs:
                wrong = f"{job.id} waits for {before}, which is not there"
                yield Finding("work-after", where, wrong, "Wait for jobs of this gap")
            elif jobs[before].end_s > job.start_s:
                wrong = f"{job.id} begins before {before} is over"
                yield Finding("work-after", where, wrong, "It has to wait")
    doors = {name for name, each in asked.items() if each.has_door}
    yield from _slack_findings(where, gap, found, doors)
    overs = _hand_overs(found.jobs)
    if found.hand_overs != overs or not 0 <= found.hand_overs_bound <= overs:
        wrong = f"{found.hand_overs} hand-overs and a bound of {found.hand_overs_bound} are given"
        yield Finding("work-hand-overs", where, wrong, f"There are {overs}")
    yield from _critical_findings(where, gap, found, doors)


def _lag_s(one: Job, other: Job, doors: set[str]) -> int | None:
    """Return how long after the start of a job another one can begin at the soonest, in the order
    that they have; None where nothing ties them.
    """
    is_tied = (
        one.id in other.after
        or (one.bay is not None and one.bay == other.bay)
        or {one.id, other.id} <= doors
    )
    if is_tied and one.end_s <= other.start_s:
        return one.end_s - one.start_s
    if set(one.people) & set(other.people) and one.hands_free_s <= other.start_s:
        return one.hands_free_s - one.start_s
    return None


def _slack_findings(
    where: str, gap: Expected, found: GapWork, doors: set[str]
) -> Iterator[Finding]:
    """latest start = the least of: due - length; end of its people's hours - time they are bound;
    latest start of every job tied to it - lag.
    """
    last_s = max((job.end_s for job in found.jobs), default=0)
    gate_s = _gate_s(gap, found, last_s)
    until = {
        each.id: min(int(minutes_between(gap.begin, each.until) * 60), gap.gate_s)
        for each in gap.scene.shoot.breaks
    }
    latest: dict[str, int] = {}
    for job in sorted(found.jobs, key=lambda one: (one.start_s, one.end_s), reverse=True):
        own_s = _due_s(job, gate_s, until) - (job.end_s - job.start_s)
        bound_s = job.hands_free_s - job.start_s
        hours = [_until_s(gap, gate_s, person) - bound_s for person in job.people]
        tied = [
            latest[other.id] - lag
            for other in found.jobs
            if other.id in latest and (lag := _lag_s(job, other, doors)) is not None
        ]
        latest[job.id] = min([own_s, *hours, *tied])
        right = latest[job.id] + job.end_s - job.start_s
        if job.latest_end_s != right:
            wrong = f"{job.id} may end {job.latest_end_s} s after the beginning at the latest"
            yield Finding("work-slack", where, wrong, f"It is {right} s")


def _gate_s(gap: Expected, found: GapWork, last_s: int) -> int:
    """Where nothing waits, slack counts from the last end."""
    return last_s if found.gate is None else gap.gate_s


def _due_s(job: Job, gate_s: int, until: Mapping[str, int]) -> int:
    if job.kind == "break":
        name = job.id.removeprefix("break/")
        return until.get(name, until.get(name.rpartition("/")[0], gate_s))
    return gate_s if job.kind in OWN_DUE else job.latest_end_s


def _until_s(gap: Expected, gate_s: int, person: str) -> int:
    return gap.hours_s.get(person, (0, gate_s))[1]


def _hand_overs(jobs: Sequence[Job]) -> int:
    """Jobs on one camera that follow each other without anybody in common; charges, copies and
    formatting are nobody's to take over.
    """
    jobs = [job for job in jobs if job.kind not in ("charge", "copy", "format")]
    by_id = {job.id: job for job in jobs}
    return sum(
        job.letter is not None
        and before in by_id
        and by_id[before].letter == job.letter
        and bool(job.people and by_id[before].people)
        and not set(job.people) & set(by_id[before].people)
        for job in jobs
        for before in job.after
    )


def _critical_findings(
    where: str, gap: Expected, found: GapWork, doors: set[str]
) -> Iterator[Finding]:
    """The chain has no pauses, ends with the last hand and begins where it could not sooner."""
    jobs = {job.id: job for job in found.jobs}
    chain = [jobs[name] for name in found.critical if name in jobs]
    is_whole = len(chain) == len(found.critical) and bool(chain) == bool(found.end_s)
    ends = bool(chain) and chain[-1].hands_free_s == found.end_s
    is_tight = all(
        (lag := _lag_s(one, other, doors)) is not None and one.start_s + lag == other.start_s
        for one, other in pairwise(chain)
    )
    begins = bool(chain) and _begins_s(gap, chain[0]) in (chain[0].start_s, None)
    if not is_whole or (chain and not (ends and is_tight and begins)):
        wrong = "the critical path has a pause, or does not lead to the end"
        yield Finding("work-critical", where, wrong, "Every job of it begins when one before ends")


def _begins_s(gap: Expected, job: Job) -> int | None:
    """When a job could begin as far as itself and its people go; None where others know."""
    since = [gap.hours_s.get(person, (0, 0))[0] for person in job.people]
    if job.kind == "break":
        rests = {each.id: each for each in gap.scene.shoot.breaks}
        name = job.id.removeprefix("break/")
        rest = rests.get(name) or rests.get(name.rpartition("/")[0])
        own = 0 if rest is None else int(minutes_between(gap.begin, rest.since) * 60)
        return max([own, 0, *since])
    return max([0, *since]) if job.kind in OWN_DUE else None
