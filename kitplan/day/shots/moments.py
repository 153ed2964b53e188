"""Moments on the clock of their song: when they run, what is tight enough, what disturbs them."""

from __future__ import annotations

from dataclasses import dataclass

from kitplan.day.shots.reach import Pair
from kitplan.shoot.records import Moment, Shoot, Song
from kitplan.shoot.sizes import is_tight_enough


@dataclass(frozen=True)
class Instant:
    """A moment as a stretch of its song, in seconds from the song's beginning."""

    song: Song
    number: int
    moment: Moment
    recompose_s: float

    @property
    def start_s(self) -> float:
        """When it begins."""
        return self.moment.at_s

    @property
    def end_s(self) -> float:
        """When it ends, with the song at the latest."""
        return min(self.moment.at_s + self.moment.length_s, self.song.length_s)

    @property
    def is_in_song(self) -> bool:
        """Whether there is anything of it before the song ends."""
        return self.start_s < self.end_s

    def is_held_by(self, pair: Pair) -> bool:
        """Whether a shot holds it: of its subject, as tight as it asks for or tighter."""
        subject, size = pair
        return subject == self.moment.subject and is_tight_enough(size, self.moment.size)

    def is_inside(self, other: Instant) -> bool:
        """Whether a cue for another moment lasts from its beginning to its end."""
        return other.start_s <= self.start_s and self.end_s <= other.end_s

    def is_disturbed_by(self, other: Instant) -> bool:
        """Whether a cue for another moment, with the way there and back, takes some of it."""
        return (
            other.start_s - self.recompose_s < self.end_s
            and self.start_s < other.end_s + self.recompose_s
        )

    def is_clear_of(self, other: Instant) -> bool:
        """Whether one camera can have a cue for either: time enough from one to the other."""
        first, second = sorted((self, other), key=lambda each: (each.start_s, each.end_s))
        return first.end_s + self.recompose_s <= second.start_s


def instants(shoot: Shoot, song: Song) -> tuple[Instant, ...]:
    """Return the moments of a song."""
    recompose_s = shoot.rules.recompose_s
    return tuple(Instant(song, n, moment, recompose_s) for n, moment in enumerate(song.moments))
