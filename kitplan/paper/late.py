"""A late downbeat on paper: the new clock, what no longer holds, who has to know."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

from kitplan.paper.day import day_lines
from kitplan.paper.layout import blocks, bullets, counted, heading, paragraph, table_text
from kitplan.paper.names import Names
from kitplan.shoot.records import Pass, Shoot
from kitplan.whatif.late import Late


def late_text(late: Late) -> str:
    """Return a late downbeat as a page."""
    ((_, shoot),) = late.plan.shoots.items()
    losses = list(_losses(late))
    stays = f"{len(late.plan.placements)} of {counted(len(late.before.placements), 'camera')}"
    words = f"{late.each.label} begins at {late.each.start:%H:%M}, {_shift(late.minutes)}. "
    words += f"{stays} stay as they are rigged."
    return blocks(
        heading(f"New clock: {late.plan.title}"),
        paragraph(words),
        _section("No longer holds", bullets(losses))
        if losses
        else paragraph("Everything that held still holds."),
        _section("The day on the new clock", bullets(day_lines(late.plan))),
        _section(
            f"{late.each.label}, by the clock",
            table_text(("begins", "was", "", "calls"), list(_clock(late, shoot))),
        ),
    )


def _section(title: str, body: str) -> str:
    return f"{heading(title, '-')}\n{body}"


def late_records(late: Late) -> dict[str, Any]:
    """Return the same as plain data."""
    ((shoot_id, shoot),) = late.plan.shoots.items()
    return {
        "pass_id": f"{shoot_id}/{late.each.id}",
        "start": late.each.start.isoformat(),
        "end": shoot.end_of(late.each).isoformat(),
        "minutes": late.minutes,
        "gone": [
            {
                "pass_id": each.placement.pass_id,
                "letter": each.placement.letter,
                "reason": each.reason,
            }
            for each in late.gone
        ],
        "unmet": list(late.unmet),
        "unheld": [{"song": song, "moment": moment} for song, moment in late.unheld],
        "leaving": [
            {"person": each.person.id, "pass": each.each.id, "minutes_short": each.minutes}
            for each in late.leaving
        ],
        "gap_min": None
        if late.gap_min is None
        else {"before": late.gap_min[0], "after": late.gap_min[1]},
        "songs": [
            {"song": song, "start": begin.isoformat()} for song, begin in _songs(shoot, late.each)
        ],
        "day": day_lines(late.plan),
    }


def _shift(minutes: float) -> str:
    return f"{abs(minutes):g} min {'later' if minutes > 0 else 'earlier'} than planned"


def _losses(late: Late) -> Iterator[str]:
    yield from late.unmet
    for each in late.gone:
        label = Names(late.before).pass_label(each.placement.pass_id)
        yield f"{label}, camera {each.placement.letter} stays at home: {each.reason}."
    ((_, shoot),) = late.plan.shoots.items()
    for song, name in late.unheld:
        yield f"Nobody holds '{name}' in {shoot.songs_by_id[song].label} any more."
    for one in late.leaving:
        yield (
            f"{one.person.label} has to leave at {one.person.until:%H:%M}, {one.minutes:.0f} min "
            f"before {one.each.label} ends: ask for longer, or plan without: `kitplan without`."
        )
    day = late.plan.day
    too_much = [gap for gap in day.work.gaps if gap.reason] if day and day.work else []
    if late.gap_min is not None and too_much:
        before, after = late.gap_min
        yield (
            f"{after:.0f} min are left for the work after {late.each.label}, {before - after:.0f} "
            f"fewer than planned: it does not fit. {too_much[0].reason}"
        )


def _songs(shoot: Shoot, each: Pass) -> Iterator[tuple[str, datetime]]:
    now = each.start
    for song in shoot.run_songs(each):
        yield song.id, now
        now += timedelta(seconds=song.length_s + song.gap_s)


def _clock(late: Late, shoot: Shoot) -> Iterator[tuple[str, str, str, str]]:
    """Every song with its new and old time, and who is called to a camera after it."""
    ((shoot_id, _),) = late.plan.shoots.items()
    calls = _calls(late, f"{shoot_id}/{late.each.id}")
    shift = timedelta(minutes=late.minutes)
    for song, begin in _songs(shoot, late.each):
        yield (
            f"{begin:%H:%M:%S}",
            f"{begin - shift:%H:%M:%S}",
            shoot.songs_by_id[song].label,
            "\n".join(calls.get(song, ())),
        )


def _calls(late: Late, pass_id: str) -> dict[str, list[str]]:
    """By song, the touches that begin before the next one begins."""
    day = late.plan.day
    if day is None or day.rolls is None:
        return {}
    shoot, each = late.plan.pass_of(pass_id)
    names, starts, now = Names(late.plan), [], 0.0
    for song in shoot.run_songs(each):
        starts.append((now, song.id))
        now += song.length_s + song.gap_s
    found: dict[str, list[str]] = {}
    for touch in day.rolls.touches:
        if touch.pass_id != pass_id or not starts:
            continue
        after = next((one for at, one in reversed(starts) if at <= touch.start_s), starts[0][1])
        who = "" if touch.person is None else f" ({names.person(touch.person)})"
        at = each.start + timedelta(seconds=touch.start_s)
        found.setdefault(after, []).append(
            f"{at:%H:%M:%S} {touch.letter}: {', '.join(touch.does)}{who}"
        )
    return found
