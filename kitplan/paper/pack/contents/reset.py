"""Reset sheets: the work of each gap by clock and by person, with its gate, slack and cautions."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from kitplan.gear.records import Case
from kitplan.paper.clocks import to_minute
from kitplan.paper.drawings.work_chart import Box, Kind, Lane, WorkChart
from kitplan.paper.layout import counted, joined
from kitplan.paper.marks import down_to_step, up_to_step
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import (
    Block,
    Caution,
    Column,
    Facts,
    Picture,
    Sheet,
    Table,
    Words,
)
from kitplan.paper.pack.contents.slips import is_short, two_columns
from kitplan.paper.pack.source import Source
from kitplan.paper.work import (
    BY_UNIT,
    break_words,
    gap_cautions,
    gap_label,
    gate_words,
    place_of_job,
    things,
    user_of,
    verb,
)
from kitplan.plan.day.cases import PackedCase
from kitplan.plan.day.work import GapWork, Job

KINDS: dict[str, Kind] = {
    "strike": "down",
    "carry": "carry",
    "build": "up",
    "frame": "up",
    "check": "up",
    "break": "rest",
}
CRITICAL = "KEY"
"""Beside jobs on which the end hangs."""
ABOUT = (
    f"{CRITICAL}: the end hangs on it; a minute lost there is lost at the end. Slack: how many "
    f"minutes later a job may end with everything still in time. Frame: camera on, level, frame, "
    f"focus. Check: card, battery, clock, a test clip. What charges or copies runs on by itself."
)


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield a sheet for each gap in which there is work: load-in, resets, get-out."""
    work = source.day.work
    for gap in work.gaps if work else ():
        if gap.jobs or gap.reason:
            yield _sheet(source, gap)


def _sheet(source: Source, gap: GapWork) -> Sheet:
    names = source.names
    blocks: list[Block] = [Facts(tuple(_facts(source, gap)), is_large=True)]
    if gap.reason:
        blocks.append(Caution("It does not fit", _why_not(source, gap)))
    if gap.jobs:
        blocks.append(_picture(source, gap))
        cautions = (*gap_cautions(names, gap), *_heavy_cases(source, gap))
        blocks += [Caution("Take care", cautions), Words(ABOUT), _by_clock(source, gap)]
        blocks += two_columns(list(_by_person(source, gap)))
    title = gap_label(names, gap)
    is_reset = gap.after is not None and gap.before is not None
    return Sheet("reset", f"Reset: {title}" if is_reset else title, tuple(blocks))


def _facts(source: Source, gap: GapWork) -> Iterator[tuple[str, str]]:
    """Yield when it begins, the gate, and how much there is to spare."""
    setting = source.setting
    yield "Begins", f"{setting.day(gap.begin)}, {setting.time(to_minute(gap.begin))}"
    if gap.gate is not None:
        later = "" if gap.gate.date() == gap.begin.date() else f" ({gap.gate:%a})"
        words = gate_words(source.names, gap).upper()
        yield "Hard gate", f"{words} {setting.time(gap.gate)}{later}"
    if not gap.jobs:
        return
    end = _clock(source, gap, gap.end_s)
    slack_s = gap.slack_s
    if slack_s is None:
        yield "Last hand free", end
    elif slack_s < 0:
        yield "Last hand free", f"{end}, {-(slack_s // 60)} min TOO LATE"
    else:
        yield "Last hand free", f"{end}, {_spare_words(gap, slack_s)}"
    people = sorted({source.names.person(who) for job in gap.jobs for who in job.people})
    yield "Hands", f"{counted(len(people), 'person', 'people')}: {joined(people)}"
    stays = [job.letter or "" for job in gap.jobs if job.id.startswith("stay/")]
    if stays:
        yield "Left standing", f"camera{'s' * (len(stays) > 1)} {joined(stays)}"
    for rest in break_words(source.names, gap, source.setting):
        yield "Break", rest.rstrip(".")


def _why_not(source: Source, gap: GapWork) -> tuple[str, ...]:
    """Return why it does not fit, a line for each move, the gate in local form."""
    told = gap.reason
    if gap.gate is not None:
        told = told.replace(f"at {gap.gate:%H:%M}", f"at {source.setting.time(gap.gate)}")
    return tuple(told.split("; "))


