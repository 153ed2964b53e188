"""Records of the work between passes: jobs with their times, people and things.

The work before the first pass (load-in) and after the last one (get-out) is of the same kind.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from kitplan.gear.records import Record
from kitplan.shoot.times import When, same_clock

Second = Annotated[int, Field(ge=-(10**10), le=10**10)]
"""From the beginning of a gap; beyond three centuries no clock could show it."""

JobKind = Literal[
    "strike", "carry", "build", "frame", "check", "sound", "charge", "copy", "format", "break"
]


class Job(Record):
    """A piece of work of a gap, as it is scheduled."""

    id: str
    kind: JobKind
    letter: str | None = None
    """Camera letter, or the id of a sound setup."""
    position: str | None = None
    units: tuple[str, ...] = ()
    """What is struck, carried, built, charged or copied."""
    start_s: Second
    end_s: Second
    free_s: Second | None = None
    """When its people are free, where it goes on without them."""
    people: tuple[str, ...]
    """Who does it; nobody for what runs by itself once it is started (a charge, a copy)."""
    bay: str | None = None
    """Charger unit and bay (`charger-f-1/2`), laptop (`laptop/1`) or cart (`cart/1`) it takes."""
    after: tuple[str, ...] = ()
    """Jobs that have to be done before."""
    latest_end_s: Second
    """When it may end at the latest with everything still in time and everybody's jobs in this
    order: the difference is its slack."""

    @property
    def hands_free_s(self) -> int:
        """When its people are free."""
        return self.end_s if self.free_s is None else self.free_s

    @property
    def slack_s(self) -> int:
        """How much later it may end."""
        return self.latest_end_s - self.end_s


class GapWork(Record):
    """The work between two passes, before the first one, or after the last one."""

    after: str | None
    """Pass id; None for the load-in."""
    before: str | None
    """Pass id; None for the get-out."""
    begin: When
    gate: When | None
    """When all has to be done: doors, or the start of the next pass; None where nothing waits."""
    reserve_s: Second = 0
    """What the rule `reset_slack` wants to stay free of it."""
    jobs: tuple[Job, ...]
    """By start. Where they do not fit they end too late, or there are none if that did not help."""
    critical: tuple[str, ...]
    """Ids of jobs along the critical path, in order."""
    end_s: Second
    """When the last hand is free."""
    bound_s: Second
    """It cannot be earlier."""
    is_proven: bool
    """In steps of `work_step_min` there is no earlier end."""
    hand_overs: int = 0
    """Jobs on a camera that are taken over by other people than did the one before."""
    hand_overs_bound: int = 0
    """How few there could be at best with an end in the same step."""
    reason: str = ""
    """Why it does not fit before the gate, in plain words; empty when it does."""
    is_too_short: bool = False
    """Proven: there is no way to do it all before the gate."""

    @model_validator(mode="after")
    def _same_clock(self) -> Self:
        same_clock(begin=self.begin, gate=self.gate)
        return self

    @property
    def slack_s(self) -> int | None:
        """Seconds between the last hand and the gate; None without a gate."""
        if self.gate is None:
            return None
        return int((self.gate - self.begin).total_seconds()) - self.end_s


class DayWork(Record):
    """All work between the passes of a plan."""

    gaps: tuple[GapWork, ...]
    """In order of time, with load-in and get-out where they are known."""
    rounds: int = 1
    """How often the allocation was solved until its moves fitted."""
