"""When each song of a pass runs, and how long a recorder runs on what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from kitplan.plan.day.rolls import Roll
from kitplan.shoot.records import Pass, Shoot, Song

_SLACK_MIN = 1e-9


@dataclass(frozen=True)
class SongTime:
    """A song on the clock of its pass, in seconds from the downbeat."""

    song: Song
    start_s: float
    end_s: float
    gap_end_s: float
    """When the pause after it is over."""


def song_times(shoot: Shoot, each: Pass) -> tuple[SongTime, ...]:
    """Return the songs that a pass runs, one after the other."""
    times, now = [], 0.0
    for song in shoot.run_songs(each):
        end = now + song.length_s
        times.append(SongTime(song, now, end, end + song.gap_s))
        now = end + song.gap_s
    return tuple(times)


def pass_end_s(shoot: Shoot, each: Pass) -> float:
    """Return when a pass ends, in seconds from its downbeat."""
    return shoot.length_min(each) * 60


def minutes_on(
    roll: Roll | None,
    what: Literal["battery", "card"],
    lasts_min: Mapping[str, float],
    roll_min: float,
) -> dict[str, float]:
    """Return how long a recorder runs on each of its batteries or cards: by its clips, else on each
    in turn until it is flat or full. What it does not touch is left out.

    Args:
        lasts_min: Minutes that each lasts, by unit id, in their order.
        roll_min: Minutes that it rolls where there are no clips.
    """
    found = dict.fromkeys(lasts_min, 0.0)
    if roll is not None:
        for clip in roll.clips:
            unit = clip.battery if what == "battery" else clip.card
            if unit in found:
                found[unit] += (clip.end_s - clip.start_s) / 60
    else:
        *first, last = lasts_min or ("",)
        for unit in first:
            found[unit] = min(roll_min, lasts_min[unit])
            roll_min -= found[unit]
        if last:
            found[last] = roll_min
    return {unit: minutes for unit, minutes in found.items() if minutes > _SLACK_MIN}
