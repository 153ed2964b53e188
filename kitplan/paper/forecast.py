"""The cut forecast in words: how often the same angle comes round, and where cuts fail."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from kitplan.paper.layout import blocks, counted, heading, joined, paragraph, table_text
from kitplan.paper.names import Names
from kitplan.plan.records import Plan
from kitplan.shoot.records import Shoot
from kitplan.whatif.forecast import Forecast, SongForecast, forecast, typical_s

HEADERS = ("song", "angles", "inserts", "shots", "same angle again", "shortest", "cannot be placed")
MOST_SONGS = 4
"""More songs than this are counted, not named."""
TITLE = "Cut forecast"


def forecast_lines(names: Names) -> list[str]:
    """Return the forecast in a few sentences: the typical song, the thinnest one, what breaks."""
    return [line for typical, breaks in forecast_parts(names) for line in (typical, *breaks)]


def forecast_parts(names: Names) -> Iterator[tuple[str, list[str]]]:
    """Yield for each shoot what can be promised of its cut, and where that breaks."""
    for shoot_id, shoot in names.plan.shoots.items():
        of_shoot = f"{shoot.title}: " if len(names.plan.shoots) > 1 else ""
        found = forecast(names.plan, shoot_id)
        breaks = [f"{of_shoot}{sentence}" for sentence in (*_bare(found), *_unplaced(found))]
        yield f"{of_shoot}{_typical(shoot, found)}", breaks


def forecast_text(names: Names, *, has_title: bool = True) -> str:
    """Return the forecast song by song."""
    parts = []
    for shoot_id, shoot in names.plan.shoots.items():
        is_one = len(names.plan.shoots) == 1
        title = TITLE if is_one else f"{TITLE}: {shoot.title}"
        rows = [_row(each) for each in forecast(names.plan, shoot_id).songs]
        head = heading(title, "-") + "\n" if has_title or not is_one else ""
        parts += [head + paragraph(_how(shoot)), table_text(HEADERS, rows)]
    return blocks(*parts)


def _how(shoot: Shoot) -> str:
    low, high = shoot.rules.safety_every_shots
    return (
        f"One shot every {shoot.rules.average_shot_s:g} s, always the angle not seen for longest, "
        f"no jump cuts; locked-off angles and inserts at most {shoot.rules.speciality_most} times "
        f"a song and never side by side; the safety shot, not counted here, back after {low} to "
        f"{high} shots. Each camera with its main shot alone: further ones make it better."
    )


def forecast_records(plan: Plan, shoot_id: str) -> dict[str, Any]:
    """Return the forecast of a shoot as plain data."""
    return as_records(forecast(plan, shoot_id))


def as_records(found: Forecast) -> dict[str, Any]:
    """Return a forecast as plain data."""
    thinnest = found.thinnest
    return {
        "same_angle_every_s": found.typical_s,
        "thinnest_song": thinnest.song.id if thinnest else None,
        "thinnest_every_s": thinnest.typical_s if thinnest else None,
        "songs_with_nothing_to_cut_to": [each.song.id for each in found.bare],
        "shots": found.shots,
        "shots_not_placed": found.unplaced,
        "songs": [_record(each) for each in found.songs],
    }


def every(seconds: float | None) -> str:
    """Return how often an angle comes round: 'every 24 s', or that none has to."""
    return "never twice" if seconds is None else f"every {seconds:.0f} s"


# -- one plan --------------------------------------------------------------------------------------


def _typical(shoot: Shoot, found: Forecast) -> str:
    thinnest = found.thinnest
    if thinnest is None:
        return "No song has an angle that comes round twice."
    text = (
        f"The same angle comes round {every(found.typical_s)} in a typical song, at "
        f"{shoot.rules.average_shot_s:g} s a shot"
    )
    if len(found.songs) == 1:
        return f"{text}."
    if every(thinnest.typical_s) == every(found.typical_s):
        return f"{text}, and no sooner in any other."
    return f"{text}; soonest in {thinnest.song.label} ({_in_brief(thinnest)})."


def _in_brief(each: SongForecast) -> str:
    return f"{every(each.typical_s)}, {counted(each.angles, 'angle')}"


def _bare(found: Forecast) -> list[str]:
    """Say which songs have the safety shot alone, and which have nothing."""
    lines = []
    safe = [each.song.label for each in found.bare if each.slots]
    nothing = [each.song.label for each in found.bare if not each.slots]
    if safe:
        lines.append(f"Nothing but the safety shot in {_some(safe)}: there is nothing to cut to.")
    if nothing:
        lines.append(f"No camera films {_some(nothing)}.")
    return lines


def _unplaced(found: Forecast) -> list[str]:
    """Say where the angles do not suffice, the bare songs apart, which have been named."""
    short = [each for each in found.songs if each.unplaced and not each.is_bare]
    if not short:
        return []
    worst = max(short, key=lambda each: each.unplaced / each.shots)
    where = f"in {worst.song.label}"
    if len(short) > 1:
        where = f"in {counted(len(short), 'song')}, most {where} ({worst.unplaced})"
    number, of = sum(each.unplaced for each in short), sum(each.shots for each in short)
    return [
        f"{number} of {counted(of, 'shot')} cannot be placed without a jump cut or an angle once "
        f"too often, {where}: cut slower there, or film it from more angles."
    ]


def _some(labels: list[str]) -> str:
    return joined(labels) if len(labels) <= MOST_SONGS else counted(len(labels), "song")


def _row(each: SongForecast) -> tuple[object, ...]:
    return (
        each.song.label,
        each.angles,
        each.inserts,
        each.shots,
        every(each.typical_s),
        "" if each.soonest_s is None else f"{each.soonest_s:.0f} s",
        _broken(each),
    )


def _broken(each: SongForecast) -> str:
    if not each.slots:
        return "no camera films it"
    if each.is_bare:
        return "only the safety shot" if each.shots > 1 else ""
    parts = []
    if each.jump_cuts:
        parts.append(counted(each.jump_cuts, "jump cut"))
    if each.overused:
        parts.append(f"{each.overused} once too often")
    return ", ".join(parts)


def _record(each: SongForecast) -> dict[str, Any]:
    return {
        "song": each.song.id,
        "angles": each.angles,
        "inserts": each.inserts,
        "has_safety": each.has_safety,
        "shots_needed": each.shots_needed,
        "shots": each.shots,
        "same_angle_every_s": each.typical_s,
        "same_angle_soonest_s": each.soonest_s,
        "jump_cuts": each.jump_cuts,
        "once_too_often": each.overused,
        "shots_not_placed": each.unplaced,
    }


# -- schedules -------------------------------------------------------------------------------------


def column(found: Forecast | None) -> dict[str, str]:
    """Return the rows of a schedule in the comparison."""
    if found is None:
        return {}
    thinnest = found.thinnest
    return {
        "same angle comes round": every(found.typical_s),
        "soonest in a song": every(thinnest.typical_s if thinnest else None),
        "shots not placed": f"{found.unplaced} of {found.shots}",
    }


def against(plan: Plan, more: Forecast, less: Forecast, own: str) -> list[str]:
    """Return what a longer schedule does to the cut, where it locks and where it does not.

    Args:
        plan: The plan of the longer schedule.
        more: Its forecast.
        less: The forecast of the master alone.
        own: Name of the master.
    """
    (shoot_id,) = plan.shoots
    master = f"{shoot_id}/{plan.shoots[shoot_id].master.id}"
    locked = {
        song_id
        for pass_id, songs in plan.worth.items()
        if pass_id != master
        for song_id, worth in songs.items()
        if worth == "locks"
    }
    both = list(zip(more.songs, less.songs, strict=True))
    with_lock = [pair for pair in both if pair[0].song.id in locked]
    without = [pair for pair in both if pair[0].song.id not in locked]
    lines = []
    if with_lock:
        lines.append(
            f"Cut forecast: in {counted(len(with_lock), 'song')} with a pass that locks to {own}, "
            f"the same angle comes round {_both(with_lock, own)}."
        )
    if without:
        lines.append(
            f"{'In' if with_lock else 'Cut forecast: in'} {counted(len(without), 'song')} where "
            f"nothing locks, what is shot outside {own} gives inserts at most: the same angle "
            f"comes round {_both(without, own)}."
        )
    return lines


def _both(songs: list[tuple[SongForecast, SongForecast]], own: str) -> str:
    more, less = every(typical_s([a for a, _ in songs])), every(typical_s([b for _, b in songs]))
    return f"{more}, as with {own} alone" if more == less else f"{more}, with {own} alone {less}"
