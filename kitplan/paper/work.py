"""The reset sheet: who does what when between passes, by clock and by person, with what slack.

Times are rounded to the minute here; the plan has them in seconds.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from math import ceil
from typing import Any

from kitplan.gear.records import Item
from kitplan.paper.cases import heavy_words
from kitplan.paper.clocks import to_minute
from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.names import Names
from kitplan.paper.pack.setting import Setting
from kitplan.plan.day.work import GapWork, Job
from kitplan.plan.records import Plan

DOING = {
    "off": "take off",
    "strike": "strike",
    "away": "to the cases",
    "fetch": "fetch",
    "carry": "carry over",
    "build": "build",
    "frame": "frame",
    "check": "check",
    "stay": "check, stays",
    "sound-up": "set up sound",
    "level": "set levels of",
    "sound-down": "strike sound",
    "charge-on": "charge on",
}
CRITICAL = "*"
BY_UNIT = ("charge", "copy", "format")
"""Work on a battery or card rather than on a camera."""
NOT_PLANNED = "There is nothing to do between passes."
ABOUT = (
    "* the end hangs on these: a minute lost there is lost at the end. Slack: how much later a job "
    "may end with everything still in time and everybody's jobs in this order. frame: camera on, "
    "level, frame, focus. check: media, battery, clock, a test clip. What charges or copies goes "
    "on alone to the time shown; its people are free again as their own lists say."
)


def reset_sheet(plan: Plan, gaps: Sequence[GapWork]) -> str:
    """Return the work of some gaps of a plan as it is read on the day."""
    names = Names(plan)
    parts = [heading(f"Reset: {plan.title}")]
    for gap in gaps:
        parts.append(_gap_text(names, gap))
    if not gaps:
        parts.append(paragraph(NOT_PLANNED))
    about = paragraph(ABOUT) if any(gap.jobs for gap in gaps) else ""
    return blocks(*parts, about, _rounds_text(plan))


def reset_records(plan: Plan, gaps: Sequence[GapWork]) -> dict[str, Any]:
    """Return the same as plain data: seconds from the beginning of each gap, and times of day."""
    rounds = plan.day.work.rounds if plan.day and plan.day.work else 1
    return {"rounds": rounds, "gaps": [_gap_record(gap) for gap in gaps]}


def _gap_record(gap: GapWork) -> dict[str, Any]:
    record = gap.model_dump(mode="json")
    for row, job in zip(record["jobs"], gap.jobs, strict=True):
        row["start"] = (gap.begin + timedelta(seconds=job.start_s)).isoformat()
        row["end"] = (gap.begin + timedelta(seconds=job.end_s)).isoformat()
        row["slack_s"] = job.slack_s
    record["slack_s"] = gap.slack_s
    return record


def _gap_text(names: Names, gap: GapWork) -> str:
    title = f"{gap_label(names, gap)}: {_span(names, gap)}"
    if not gap.jobs:
        told = f"It does not fit. {gap.reason}" if gap.reason else "Nothing is to be done."
        return blocks(heading(title, "-"), paragraph(told))
    return blocks(
        heading(title, "-"),
        bullets(_told(names, gap)),
        _by_clock(names, gap),
        *_by_person(names, gap),
        bullets(gap_cautions(names, gap)),
    )


def gap_label(names: Names, gap: GapWork) -> str:
    """Return what a gap is called: 'Closed run to Show', 'Load-in for Closed run'."""
    if gap.after is None:
        return f"Load-in for {names.pass_label(gap.before or '')}"
    if gap.before is None:
        return f"Get-out after {names.pass_label(gap.after)}"
    return f"{names.pass_label(gap.after)} to {names.pass_label(gap.before)}"


def _span(names: Names, gap: GapWork) -> str:
    begin = to_minute(gap.begin)
    day = f"{begin:%a} {begin.day} {begin:%b %Y}, from {begin:%H:%M}"
    if gap.gate is None:
        return day
    later = "" if gap.gate.date() == begin.date() else f" ({gap.gate:%a})"
    return f"{day} to {gap.gate:%H:%M}{later}, {gate_words(names, gap)}"


def gate_words(names: Names, gap: GapWork) -> str:
    """Return what the gate of a gap is: 'doors'."""
    if gap.before is None:
        return "when the crew has to go"
    _, each = names.plan.pass_of(gap.before)
    if gap.gate == each.doors:
        return "doors"
    return "start" if gap.gate == each.start else "the end of the gap"


def _told(names: Names, gap: GapWork) -> Iterable[str]:
    """Yield when it is over and what is left, in promises."""
    if gap.reason:
        yield f"It does not fit. {gap.reason}"
    done = f"Last hand free at {_clock(gap, gap.end_s)}"
    slack_s = gap.slack_s
    if slack_s is None:
        yield f"{done}."
    elif slack_s < 0:
        yield f"{done}: {counted(ceil(-slack_s / 60), 'minute')} too late."
    else:
        reserve = ceil(gap.reserve_s / 60)
        kept = "and stays" if slack_s >= gap.reserve_s else "but only some of it does"
        wish = f"; {reserve} min of it should stay free {kept}" if reserve else ""
        yield f"{done}: {slack_s // 60} min of slack{wish}."
    if not gap.is_proven and not gap.reason:
        yield f"It might be possible by {_clock(gap, gap.bound_s)}; that is not proven."
    work_min = sum(len(job.people) * (job.hands_free_s - job.start_s) for job in _work(gap)) / 60
    people = {person for job in gap.jobs for person in job.people}
    overs = f", {counted(gap.hand_overs, 'hand-over')}" if gap.hand_overs else ""
    yield f"{counted(len(people), 'person', 'people')}, {work_min:.0f} person-minutes{overs}."
    yield from break_words(names, gap)
    stays = [job.letter or "" for job in gap.jobs if job.id.startswith("stay/")]
    if stays:
        one = len(stays) == 1
        yield f"{joined(stays)} {'stays where it is' if one else 'stay where they are'}."


def break_words(names: Names, gap: GapWork, setting: Setting | None = None) -> Iterable[str]:
    """Yield when each break is taken: from the first to the last of those who take it."""
    setting = setting or Setting()
    breaks: dict[str, list[Job]] = {}
    for job in gap.jobs:
        if job.kind == "break":
            breaks.setdefault(break_label(names, gap, job), []).append(job)
    for label, jobs in breaks.items():
        begin, end = min(job.start_s for job in jobs), max(job.end_s for job in jobs)
        people = {person for job in jobs for person in job.people}
        who = counted(len(people), "person", "people")
        times = [setting.time(_minute(gap, at)) for at in (begin, end)]
        yield f"{label} between {times[0]} and {times[1]}, {who}."


def _work(gap: GapWork) -> list[Job]:
    return [job for job in gap.jobs if job.kind != "break"]


def _by_clock(names: Names, gap: GapWork) -> str:
    rows = [
        (
            f"{_clock(gap, job.start_s)}-{_clock(gap, job.end_s)}",
            CRITICAL if job.id in gap.critical else "",
            doing(names, gap, job),
            things(names, job),
            joined([names.person(person) for person in job.people]) or "runs by itself",
            "" if job.kind == "break" else f"{job.slack_s // 60}",
        )
        for job in gap.jobs
    ]
    return table_text(("time", "", "job", "things", "who", "slack min"), rows)


def doing(names: Names, gap: GapWork, job: Job) -> str:
    """Return what a job is: 'build D, Jib spot', 'copy card-64-1 to disk 2', 'Supper'."""
    if job.kind in ("break", *BY_UNIT):
        return verb(names, gap, job)
    whose = f" {user_of(names, gap, job)}" if job.letter else ""
    cart = " with a cart" if job.kind == "carry" and job.bay else ""
    where = f", {place_of_job(names, gap, job)}" if job.position else ""
    return f"{verb(names, gap, job)}{whose}{cart}{where}"


def verb(names: Names, gap: GapWork, job: Job) -> str:
    """Return what is done, without which camera and where: 'build', 'copy card-1 to disk 2'."""
    if job.kind == "break":
        return break_label(names, gap, job)
    word = DOING.get(job.id.partition("/")[0], job.kind)
    if job.kind in BY_UNIT:
        # Which of many alike matters here: a card that is not copied yet must not be formatted.
        return f"{word} {', '.join(job.units)}{_for_whom(names, gap, job)}"
    return word


def _for_whom(names: Names, gap: GapWork, job: Job) -> str:
    if job.kind == "copy":
        return f" to disk {job.id.rpartition('/')[2]}"
    word = "in" if job.kind == "format" else "for"
    return f" {word} {user_of(names, gap, job)}" if job.letter else ""


def user_of(names: Names, gap: GapWork, job: Job) -> str:
    """Return a camera's letter, or the name of a sound setup."""
    shoot, _ = names.plan.pass_of(gap.after or gap.before or "")
    return next((s.label for s in shoot.sound if s.id == job.letter), job.letter or "")