def _spare_words(gap: GapWork, slack_s: int) -> str:
    """Return the minutes to spare, and how many of them should stay free."""
    spare, kept = down_to_step(slack_s / 60), up_to_step(gap.reserve_s / 60)
    if slack_s < gap.reserve_s:
        return f"ONLY {spare} min to spare, {kept} should stay free"
    return f"{spare} min to spare" + (f", {kept} of them to be kept free" if kept else "")


def _clock(source: Source, gap: GapWork, at_s: float) -> str:
    """Return a time of day to the nearest minute."""
    return source.setting.time(to_minute(gap.begin + timedelta(seconds=at_s)))


# -- by clock and by person ------------------------------------------------------------------------


def _by_clock(source: Source, gap: GapWork) -> Table:
    columns = (
        Column("from", 0.0, is_strong=True),
        Column("to", 0.0),
        Column("cam", 0.0, is_strong=True),
        Column("do", 3.0),
        Column("who", 1.2),
        Column("slack", 0.0, "right"),
        Column("", 0.0, is_strong=True),
    )
    rows = tuple(
        (
            _clock(source, gap, job.start_s),
            _clock(source, gap, job.end_s),
            _camera(job),
            job_words(source.names, gap, job),
            joined([source.names.person(who) for who in job.people]) or "runs by itself",
            "" if job.kind == "break" else f"{job.slack_s // 60}",
            CRITICAL if job.id in gap.critical else "",
        )
        for job in gap.jobs
    )
    return Table(columns, rows, title="By clock", has_boxes=True)


def _by_person(source: Source, gap: GapWork) -> Iterator[Table]:
    """Yield everybody's own list, to cut out or photograph."""
    names = source.names
    columns = (
        Column("when", 0.0, is_strong=True),
        Column("cam", 0.0, is_strong=True),
        Column("do", 1.0),
    )
    people = {who for job in gap.jobs for who in job.people}
    for person in sorted(people, key=names.person):
        rows = tuple(
            (
                f"{_clock(source, gap, job.start_s)}\n{_clock(source, gap, job.hands_free_s)}",
                _camera(job),
                _told(names, gap, job, person),
            )
            for job in sorted(gap.jobs, key=lambda one: (one.start_s, one.end_s))
            if person in job.people
        )
        title = f"{names.person(person)}: {gap_label(names, gap)}"
        foot = _gate_foot(source, gap)
        is_slip = is_short(rows)
        yield Table(columns, rows, title, has_boxes=True, foot=foot, is_slip=is_slip)


def _gate_foot(source: Source, gap: GapWork) -> str:
    if gap.gate is None:
        return ""
    words = gate_words(source.names, gap)
    return f"Hard gate: {words} {source.setting.time(gap.gate)}"


def _told(names: Names, gap: GapWork, job: Job, person: str) -> str:
    """Return what somebody is told of a job, with whom, and whether the end hangs on it."""
    others = _others(names, job, person)
    words = job_words(names, gap, job) + (f", with {others}" if others else "")
    what = _things(names, job)
    words += f": {what}" if what else ""
    return f"{words}. {CRITICAL}" if job.id in gap.critical else words


def _others(names: Names, job: Job, person: str) -> str:
    if job.kind == "break":
        return ""
    return joined([names.person(other) for other in job.people if other != person])


def _camera(job: Job) -> str:
    """Return the letter of the camera that is worked on."""
    return "" if job.kind in ("sound", *BY_UNIT) else job.letter or ""


def _things(names: Names, job: Job) -> str:
    """Return what is taken in hand; of what is only framed or checked, nothing."""
    return things(names, job) if job.kind in ("strike", "carry", "build") else ""


