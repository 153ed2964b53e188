"""What happens when on a day: arrivals, work, gates, passes, breaks, copies, in the order of time.

Times that somebody has set stand as they are; times that are worked out are in steps of five
minutes, beginnings earlier, ends later.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from kitplan.paper.clocks import wall
from kitplan.paper.layout import joined
from kitplan.paper.marks import down_to_step
from kitplan.paper.names import to_step
from kitplan.paper.pack.source import Source
from kitplan.paper.restarts import toucher, touches_in
from kitplan.paper.timed import clocks
from kitplan.paper.work import break_label, gap_label, gate_words
from kitplan.plan.day.rolls import Touch
from kitplan.plan.day.work import GapWork
from kitplan.plan.verify.day.clocked import PassClock
from kitplan.shoot.records import Shoot

CALLS = "{who} calls: ____________"


@dataclass(frozen=True)
class Entry:
    """Something that happens on a day."""

    begin: datetime
    end: datetime | None
    what: str
    who: str = ""
    is_gate: bool = False
    """It does not wait for anybody."""


def passes_on(source: Source, shoot_id: str, day: date) -> tuple[str, ...]:
    """Return the ids of the passes of a shoot that begin on a day."""
    return tuple(
        pass_id
        for pass_id in source.plan.pass_ids()
        if pass_id.partition("/")[0] == shoot_id
        and source.plan.pass_of(pass_id)[1].start.date() == day
    )


def run_entries(source: Source, shoot_id: str, day: date, *, is_only: bool) -> list[Entry]:
    """Return what happens on a day of a shoot, in the order of time.

    Args:
        is_only: The shoot has no other day: people who say when they come, come on this one.
    """
    shoot = source.plan.shoots[shoot_id]
    found = clocks(source.plan, passes_on(source, shoot_id, day))
    gaps = _gaps_of(source, shoot_id)
    load_in = next((gap.begin for gap in gaps if gap.after is None), None)
    entries = [*_people(shoot, day, load_in, is_only=is_only)]
    for clock in found:
        entries += _pass(source, shoot, clock)
    for gap in gaps:
        entries += _gap(source, gap, day)
    entries += _copies(source, [clock.pass_id for clock in found])
    return sorted(entries, key=lambda each: (wall(each.begin), each.is_gate))


# -- people ----------------------------------------------------------------------------------------


def _people(shoot: Shoot, day: date, load_in: datetime | None, *, is_only: bool) -> Iterator[Entry]:
    """Yield who comes and who has to go when; those who name no time come for the load-in."""
    comes: dict[datetime, list[str]] = {}
    goes: dict[datetime, list[str]] = {}
    for person in shoot.crew:
        since = person.since or load_in
        if since is not None and (is_only or since.date() == day):
            comes.setdefault(since, []).append(person.label)
        if person.until is not None and (is_only or person.until.date() == day):
            goes.setdefault(person.until, []).append(person.label)
    for at, people in comes.items():
        yield Entry(at, None, "Crew call", joined(people))
    for at, people in goes.items():
        yield Entry(at, None, "Has to go", joined(people), is_gate=True)


# -- passes ----------------------------------------------------------------------------------------


def _pass(source: Source, shoot: Shoot, clock: PassClock) -> Iterator[Entry]:
    """Yield the doors, the rolls, downbeat and end of a pass."""
    label, each = source.names.pass_label(clock.pass_id), clock.each
    if each.doors is not None:
        what = f"DOORS: {label}. House clear, aisles empty, no more work in it"
        yield Entry(each.doors, None, what, CALLS.format(who="front of house"), is_gate=True)
    yield from _rolls(source, clock)
    house = "audience in" if each.has_audience else "no audience"
    what = f"DOWNBEAT: {label}, {house}"
    yield Entry(each.start, None, what, CALLS.format(who="stage"), is_gate=True)
    end = to_step(shoot.end_of(each), up=True)
    about = "" if each.end else " about now"
    yield Entry(end, None, f"{label} ends{about}. Stop; cards out, taped, to the laptop")


def _rolls(source: Source, clock: PassClock) -> Iterator[Entry]:
    """Yield when cameras are rolled, before the doors and before the downbeat."""
    rolls = source.day.rolls
    touches = touches_in(rolls, clock) if rolls else ()
    first = [touch for touch in touches if "roll" in touch.does]
    doors = clock.each.doors
    doors_s = None if doors is None else (doors - clock.each.start).total_seconds()
    early = [t for t in first if doors_s is not None and t.end_s <= doors_s]
    late = [touch for touch in first if touch not in early]
    for some, words in ((early, "before the doors"), (late, "at your cameras")):
        if some:
            at = clock.each.start + timedelta(seconds=min(touch.start_s for touch in some))
            what = f"Roll {joined(sorted(touch.letter for touch in some))}, {words}"
            yield Entry(to_step(at, up=False), None, what, _touchers(source, some))


def _touchers(source: Source, touches: Sequence[Touch]) -> str:
    return joined(list(dict.fromkeys(toucher(source.names, touch) for touch in touches)))


# -- work ------------------------------------------------------------------------------------------


def _gaps_of(source: Source, shoot_id: str) -> list[GapWork]:
    work = source.day.work
    return [
        gap
        for gap in (work.gaps if work else ())
        if (gap.before or gap.after or "").partition("/")[0] == shoot_id
    ]


def _gap(source: Source, gap: GapWork, day: date) -> Iterator[Entry]:
    """Yield the beginning and end of the work of a gap, and the breaks within it."""
    if not gap.jobs or gap.begin.date() != day:
        return
    names = source.names
    label = gap_label(names, gap)
    is_between = gap.after is not None and gap.before is not None
    people = sorted({names.person(who) for job in gap.jobs for who in job.people})
    begin = to_step(gap.begin, up=gap.after is not None)
    end = to_step(gap.begin + timedelta(seconds=gap.end_s), up=True)
    title = f"Reset: {label}" if is_between else label
    if gap.reason:
        title += ". IT DOES NOT FIT: see the reset sheet"
    yield Entry(begin, end, title, joined(people))
    yield Entry(end, None, f"Last hand free{_slack_words(source, gap)}")
    breaks: dict[str, list[tuple[int, int, str]]] = {}
    for job in gap.jobs:
        if job.kind == "break":
            found = breaks.setdefault(break_label(names, gap, job), [])
            found += [(job.start_s, job.end_s, names.person(who)) for who in job.people]
    for name, rests in breaks.items():
        first = gap.begin + timedelta(seconds=min(start for start, _, _ in rests))
        last = gap.begin + timedelta(seconds=max(over for _, over, _ in rests))
        who = joined(sorted({person for _, _, person in rests}))
        times = {(start, over) for start, over, _ in rests}
        turns = ", in turns" if len(times) > 1 else ""
        yield Entry(to_step(first, up=False), to_step(last, up=True), f"{name}{turns}", who)


def _slack_words(source: Source, gap: GapWork) -> str:
    slack_s = gap.slack_s
    if slack_s is None or gap.gate is None:
        return "; count everything in"
    gate = f"{gate_words(source.names, gap)} {source.setting.time(gap.gate)}"
    if slack_s < 0:
        return f": {-(slack_s // 60)} min AFTER {gate}"
    return f": {down_to_step(slack_s / 60)} min before {gate}"


def _copies(source: Source, pass_ids: Sequence[str]) -> Iterator[Entry]:
    """Yield when the last copy of the cards of a day is done."""
    media = source.day.media
    ends = [
        copy.end for copy in (media.copies if media else ()) if set(copy.passes) & set(pass_ids)
    ]
    if ends:
        what = "Last copy done, at the earliest. Disks go home apart"
        yield Entry(to_step(max(ends, key=wall), up=True), None, what)