def break_label(names: Names, gap: GapWork, job: Job) -> str:
    """Return what a break is called: 'Supper'."""
    shoot, _ = names.plan.pass_of(gap.after or gap.before or "")
    name = job.id.removeprefix("break/")
    labels = {rest.id: rest.label for rest in shoot.breaks}
    return labels.get(name) or labels.get(name.rpartition("/")[0], "break")


def place_of_job(names: Names, gap: GapWork, job: Job) -> str:
    """Return the position at which a job is done; nothing where it has none."""
    shoot, _ = names.plan.pass_of(gap.after or gap.before or "")
    return next(
        (p.label for p in shoot.venue.positions if p.id == job.position), job.position or ""
    )


def things(names: Names, job: Job) -> str:
    """Return things by name, those that are there twice with their number."""
    if job.kind == "check":
        return ""
    found: dict[str, int] = {}
    for unit in job.units:
        found[names.unit(unit)] = found.get(names.unit(unit), 0) + 1
    return ", ".join(name if n == 1 else f"{n} x {name}" for name, n in found.items())


def _by_person(names: Names, gap: GapWork) -> list[str]:
    """Return everybody's own list."""
    people = sorted({person for job in gap.jobs for person in job.people})
    texts = []
    for person in people:
        rows = []
        for job in sorted(gap.jobs, key=lambda one: (one.start_s, one.end_s)):
            if person in job.people:
                others = [names.person(other) for other in job.people if other != person]
                is_shared = bool(others) and job.kind != "break"
                rows.append(
                    (
                        f"{_clock(gap, job.start_s)}-{_clock(gap, job.hands_free_s)}",
                        CRITICAL if job.id in gap.critical else "",
                        doing(names, gap, job),
                        f"with {joined(others)}" if is_shared else "",
                    )
                )
        table = table_text(("time", "", "job", ""), rows)
        texts.append(f"{paragraph(names.person(person))}\n{table}")
    return texts


