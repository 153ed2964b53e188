"""Records of the work between passes: jobs with their times, people and things."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from kitplan.gear.records import Record

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
    start_s: int
    end_s: int
    people: tuple[str, ...]
    """Who does it; nobody for what runs by itself once it is started (a charge, a copy)."""
    bay: str | None = None
    """Charger unit and bay (`charger-f-1/2`) or laptop (`laptop/1`) that it takes."""
    after: tuple[str, ...] = ()
    """Jobs that have to be done before."""
    latest_end_s: int
    """When it may end at the latest with everything still in time: the difference is its slack."""


class GapWork(Record):
    """The work between two passes."""

    after: str
    """Pass ids."""
    before: str
    begin: datetime
    gate: datetime
    """When all has to be done: doors, or the start of the next pass."""
    jobs: tuple[Job, ...]
    critical: tuple[str, ...]
    """Ids of jobs along the critical path, in order."""
    end_s: int
    """When the last hand is free; the bound says how early it could be at best."""
    bound_s: int
    is_proven: bool
    reason: str = ""
    """Why it does not fit before the gate, in plain words; empty when it does."""


class DayWork(Record):
    """All work between the passes of a plan."""

    gaps: tuple[GapWork, ...]
    rounds: int = 1
    """How often the allocation was solved until its moves fitted."""
