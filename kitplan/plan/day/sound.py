"""Records of the sound: which units record it, on what, and whose recording is the master."""

from __future__ import annotations

from typing import Literal

from kitplan.gear.records import NotNegative, Record

Lack = Literal["card", "battery", "mains"]


class SoundRun(Record):
    """A sound setup in a pass."""

    pass_id: str
    setup: str
    recorder: str | None
    """Unit id; None where none is free."""
    sources: tuple[str, ...]
    """Unit ids of microphones and feeds."""
    phantom: tuple[str, ...]
    """Those of them that need phantom power."""
    is_on_mains: bool
    batteries: tuple[str, ...] = ()
    cards: tuple[str, ...] = ()
    roll_min: NotNegative
    """How long it has to roll: the pass, with a margin where nobody can reach it."""
    missing: tuple[str, ...] = ()
    """Ids of the items that the kit cannot give it, once for each one: recorder and sources."""
    lacks: tuple[Lack, ...] = ()
    """What it has to run on or to record on and does not have, batteries once for each one."""
    holds: bool
    """Records the whole pass: nothing that it cannot do without is missing, and it lasts."""


class SongMaster(Record):
    """The recording that the edit of a song is laid on."""

    song: str
    pass_id: str | None
    """None where no pass runs the song."""
    setup: str | None
    """The sound setup; None where none records it."""
    letter: str | None
    """The camera whose scratch sound has to do then; None where there is none either."""


class SoundPlan(Record):
    """The sound of all passes."""

    runs: tuple[SoundRun, ...]
    masters: tuple[SongMaster, ...]