def _clock(gap: GapWork, seconds: int) -> str:
    """Return a time of day to the nearest minute."""
    return f"{_minute(gap, seconds):%H:%M}"


def _minute(gap: GapWork, seconds: int) -> datetime:
    return to_minute(gap.begin + timedelta(seconds=seconds))


# -- cautions --------------------------------------------------------------------------------------


def gap_cautions(names: Names, gap: GapWork) -> Iterable[str]:
    """Yield the usual cautions of this work; they defer to venue and licensed people."""
    shoot, _ = names.plan.pass_of(gap.after or gap.before or "")
    positions = {position.id: position for position in shoot.venue.positions}
    touched = {job.position for job in _work(gap) if job.position in positions}
    overhead = sorted(positions[p].label for p in touched if p and positions[p].is_overhead)
    if overhead:
        yield (
            f"Overhead ({joined(overhead)}): two people, nobody underneath, bond on first and off "
            f"last; access and fixings as the venue and its competent person say."
        )
    heavy = {
        item.name: item.mass_kg
        for job in _work(gap)
        for unit in job.units
        if job.kind in ("strike", "carry", "build")
        and (item := _item(names, unit)).mass_kg > shoot.rules.lift_kg
    }
    if heavy:
        yield heavy_words(heavy, shoot.rules)
    if gap.before is not None and gate_words(names, gap) == "the end of the gap":
        given_min = ((gap.slack_s or 0) + gap.end_s) / 60
        yield (
            f"The shoot gives {given_min:.0f} min to work in; times count on from the end of the "
            f"pass, whatever comes between."
        )
    yield (
        "Trips: ways, exits and aisles stay clear while things lie about; cables are taped or "
        "ramped before anybody is let in. Front of house and the fire rules decide."
    )
    if gap.after is not None and names.plan.pass_of(gap.after)[1].is_dark_after:
        yield "In the dark: a torch each, working light wherever the venue allows it."


def _item(names: Names, unit: str) -> Item:
    return names.item_of(unit)


def _rounds_text(plan: Plan) -> str:
    """Say what has been learnt on the way to this plan."""
    told = [each.words for shoot in plan.shoots.values() for each in shoot.no_goods]
    if not told or plan.day is None or plan.day.work is None:
        return ""
    start = f"Planned {plan.day.work.rounds} times until the work fitted. What did not fit:"
    return blocks(paragraph(start), bullets(told))
