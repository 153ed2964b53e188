"""Records of the roll plan: when each recorder runs, on what, and who touches it when."""

from __future__ import annotations

from typing import Literal

from kitplan.gear.records import Record

Ending = Literal["hand", "clip-limit", "battery", "card", "heat"]
"""Stopped by a hand, or by itself."""
Work = Literal["roll", "restart", "battery", "card", "check", "stop"]
"""`roll` is the first start, `stop` the last stop."""


class Clip(Record):
    """A stretch of recording without a stop."""

    start_s: float
    end_s: float
    battery: str | None
    """Unit in the body; None on mains."""
    card: str
    """Unit that it is recorded on."""
    ends_by: Ending


class Roll(Record):
    """The clips of one recorder in one pass, in order."""

    pass_id: str
    letter: str
    """Camera letter, or the id of a sound setup."""
    clips: tuple[Clip, ...]


class Touch(Record):
    """Somebody at a recorder: from when to when, what is done, who does it."""

    pass_id: str
    letter: str
    start_s: float
    end_s: float
    does: tuple[Work, ...]
    person: str | None
    """None where a hand that is not of the crew does it (nobody can be named)."""
    walk_s: float = 0.0
    """What it takes that person to get there, and as long to get back."""


class Blind(Record):
    """A camera stands still while a song runs."""

    pass_id: str
    letter: str
    song: str
    start_s: float
    end_s: float
    cause: Ending


class RollPlan(Record):
    """When every recorder of a plan runs."""

    rolls: tuple[Roll, ...]
    touches: tuple[Touch, ...]
    blind: tuple[Blind, ...]
    value: tuple[float, ...]
    """What the goals came to, in order."""
    bound: tuple[float, ...]
    is_proven: bool


class Uncovered(Record):
    """A stretch of a song without a usable shot, or without the safety shot."""

    song: str
    pass_id: str | None
    """The pass whose safety shot fails; None where no pass has a usable shot."""
    start_s: float
    """Seconds from the beginning of the song."""
    end_s: float
    cause: str
    repair: str


class Cover(Record):
    """Whether every second of every song has a usable shot."""

    uncovered: tuple[Uncovered, ...]

    @property
    def is_throughout(self) -> bool:
        """Whether nothing is uncovered."""
        return not self.uncovered
