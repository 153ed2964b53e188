"""The work between passes, checked job by job (docs/model.md, the work between passes).

Everything that is asked for is there with its full length; nobody is in two places, at work outside
their hours or without what a job asks for; gate, breaks, end, slack and critical path are true.
Charges, copies, formatting and sound are asked for by other rules; here their people and things
count like all others.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

from kitplan.gear.records import Head, Item, Support
from kitplan.plan.day.work import GapWork, Job
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.day.order import order_findings
from kitplan.plan.verify.day.turn import Asked, Sides, seconds
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.gaps import Expected, expected_gaps, may_work_at, seconds_after
from kitplan.plan.verify.scene import Scene
from kitplan.shoot.nogoods import NoGood, StandMove
from kitplan.shoot.records import Pass

OWN_KINDS = frozenset({"strike", "carry", "build", "frame", "check"})


def work_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield what does not hold in the work between passes."""
    if plan.day is None or plan.day.work is None:
        return
    work = plan.day.work
    rounds = 1 + max(
        (each.round for shoot in plan.shoots.values() for each in shoot.no_goods),
        default=0,
    )
    if work.rounds != rounds:
        wrong = f"it is said to have taken {work.rounds} rounds"
        yield Finding("work-rounds", "work", wrong, f"Its no-goods come from {rounds - 1}")
    wanted = [(shoot_id, gap) for shoot_id, scene in scenes.items() for gap in expected_gaps(scene)]
    stated = [(gap.after, gap.before) for gap in work.gaps]
    right = [tuple(side and f"{s}/{side}" for side in gap.sides) for s, gap in wanted]
    if stated != right:
        wrong = f"work is planned for {len(stated)} gaps, or for others than there are"
        yield Finding("work-gaps", "work", wrong, f"There are {len(right)}")
        return
    for (shoot_id, gap), found in zip(wanted, work.gaps, strict=True):
        sides = _sides(plan, shoot_id, gap)
        if sides is not None:  # what its rigs are made of is not known: others say so
            yield from _gap_findings(gap, sides, found)


WORK_SLACK_MIN = 0.1
"""Work is counted in tenths of a minute."""