def job_words(names: Names, gap: GapWork, job: Job) -> str:
    """Return what is done in a job, and where or from where to where."""
    what, here = verb(names, gap, job), place_of_job(names, gap, job)
    kind = job.id.partition("/")[0]
    cart = ", with a cart" if job.kind == "carry" and job.bay else ""
    if kind == "fetch":
        words = f"{what} from {_cases(names, job)} to {here}{cart}"
    elif kind == "away":
        words = f"{what} ({_cases(names, job)}) from {here}{cart}"
    elif kind == "carry":
        words = f"{what} to {here}, from {_where_they_were(names, gap, job)}{cart}"
    else:
        if job.kind == "sound":
            here = ", ".join(part for part in (user_of(names, gap, job), here) if part)
        elif job.kind in BY_UNIT:
            here = job.bay or ""
        between = " " if what.endswith(" of") else ", "
        words = f"{what}{between}{here}" if here else what
    return f"{words[:1].upper()}{words[1:]}"


def _cases(names: Names, job: Job) -> str:
    """Return the cases that the things of a job travel in."""
    found = sorted({case for unit in job.units if (case := names.case(unit))})
    return joined(found) or "the store"


def _where_they_were(names: Names, gap: GapWork, job: Job) -> str:
    """Return the positions at which the things of a job stood before."""
    before = names.plan.placements_in(gap.after) if gap.after else ()
    found = [names.place(each) for each in before if set(job.units) & set(each.units)]
    return " and from ".join(dict.fromkeys(found)) or "where they are"


# -- lifting ---------------------------------------------------------------------------------------


def _heavy_cases(source: Source, gap: GapWork) -> Iterator[str]:
    """Yield the cases that take two people, where they are carried in or out of the house."""
    is_between = gap.after is not None and gap.before is not None
    if source.day.cases is None or is_between:
        return
    shoot_id = (gap.after or gap.before or "").partition("/")[0]
    for load in source.day.cases.loads:
        heavy = [case for case in load.cases if case.hands > 1]
        if load.shoot == shoot_id and heavy:
            listed = joined([_case_words(source.names, case) for case in heavy])
            yield (
                f"Heavy cases: {listed}. Two people or wheels; where even two is too much, open it "
                f"and carry the parts. Lift with the legs, and keep to the venue's own limits."
            )


def _case_words(names: Names, case: PackedCase) -> str:
    item = names.item_of(case.case)
    assert isinstance(item, Case)  # a whole plan names cases as cases
    return f"{case.case} ({item.name}, {case.gross_kg:.0f} kg)"


# -- the chart -------------------------------------------------------------------------------------


def _picture(source: Source, gap: GapWork) -> Picture:
    names, setting = source.names, source.setting
    gate_s = None if gap.gate is None else (gap.gate - gap.begin).total_seconds()
    gate = "" if gap.gate is None else f"{_short_gate(names, gap)} {setting.time(gap.gate)}"
    people = {who for job in gap.jobs for who in job.people}
    lanes = tuple(
        Lane(names.person(who), tuple(_box(names, gap, job) for job in _jobs_of(gap, who)))
        for who in sorted(people, key=names.person)
    )
    label = gap_label(names, gap)
    title = f"{source.plan.title}: {label}, a lane for each person"
    chart = WorkChart(title, gap.begin, lanes, gap.end_s, gate_s, gate)
    drawing = chart.drawing(setting.text_width_mm, setting.time)
    return Picture(drawing.svg(), drawing.width_mm, drawing.height_mm, f"Who is busy when: {label}")


def _short_gate(names: Names, gap: GapWork) -> str:
    words = gate_words(names, gap)
    return words.upper() if len(words) <= len("doors") else "GATE"


def _jobs_of(gap: GapWork, person: str) -> list[Job]:
    mine = [job for job in gap.jobs if person in job.people]
    return sorted(mine, key=lambda job: (job.start_s, job.end_s))


def _box(names: Names, gap: GapWork, job: Job) -> Box:
    word = verb(names, gap, job)
    if job.kind == "break":
        return Box(job.start_s, job.hands_free_s, word, "", "rest", is_critical=False)
    mark = job.letter or ""
    if job.kind in BY_UNIT:
        word, mark = job.kind, mark if job.kind == "format" else ""
    elif job.kind == "sound":
        mark = "sound"
    is_critical = job.id in gap.critical
    kind = KINDS.get(job.kind, "other")
    return Box(job.start_s, job.hands_free_s, mark, word, kind, is_critical)
