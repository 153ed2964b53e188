"""What `compare`, `fallback` and `gains` have answered, as far as papers print it.

Further keys of those answers are for other programs and are not read.
"""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict, Field

from kitplan.gear.records import Record


class Answer(Record):
    """Plain data as a command has printed it; further keys are for other programs."""

    model_config = ConfigDict(frozen=True, extra="ignore")


class Amounts(Answer):
    """What a schedule comes to, in figures."""

    cameras: tuple[int, ...]
    viewpoints: int
    thinnest: int
    musts_met: int
    wants_met: int
    reset_min: float
    crew_hours: float
    kilograms: float


class ScheduleAnswer(Answer):
    """One schedule."""

    label: str
    passes: tuple[str, ...]
    figures: Amounts | None
    same_angle_every_s: float | None = None
    uncovered_s: float | None = None
    words: dict[str, str]
    """The rows of its column in the comparison."""
    reason: str = ""


class SchedulesAnswer(Answer):
    """All schedules of a shoot side by side."""

    schedules: tuple[ScheduleAnswer, ...] = Field(min_length=1)
    why: tuple[str, ...]


class Reply(Answer):
    """What is done in one pass."""

    label: str
    """Name of the pass; empty for what holds in all of them."""
    lines: tuple[str, ...]


class LossAnswer(Answer):
    """A single loss, what to do, what it costs."""

    kind: Literal["item", "person", "position", "pass"]
    label: str
    do: tuple[Reply, ...]
    costs: tuple[str, ...]


class FallbackAnswer(Answer):
    """Every single loss."""

    losses: tuple[LossAnswer, ...]


class WorthAnswer(Answer):
    """What one more thing, or two, would add."""

    label: str
    what: str
    price: float | None = None
    says: str
    """What comes with it, in words; empty where nothing does, or where it is not known."""
    is_proven: bool = True


class GainsAnswer(Answer):
    """What each thing is worth."""

    gains: tuple[WorthAnswer, ...]
    pairs: tuple[WorthAnswer, ...]
    hired: tuple[str, ...] = ()
