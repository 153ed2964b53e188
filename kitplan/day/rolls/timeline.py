"""The clock of a pass in whole seconds: songs in slices, and the gaps between them.

Rounded to the safe side: a song begins early and ends late, so that a gap is never too long.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor

from kitplan.day.clock import SongTime, song_times
from kitplan.gear.records import Body
from kitplan.plan.day.rolls import Work
from kitplan.shoot.records import Pass, Shoot, Song
from kitplan.shoot.rules import Rules

_SLACK = 1e-6


def whole_up(seconds: float) -> int:
    """Return whole seconds, never fewer."""
    return ceil(seconds - _SLACK)


def whole_down(seconds: float) -> int:
    """Return whole seconds, never more."""
    return floor(seconds + _SLACK)


@dataclass(frozen=True)
class Slice:
    """A piece of a song: in it a recorder runs throughout, or counts as standing still."""

    start_s: int
    end_s: int
    subjects: frozenset[str]
    """Subjects that have a moment in it."""

    @property
    def length_s(self) -> int:
        """Its seconds."""
        return self.end_s - self.start_s


@dataclass(frozen=True)
class Stretch:
    """A song, and the gap after it."""

    song: Song
    start_s: int
    end_s: int
    gap_end_s: int
    slices: tuple[Slice, ...]

    @property
    def gap_s(self) -> int:
        """Seconds of the gap after it."""
        return max(0, self.gap_end_s - self.end_s)


def stretches(shoot: Shoot, each: Pass) -> tuple[Stretch, ...]:
    """Return the songs that a pass runs, one after the other."""
    step_s = shoot.rules.stop_step_s
    return tuple(_stretch(time, step_s) for time in song_times(shoot, each))


def _stretch(time: SongTime, step_s: float) -> Stretch:
    start, end = whole_down(time.start_s), whole_up(time.end_s)
    moments = [
        (max(start, whole_down(time.start_s + m.at_s)), m.at_s + m.length_s, m.subject)
        for m in time.song.moments
    ]
    spans = [(a, min(end, whole_up(time.start_s + until)), who) for a, until, who in moments]
    steps = {start + whole_down(step_s * n) for n in range(ceil((end - start) / step_s))}
    cuts = sorted({start, end} | steps | {at for a, b, _ in spans for at in (a, b)})
    inside = [at for at in cuts if start <= at <= end]
    slices = tuple(
        Slice(a, b, frozenset(who for x, y, who in spans if x <= a and b <= y))
        for a, b in pairwise(inside)
    )
    return Stretch(time.song, start, end, whole_down(time.gap_end_s), slices)


def work_s(rules: Rules, body: Body, does: tuple[Work, ...]) -> int:
    """Return the seconds from the stop of a recorder to its next start.

    Several things at once share one stop and one start; behind a blocked door the plate comes off
    once.
    """
    restart = rules.restart_s
    battery, card = "battery" in does, "card" in does
    if body.is_door_blocked and (battery or card):
        seconds = rules.blocked_door_s
        if battery and card:
            seconds += max(0.0, rules.card_swap_s - restart)
    elif battery and card:
        seconds = rules.battery_swap_s + max(0.0, rules.card_swap_s - restart)
    else:
        seconds = rules.battery_swap_s if battery else rules.card_swap_s if card else restart
    if "cool" in does:
        seconds = max(seconds, rules.cool_s)
    return whole_up(seconds)
