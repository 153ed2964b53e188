"""Records of the shot sheets: who frames what in which song."""

from __future__ import annotations

from typing import Literal

from kitplan.gear.records import Record
from kitplan.plan.framing import Framing

SheetKind = Literal["locked-off", "zone", "by-song"]
"""One frame for good; a home shot, a zone and a few exceptions; a shot for every song."""


class SongShot(Record):
    """What a camera holds in one song, and what it falls back on."""

    song: str
    shot: Framing
    fallback: Framing | None


class ShotSheet(Record):
    """What the operator of one camera frames in one pass, in the order of its songs."""

    pass_id: str
    letter: str
    kind: SheetKind
    home: Framing
    """Where it returns to: the main shot, or the one that it holds most."""
    zone: tuple[Framing, ...] = ()
    """For a zone: what the operator may frame freely."""
    songs: tuple[SongShot, ...]
    """A row for every song that the camera films; none for songs in which its operator performs."""


class MomentHeld(Record):
    """Who holds a moment of a song, and who is the second."""

    song: str
    moment: str
    """Its name."""
    first: tuple[str, str] | None
    """Pass id and letter; None where nobody does."""
    second: tuple[str, str] | None


class ShotSheets(Record):
    """All shot sheets of a plan."""

    sheets: tuple[ShotSheet, ...]
    moments: tuple[MomentHeld, ...]
    value: tuple[float, ...]
    """What the goals came to, in order."""
    bound: tuple[float, ...]
    is_proven: bool
