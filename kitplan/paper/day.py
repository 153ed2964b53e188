"""The day in a few lines: what each part of it comes to, and where to read more."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from kitplan.paper.clocks import to_minute
from kitplan.paper.layout import counted, joined
from kitplan.paper.names import Names
from kitplan.plan.day.cases import Load
from kitplan.plan.day.rolls import Cover
from kitplan.plan.day.work import GapWork
from kitplan.plan.records import Day, Plan

MOST_NAMED = 3


def day_lines(plan: Plan) -> list[str]:
    """Return a line for each part of the day that a plan has."""
    if plan.day is None:
        return []
    return [line for part in _PARTS for line in part(Names(plan), plan.day)]


def _cover(names: Names, day: Day) -> Iterator[str]:
    if day.cover is None:
        return
    if day.cover.is_throughout:
        songs = sum(len(shoot.songs) for shoot in names.plan.shoots.values())
        yield f"Cover: every second of {counted(songs, 'song')} has a usable shot."
        return
    yield f"Cover: NOT throughout: {_seconds_uncovered(day.cover)} without; see `kitplan coverage`."
    for each in day.cover.uncovered[:MOST_NAMED]:
        if each.repair:
            yield f"Cover: {each.repair}"


def _seconds_uncovered(cover: Cover) -> str:
    stretches = len(cover.uncovered)
    seconds = sum(each.end_s - each.start_s for each in cover.uncovered)
    return f"{counted(stretches, 'stretch', 'stretches')}, {seconds:.0f} s in all"


def _shots(_names: Names, day: Day) -> Iterator[str]:
    if day.shots is None:
        return
    held = [row for row in day.shots.moments if row.first is not None]
    second = sum(row.second is not None for row in held)
    missed = [row for row in day.shots.moments if row.first is None]
    words = f"Moments: {len(held)} of {len(day.shots.moments)} held, {second} by a second camera"
    if missed:
        words += f"; nobody holds {joined([row.moment for row in missed[:MOST_NAMED]])}"
    if day.shots.moments:
        yield f"{words}."


def _restarts(names: Names, day: Day) -> Iterator[str]:
    if day.rolls is None:
        return
    for pass_id in names.plan.pass_ids():
        touches = [
            touch
            for touch in day.rolls.touches
            if touch.pass_id == pass_id and not {"roll", "stop"} & set(touch.does)
        ]
        if touches:
            cameras = sorted({touch.letter for touch in touches})
            times = counted(len(touches), "restart or change", "restarts and changes")
            alone = ", never two at once" if len(touches) > 1 else ""
            yield (
                f"{names.pass_label(pass_id)}: {times} at camera{'s' * (len(cameras) > 1)} "
                f"{joined(cameras)}{alone}."
            )


def _work(names: Names, day: Day) -> Iterator[str]:
    if day.work is None:
        return
    for gap in day.work.gaps:
        if gap.after is None or gap.before is None:
            continue
        label = f"{names.pass_label(gap.after)} to {names.pass_label(gap.before)}"
        if gap.reason:
            yield f"{label}: the work does NOT fit. {gap.reason}"
        else:
            yield f"{label}: {_finish(gap)}"
    if day.work.rounds > 1:
        fits = not any(gap.reason for gap in day.work.gaps)
        end = "until the work between passes fitted" if fits else "and the work still does not fit"
        yield f"Planned in {day.work.rounds} rounds {end}."


def _finish(gap: GapWork) -> str:
    jobs = counted(sum(job.kind != "break" for job in gap.jobs), "job")
    end = to_minute(gap.begin + timedelta(seconds=gap.end_s))
    if gap.slack_s is None or gap.gate is None:
        return f"{jobs}, the last hand free at {end:%H:%M}."
    return (
        f"{jobs}, the last hand free at {end:%H:%M}, {gap.slack_s // 60} "
        f"min before {gap.gate:%H:%M}."
    )


def _supplies(_names: Names, day: Day) -> Iterator[str]:
    if day.power is not None:
        charges = len(day.power.charges)
        short = [use for use in day.power.uses if use.is_short]
        again = counted(charges, "battery", "batteries") if charges else "no battery"
        words = f"Power: {again} charged again"
        if short:
            words += f"; {counted(len(short), 'battery does', 'batteries do')} NOT last"
        yield f"{words}. {day.power.way_out}".strip()
    if day.media is not None:
        copies = len(day.media.copies)
        gb = sum(use.gb for use in day.media.uses)
        yield f"Media: {gb:.0f} GB, {counted(copies, 'verified copy', 'verified copies')} to make."


def _cases(_names: Names, day: Day) -> Iterator[str]:
    for load in day.cases.loads if day.cases else ():
        yield f"Cases: {_load(load)}"


def _load(load: Load) -> str:
    heavy = sum(case.hands > 1 for case in load.cases)
    words = f"{counted(len(load.cases), 'case')}, {load.mass_kg:.0f} kg in all"
    if heavy:
        words += f", {heavy} for two people or more"
    if load.left:
        words += f"; {counted(len(load.left), 'thing')} do NOT fit"
    return f"{words}."


_PARTS = (_cover, _shots, _restarts, _work, _supplies, _cases)
