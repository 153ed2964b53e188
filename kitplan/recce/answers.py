"""What somebody answered, understood: the measures of room and stage, the runs, who is there.

Lengths in metres; times without an offset are those of the place.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Audience = Literal["seated", "raked", "standing", "none"]


class NotUnderstood(Exception):
    """An answer that makes no sense: what is wrong with it, and what would be right."""

    def __init__(self, wrong: str, right: str) -> None:
        super().__init__(f"{wrong}. {right}")
        self.wrong, self.right = wrong, right


@dataclass(frozen=True)
class StageSize:
    """The playing area: width across, depth, height of its floor over the house floor."""

    width_m: float
    depth_m: float
    height_m: float


@dataclass(frozen=True)
class HallSize:
    """The house: from the stage's front edge to its back wall, and from wall to wall."""

    length_m: float
    width_m: float


@dataclass(frozen=True)
class LightRange:
    """Light on stage in lux: the dimmest state that must be usable, and the brightest."""

    dim_lux: float
    bright_lux: float
    is_measured: bool


@dataclass(frozen=True)
class SongAnswer:
    """A song with its length; None where nobody has timed it."""

    name: str
    length_s: float | None


@dataclass(frozen=True)
class RunAnswer:
    """A pass: closed, or a show with the audience in from the doors on."""

    name: str
    start: datetime
    end: datetime | None
    doors: datetime | None
    is_show: bool


@dataclass(frozen=True)
class CrewAnswer:
    """Somebody who films or helps."""

    name: str
    skills: tuple[str, ...]
    is_skilled: bool
    is_first_time: bool


@dataclass(frozen=True)
class Performer:
    """Somebody, or some people, on stage, where they stand and what is asked of a picture."""

    name: str
    what: str
    """Kind of performer of the table, or 'other'."""
    count: int
    x_m: float
    y_m: float


@dataclass(frozen=True)
class Answers:
    """Every answer."""

    kind: str
    title: str
    venue: str
    stage: StageSize
    hall: HallSize
    audience: Audience
    balcony_m: float | None
    """Height of its floor over the house floor; None without one."""
    floor: str
    """What the stage is built of."""
    mains_hz: Literal[50, 60]
    light: LightRange
    passes: tuple[RunAnswer, ...]
    crew: tuple[CrewAnswer, ...]
    songs: tuple[SongAnswer, ...]
    plot: tuple[Performer, ...]
    kit: str | None
    """Path of the kit, seen from the shoot file; None for the inventory."""
