"""Records of the shot sheets: who frames what in which song."""

from __future__ import annotations

from typing import Literal

from kitplan.gear.records import Record
from kitplan.plan.framing import Framing

SheetKind = Literal["locked-off", "safety", "zone", "by-song"]
"""One frame for good, by itself or in somebody's hands; a home shot, a zone and a few exceptions; a
shot for every song."""


class HeldShot(Framing):
    """A framing, and where the lens is set for it."""

    focal_mm: float
    """On the lens scale as it is engraved (without the adapter's factor)."""


class Cue(Record):
    """Inside a song: go to another shot for a moment, then back."""

    moment: str
    """Its name."""
    at_s: float
    """When the shot has to stand, in seconds from the beginning of the song."""
    length_s: float
    shot: HeldShot


class SongShot(Record):
    """What a camera holds in one song, and what it falls back on."""

    song: str
    shot: HeldShot
    fallback: HeldShot | None
    cues: tuple[Cue, ...] = ()
    """In the order of their times."""


class ShotSheet(Record):
    """What the operator of one camera frames in one pass, in the order of its songs."""

    pass_id: str
    letter: str
    kind: SheetKind
    home: HeldShot
    """Where it returns to: the main shot."""
    zone: tuple[HeldShot, ...] = ()
    """For a zone: what the operator may frame freely, the home shot first."""
    songs: tuple[SongShot, ...]
    """A row for every song that the camera films; none for songs in which its operator performs."""


class MomentHeld(Record):
    """Who holds a moment of a song, and who is the second."""

    shoot: str
    song: str
    moment: str
    """Its name."""
    first: tuple[str, str] | None
    """Pass id and letter; None where nobody does."""
    second: tuple[str, str] | None


class ShotSheets(Record):
    """All shot sheets of a plan."""

    sheets: tuple[ShotSheet, ...]
    """One for each placement, by pass and letter."""
    moments: tuple[MomentHeld, ...]
    """One for each moment of each song."""
    value: tuple[float, ...]
    """What the goals came to, in the order of SHOT_GOALS; each the more, the better."""
    bound: tuple[float, ...]
    is_proven: bool


SHOT_GOALS = (
    "musts",
    "wants",
    "nices",
    "second-musts",
    "second-wants",
    "alike",
    "subjects",
    "variety",
    "changes",
    "main",
)
"""Moments held by priority; those that a second camera holds as well; minus pairs of shots that are
alike; subjects seen; different (subject, size) pairs over all songs; minus changes of shot; songs
in which a camera holds its main shot."""
