"""Records of the roll plan: when each recorder runs, on what, and who touches it when."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from kitplan.gear.records import Record

Second = Annotated[float, Field(ge=-1e7, le=1e7, allow_inf_nan=False)]
"""From the downbeat of a pass, below zero before it."""
Ending = Literal["hand", "clip-limit", "battery", "card", "heat"]
"""Stopped by a hand, or by itself."""
Work = Literal["roll", "restart", "battery", "card", "cool", "check", "stop"]
"""`roll` is the first start, `stop` the last stop; `cool` lets a hot body stand still for a while.
Whatever else is done, the recorder is started again after it."""
ROLL_GOALS = (
    "safety stands still",
    "nothing rolls",
    "others stand still",
    "short of reserve",
    "touches",
    "walking",
    "smallest reserve",
    "reserves",
)
"""What a roll plan is judged by, the most important first; the less the better, of reserves the
more."""


class Clip(Record):
    """A stretch of recording without a stop."""

    start_s: Second
    end_s: Second
    battery: str | None
    """Unit in the body; None on mains."""
    card: str | None
    """Unit that it is recorded on; None where the placement names none."""
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
    start_s: Second
    end_s: Second
    does: tuple[Work, ...]
    person: str | None
    """None where a hand that is not of the crew does it (nobody can be named)."""
    battery: str | None = None
    """Unit that goes in, where one does."""
    card: str | None = None
    walk_s: Second = 0.0
    """What it takes that person to get there, and as long to get back."""


class Blind(Record):
    """A camera stands still while a song runs."""

    pass_id: str
    letter: str
    song: str
    start_s: Second
    end_s: Second
    cause: Ending


class RollsReached(Record):
    """What the goals of one pass came to, in the order of `ROLL_GOALS`."""

    pass_id: str
    value: tuple[int, ...]
    bound: tuple[int, ...]
    """What they could be at best, given the goals before."""

    @property
    def is_proven(self) -> bool:
        """Whether nothing better exists."""
        return self.value == self.bound


class RollPlan(Record):
    """When every recorder of a plan runs."""

    rolls: tuple[Roll, ...]
    touches: tuple[Touch, ...]
    blind: tuple[Blind, ...]
    reached: tuple[RollsReached, ...]

    @property
    def is_proven(self) -> bool:
        """Whether the rolls of every pass are proven best."""
        return all(each.is_proven for each in self.reached)


class Standing(Record):
    """A camera that stands still, and why."""

    pass_id: str
    letter: str
    cause: Ending


class Uncovered(Record):
    """A stretch of a song without a usable shot, or without the safety shot."""

    song: str
    pass_id: str | None
    """The pass whose safety shot fails; None where no pass has a usable shot."""
    start_s: Second
    """Seconds from the beginning of the song."""
    end_s: Second
    stands: tuple[Standing, ...]
    """The cameras that would cover it, as they stand still; none where no camera has a usable shot
    (or no pass can stand anywhere in the edit)."""
    repair: str
    """The smallest change found that mends it, in plain words."""


class Cover(Record):
    """Whether every second of every song has a usable shot."""

    uncovered: tuple[Uncovered, ...]

    @property
    def is_throughout(self) -> bool:
        """Whether nothing is uncovered."""
        return not self.uncovered