def no_good_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield the no-goods that a plan keeps and asks for all the same."""
    for shoot_id, scene in scenes.items():
        items = {unit.id: unit.item for unit in plan.kit.units}
        standing = Counter(
            (p.pass_id.partition("/")[2], p.position, tuple(items.get(u) for u in _stand(p)))
            for p in plan.placements
            if p.pass_id.partition("/")[0] == shoot_id
        )
        work = {(each.after, each.before): each.work_min for each in plan.resets}
        for number, each in enumerate(scene.shoot.no_goods):
            asked = work.get((f"{shoot_id}/{each.after}", f"{shoot_id}/{each.before}"), 0.0)
            is_asked = (
                _asks_for(standing, each)
                if each.most_work_min is None
                else asked > each.most_work_min + WORK_SLACK_MIN
            )
            if is_asked:
                where = f"no-good {number + 1}, {each.after} to {each.before}"
                wrong = "the plan asks for all that it rules out"
                yield Finding("no-good", where, wrong, each.words)


def _asks_for(standing: Counter[tuple[str, str, tuple[str | None, ...]]], each: NoGood) -> bool:
    if not each.moves:
        both = {key: n for key, n in standing.items() if key[0] in (each.after, each.before)}
        return both == Counter(each.same)

    def is_done(move: StandMove) -> bool:
        sign = 1 if move.kind == "strike" else -1
        return any(
            sign * standing[each.after, move.position, stand]
            > sign * standing[each.before, move.position, stand]
            for stand in move.stands
        )

    return all(is_done(move) for move in each.moves)


def _stand(one: Placement) -> tuple[str, ...]:
    return (one.rig.support,) if one.rig.head is None else (one.rig.support, one.rig.head)


def _sides(plan: Plan, shoot_id: str, gap: Expected) -> Sides | None:
    items: dict[str, Item] = {
        unit.id: plan.kit.items_by_id[unit.item]
        for unit in plan.kit.units
        if unit.item in plan.kit.items_by_id
    }

    def of(each: Pass | None) -> tuple[Placement, ...]:
        return tuple(p for p in plan.placements if each and p.pass_id == f"{shoot_id}/{each.id}")

    both = (*of(gap.after), *of(gap.before))
    if any(
        one.position not in gap.scene.positions_by_id
        or any(unit not in items for unit in one.units)
        or not isinstance(items[one.rig.support], Support)
        or (one.rig.head is not None and not isinstance(items[one.rig.head], Head))
        for one in both
    ):
        return None
    return Sides(gap.scene, of(gap.after), of(gap.before), gap.crew, items)


def _gap_findings(gap: Expected, sides: Sides, found: GapWork) -> Iterator[Finding]:
    where = f"work, {gap.sides[0] or 'load-in'} to {gap.sides[1] or 'get-out'}"
    if found.begin != gap.begin or found.gate != gap.gate:
        wrong = f"it lasts from {found.begin} to {found.gate}"
        yield Finding("work-hours", where, wrong, f"From {gap.begin} to {gap.gate}")
        return
    slack = gap.scene.shoot.rules.reset_slack
    reserve_s = 0 if gap.before is None else seconds(gap.gate_s / 60 * slack)
    if found.reserve_s != reserve_s:
        wrong = f"the reserve is given as {found.reserve_s} s"
        yield Finding("work-reserve", where, wrong, f"It is {reserve_s} s")
    if found.reason and not found.jobs:
        return
    jobs = {job.id: job for job in found.jobs}
    if len(jobs) < len(found.jobs):
        yield Finding("work-jobs", where, "a job is listed twice", "List each once")
        return
    asked = sides.jobs()
    yield from _list_findings(where, asked, jobs)
    for name in sorted(asked.keys() & jobs.keys()):
        yield from _job_findings(f"{where}, {name}", gap, asked[name], jobs[name])
    yield from _people_findings(where, gap, found)
    yield from _break_findings(where, gap, found)
    yield from _thing_findings(where, gap, asked, found)
    yield from _gate_findings(where, gap, found)
    yield from order_findings(where, gap, asked, found)


def _list_findings(
    where: str, asked: Mapping[str, Asked], jobs: Mapping[str, Job]
) -> Iterator[Finding]:
    own = {name for name, job in jobs.items() if job.kind in OWN_KINDS}
    for name in sorted(asked.keys() - jobs.keys()):
        yield Finding("work-jobs", where, f"{name} is missing", "The two passes ask for it")
    for name in sorted(own - asked.keys()):
        yield Finding("work-jobs", where, f"{name} is there", "The two passes do not ask for it")


# -- a job -----------------------------------------------------------------------------------------


def _job_findings(where: str, gap: Expected, asked: Asked, job: Job) -> Iterator[Finding]:
    stated = (job.kind, job.letter, job.position, frozenset(job.units))
    if stated != (asked.kind, asked.letter, asked.position.id, asked.units):
        wrong = "its kind, camera, position or things are not those asked for"
        yield Finding("work-facts", where, wrong, "See the placements of both passes")
    takes = _length_s(gap, asked, job)
    if job.end_s - job.start_s != takes:
        wrong = f"it lasts {job.end_s - job.start_s} s"
        yield Finding("work-length", where, wrong, f"It takes {takes} s")
    if job.free_s is not None:
        yield Finding("work-hands", where, "its people leave early", "They stay until it is done")
    if len(set(job.people)) != len(job.people) or len(job.people) != asked.people:
        wrong = f"{len(job.people)} do it"
        yield Finding("work-people", where, wrong, f"It takes {asked.people}")
    crew = {person.id: person for person in gap.crew}
    for person in job.people:
        if person not in crew or not may_work_at(crew[person], asked.position):
            wrong = f"{person} is not on hand or may not work there"
            yield Finding("work-able", where, wrong, "Give it to somebody else")
    for group in asked.led_by:
        if not group & set(job.people):
            wrong = f"none of {', '.join(sorted(group)) or 'those who can'} does it"
            yield Finding("work-led", where, wrong, "One of them has to")
    if not asked.after <= set(job.after):
        missing = ", ".join(sorted(asked.after - set(job.after)))
        yield Finding("work-after", where, f"it does not wait for {missing}", "It has to")


def _length_s(gap: Expected, asked: Asked, job: Job) -> int:
    rules = gap.scene.shoot.rules
    is_by_cart = asked.cart_min is not None and job.bay is not None
    minutes = asked.cart_min if is_by_cart and asked.cart_min is not None else asked.minutes
    minutes *= rules.dark_factor if gap.after is not None and gap.after.is_dark_after else 1.0
    new = {person.id for person in gap.crew if person.is_first_time}
    is_longer = asked.takes_longer and bool(new & set(job.people))
    return seconds(minutes * (rules.first_time_factor if is_longer else 1.0))


# -- people and things -----------------------------------------------------------------------------


def _people_findings(where: str, gap: Expected, found: GapWork) -> Iterator[Finding]:
    """Nobody does two things at once or works outside their hours."""
    late_s = max([gap.gate_s, found.end_s]) if found.reason else gap.gate_s
    for person in sorted({person for job in found.jobs for person in job.people}):
        own = sorted(
            (job.start_s, job.hands_free_s, job.id) for job in found.jobs if person in job.people
        )
        for (_, free_s, first), (start_s, _, second) in pairwise(own):
            if start_s < free_s:
                wrong = f"{person} does {first} and {second} at the same time"
                yield Finding("work-twice", where, wrong, "One after the other")
        since, until = gap.hours_s.get(person, (0, 0))
        until = late_s if until == gap.gate_s else until
        if own and (own[0][0] < since or max(free_s for _, free_s, _ in own) > until):
            wrong = f"{person} works outside the hours on hand"
            yield Finding("work-hours", where, wrong, f"From {since} to {until} s")


def _break_findings(where: str, gap: Expected, found: GapWork) -> Iterator[Finding]:
    """Everybody takes each break whose window is long enough, in one piece, once."""
    wanted: dict[tuple[str, str], tuple[int, int, int]] = {}
    together = set()
    for each in gap.scene.shoot.breaks:
        window = (
            max(seconds_after(gap.begin, each.since), 0),
            min(seconds_after(gap.begin, each.until), gap.gate_s),
        )
        length_s = seconds(each.length_min)
        for person, hours in gap.hours_s.items():
            common_s = min(window[1], hours[1]) - max(window[0], hours[0])
            if common_s >= length_s and (each.people is None or person in each.people):
                wanted[each.id, person] = (*window, length_s)
                if each.is_together:
                    together.add(each.id)
    taken: dict[tuple[str, str], list[Job]] = {}
    for job in found.jobs:
        if job.kind == "break":
            name = job.id.removeprefix("break/")
            for person in job.people:
                taken.setdefault((name.removesuffix(f"/{person}"), person), []).append(job)
    for key in sorted(wanted.keys() | taken.keys()):
        rests, right = taken.get(key, []), wanted.get(key)
        is_right = right is not None and len(rests) == 1
        if right is not None and len(rests) == 1:
            start_s, end_s = rests[0].start_s, rests[0].end_s
            is_right = right[0] <= start_s and end_s <= right[1] and end_s - start_s == right[2]
        if not is_right:
            wrong = f"{key[1]} does not take break {key[0]} once, in its window and in full"
            yield Finding("work-break", where, wrong, "See the breaks of the shoot")
    for name in sorted(together):
        if (
            len({job.start_s for (rest, _), jobs in taken.items() if rest == name for job in jobs})
            > 1
        ):
            wrong = f"break {name} is not taken together"
            yield Finding("work-break", where, wrong, "All at the same time")


def _thing_findings(
    where: str, gap: Expected, asked: Mapping[str, Asked], found: GapWork
) -> Iterator[Finding]:
    """Doorway, carts and bays are not taken more often than there are."""
    venue, carts = gap.scene.shoot.venue, gap.scene.shoot.carrying.carts
    through = [job for job in found.jobs if job.id in asked and asked[job.id].has_door]
    if _most_at_once(through) > venue.loads_through_door:
        wrong = f"{_most_at_once(through)} loads are in the doorway at the same time"
        yield Finding("work-door", where, wrong, f"{venue.loads_through_door} fit")
    for job in found.jobs:
        if job.id in asked and job.bay is not None:
            name, _, number = job.bay.rpartition("/")
            is_there = number.isdecimal() and 1 <= int(number) <= carts
            if name != "cart" or not is_there or asked[job.id].cart_min is None:
                wrong = f"{job.id} takes {job.bay}"
                yield Finding("work-cart", where, wrong, f"It may take one of {carts} carts")
    bays = Counter(job.bay for job in found.jobs if job.bay is not None)
    for bay in sorted(name for name, times in bays.items() if times > 1 and name is not None):
        if _most_at_once([job for job in found.jobs if job.bay == bay]) > 1:
            wrong = f"{bay} is taken twice at the same time"
            yield Finding("work-bay", where, wrong, "One after the other")


def _most_at_once(jobs: Sequence[Job]) -> int:
    """Return how many of some jobs run at the same time at most."""
    return max((sum(j.start_s <= one.start_s < j.end_s for j in jobs) for one in jobs), default=0)


# -- gate and end ----------------------------------------------------------------------------------


def _gate_findings(where: str, gap: Expected, found: GapWork) -> Iterator[Finding]:
    hands = [job for job in found.jobs if job.people and job.kind != "break"]
    end_s = max((job.hands_free_s for job in hands), default=0)
    if found.end_s != end_s:
        wrong = f"the last hand is said to be free after {found.end_s} s"
        yield Finding("work-end", where, wrong, f"It is after {end_s} s")
    if min((job.start_s for job in found.jobs), default=0) < 0:
        yield Finding("work-gate", where, "a job begins before the gap does", "Begin at 0 s")
    own = [job for job in found.jobs if job.kind in OWN_KINDS or job.kind == "break"]
    late = [job.id for job in own if job.end_s > gap.gate_s]
    if late and not found.reason:
        yield Finding("work-gate", where, f"{late[0]} ends after the gate", "All is done by then")
    is_late = any(j.hands_free_s > gap.gate_s or j.latest_end_s < j.end_s for j in found.jobs)
    if found.reason and not is_late:
        wrong = "it is said not to fit, but everything is over before the gate"
        yield Finding("work-reason", where, wrong, "Leave the reason out")
    step_s = max(seconds(gap.scene.shoot.rules.work_step_min), 1)
    is_first = -(-found.bound_s // step_s) >= -(-found.end_s // step_s)
    if found.bound_s > found.end_s or found.is_proven != is_first:
        wrong = f"a bound of {found.bound_s} s goes with an end of {found.end_s} s"
        yield Finding("work-bound", where, wrong, "A bound is not above, proof means the same step")
