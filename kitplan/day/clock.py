"""When each song of a pass runs."""

from __future__ import annotations

from dataclasses import dataclass

from kitplan.shoot.records import Pass, Shoot, Song


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
