"""Power and media at the times of the work: once the schedule has its jobs, charges and copies are
what the jobs say. Where the jobs leave one out, or two would be in one bay, nothing changes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import ceil
from typing import TypeAlias

from kitplan.day.minutes import DAY_MIN, Minutes, Span
from kitplan.plan.day.media import Copy, MediaPlan
from kitplan.plan.day.power import Charge, PowerPlan
from kitplan.plan.day.work import DayWork, Job
from kitplan.plan.records import Plan
from kitplan.shoot.records import Shoot

_SLACK = 1e-6
_Key: TypeAlias = tuple[str, tuple[str, ...], int]
"""Card, passes on it, number of the copy."""


@dataclass(frozen=True)
class _Times:
    place: str
    start: datetime
    end: datetime


def settled_power(plan: Plan, power: PowerPlan, work: DayWork) -> PowerPlan:
    """Return the power with the bays and times of the jobs in the work."""
    jobs = _Jobs(plan, work)
    found = []
    for charge in power.charges:
        times = jobs.times(charge.for_pass, charge.start, f"charge/{charge.unit}")
        if times is None or times.end > charge.needed_by:
            return power
        found.append(
            charge.model_copy(update={"bay": times.place, "start": times.start, "end": times.end})
        )
    if not found or _is_twice_in_use((one.bay, one.start, one.end) for one in found):
        return power
    ends = sum(round(jobs.minute(one.for_pass, one.end)) for one in found)
    value = (*power.value[:-1], ends)
    return power.model_copy(
        update={
            "charges": tuple(sorted(found, key=_order)),
            "value": value,
            "bound": (*power.bound[:-1], min(power.bound[-1], ends)),
            "is_proven": power.value[:-1] == power.bound[:-1],
            "is_settled": True,
        }
    )


def settled_media(plan: Plan, media: MediaPlan, work: DayWork) -> MediaPlan:
    """Return the media with those copies that are jobs of the work at their times; the others, in
    the order that they had, as early as a laptop and hands are free.
    """
    jobs = _Jobs(plan, work)
    fixed = {(copy.card, copy.passes, copy.number): jobs.of_copy(copy) for copy in media.copies}
    for card, passes, _ in [key for key, times in fixed.items() if times is None]:
        fixed |= {key: None for key in fixed if key[:2] == (card, passes)}
    if not any(fixed.values()):
        return media
    found: list[Copy] = []
    for shoot_id, shoot in plan.shoots.items():
        own = [c for c in media.copies if c.passes[0].partition("/")[0] == shoot_id]
        found += _placed(shoot, own, fixed)
    value = tuple(
        map(sum, zip(*(_value(plan, shoot_id, found) for shoot_id in plan.shoots), strict=True))
    )
    if value[0] != media.value[0] or _is_twice_in_use((c.laptop, c.start, c.end) for c in found):
        return media
    bound = tuple(map(min, media.bound, value))
    return media.model_copy(
        update={
            "copies": tuple(found),
            "value": value,
            "bound": bound,
            "is_proven": value == bound,
        }
    )


def _placed(
    shoot: Shoot, copies: Sequence[Copy], fixed: Mapping[_Key, _Times | None]
) -> list[Copy]:
    """Return the copies of a shoot: those with a time at it, the others around them."""
    minutes = Minutes(shoot)
    found = [
        copy.model_copy(update={"laptop": times.place, "start": times.start, "end": times.end})
        for copy in copies
        if (times := fixed[copy.card, copy.passes, copy.number]) is not None
    ]
    out_min = ceil(shoot.rules.card_swap_s / 60 - _SLACK)
    ids = [each.id for each in shoot.passes]
    free = {one: end + out_min for one, (_, end) in zip(ids, minutes.spans, strict=True)}
    laptops = [f"laptop/{number + 1}" for number in range(shoot.copying.laptops)]
    hands = minutes.hands(_horizon(minutes, copies))
    for copy in sorted(copies, key=lambda each: (each.start, each.number)):
        if fixed[copy.card, copy.passes, copy.number] is not None:
            continue
        earlier = [c for c in found if (c.card, c.passes) == (copy.card, copy.passes)]
        ready = max(
            [free[copy.passes[-1].partition("/")[2]], *(minutes.until(c.end) for c in earlier)]
        )
        length = minutes.until(copy.end) - minutes.until(copy.start)
        slots = [
            (_slot(minutes, found, laptop, hands, ready, length), laptop) for laptop in laptops
        ]
        start, laptop = min(slots)
        span = {"start": minutes.at(start), "end": minutes.at(start + round(length))}
        found.append(copy.model_copy(update={"laptop": laptop, **span}))
    return sorted(found, key=lambda copy: (copy.start, copy.card, copy.number))


def _horizon(minutes: Minutes, copies: Sequence[Copy]) -> int:
    length = sum(minutes.until(copy.end) - minutes.until(copy.start) for copy in copies)
    return minutes.spans[-1][1] + ceil(2 * length) + DAY_MIN


def _slot(
    minutes: Minutes,
    found: Sequence[Copy],
    laptop: str,
    hands: Sequence[Span],
    ready: float,
    length: float,
) -> int:
    """Return the first minute from which a laptop is free for so long, while hands are free."""
    busy = sorted(
        (minutes.until(c.start), minutes.until(c.end)) for c in found if c.laptop == laptop
    )
    start = _in_hands(hands, ready)
    for begin, end in busy:
        if begin < start + length - _SLACK and end > start + _SLACK:
            start = _in_hands(hands, end)
    return start


def _in_hands(hands: Sequence[Span], at: float) -> int:
    whole = ceil(at - _SLACK)
    return next(max(whole, begin) for begin, end in hands if max(whole, begin) <= end)


def _value(plan: Plan, shoot_id: str, copies: Sequence[Copy]) -> tuple[int, int, int]:
    """Return what the goals of the copying come to in a shoot."""
    shoot = plan.shoots[shoot_id]
    minutes = Minutes(shoot)
    ids = [each.id for each in shoot.passes[:-1]]
    begins = {one: begin for one, (begin, _) in zip(ids, minutes.spans[1:], strict=True)}
    last: dict[tuple[str, tuple[str, ...]], Copy] = {}
    for copy in copies:
        if copy.passes[0].partition("/")[0] == shoot_id:
            key = (copy.card, copy.passes)
            last[key] = max(copy, last.get(key, copy), key=lambda each: each.end)
    ends = [(copy, minutes.until(copy.end)) for copy in last.values()]
    following = [(begins.get(c.passes[-1].partition("/")[2]), end) for c, end in ends]
    return (
        sum(c.needed_by is not None and c.end > c.needed_by for c, _ in ends),
        sum(begin is not None and end > begin + _SLACK for begin, end in following),
        max((round(end) for _, end in ends), default=0),
    )


def _order(charge: Charge) -> tuple[datetime, str]:
    return charge.start, charge.unit


def _is_twice_in_use(rows: Iterable[tuple[str, datetime, datetime]]) -> bool:
    by_place: dict[str, list[tuple[datetime, datetime]]] = defaultdict(list)
    for place, start, end in rows:
        by_place[place].append((start, end))
    return any(
        later < end
        for spans in by_place.values()
        for (_, end), (later, _) in pairwise(sorted(spans))
    )


class _Jobs:
    """Looks up jobs of the work."""

    def __init__(self, plan: Plan, work: DayWork) -> None:
        self.plan, self.work = plan, work

    def times(self, pass_id: str, planned: datetime, job_id: str) -> _Times | None:
        """Return where and when a job is done that is planned at a time; None where it is not."""
        shoot_id = pass_id.partition("/")[0]
        gaps = [
            gap
            for gap in self.work.gaps
            if gap.after is not None
            and gap.after.partition("/")[0] == shoot_id
            and gap.begin <= planned
        ]
        if not gaps:
            return None
        gap = max(gaps, key=lambda each: each.begin)
        job: Job | None = next((job for job in gap.jobs if job.id == job_id), None)
        if job is None or job.bay is None:
            return None
        start, end = (gap.begin + timedelta(seconds=s) for s in (job.start_s, job.end_s))
        return _Times(job.bay, start, end)

    def of_copy(self, copy: Copy) -> _Times | None:
        """Return where and when a copy is made by a job; None where none makes it in time."""
        if copy.needed_by is None:
            return None
        job_id, end = f"copy/{copy.card}/{copy.number}", self._end(copy.passes[-1])
        for gap in self.work.gaps:
            job = next((job for job in gap.jobs if job.id == job_id), None)
            if job is None or job.bay is None or gap.begin < end:
                continue
            done = gap.begin + timedelta(seconds=job.end_s)
            if done <= copy.needed_by:
                return _Times(job.bay, gap.begin + timedelta(seconds=job.start_s), done)
        return None

    def _end(self, pass_id: str) -> datetime:
        shoot, each = self.plan.pass_of(pass_id)
        return shoot.end_of(each)

    def minute(self, pass_id: str, moment: datetime) -> float:
        """Return the minutes from the first downbeat of a pass's shoot to a moment."""
        return Minutes(self.plan.pass_of(pass_id)[0]).until(moment)
