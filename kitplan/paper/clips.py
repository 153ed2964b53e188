"""The clips of a plan as an editor finds them: which card, from when to when, which songs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from kitplan.gear.records import Body
from kitplan.paper.names import Names
from kitplan.paper.restarts import rolls_of
from kitplan.paper.timed import clocks
from kitplan.plan.day.rolls import Clip, Ending
from kitplan.plan.records import Placement
from kitplan.plan.verify.day.clocked import Clocked, PassClock


@dataclass(frozen=True)
class ClipRow:
    """One clip of one camera, as it is planned."""

    pass_id: str
    letter: str
    card: str | None
    """Unit id; None where the placement names none."""
    number: int
    """Of the clips of this camera in this pass, from 1."""
    begin: datetime
    end: datetime
    songs: tuple[str, ...]
    """Ids of the songs that are on it, whole or in part."""
    broken: str | None
    """Id of the song within which it ends."""
    broken_at_s: float
    """Seconds from the beginning of that song."""
    ends_by: Ending
    files: int
    """How many files the body makes of it: more than one where it splits long clips."""


def clips_of(names: Names) -> tuple[ClipRow, ...]:
    """Return the clips of a plan that has rolls, by pass, camera and time."""
    rolls = rolls_of(names.plan)
    found: list[ClipRow] = []
    for clock in clocks(names.plan, names.plan.pass_ids()):
        for letter, placement in clock.placements.items():
            mine = [r for r in rolls.rolls if (r.pass_id, r.letter) == (clock.pass_id, letter)]
            for roll in mine:
                found += _rows(names, clock, placement, roll.clips)
    return tuple(found)


def folder_of(names: Names, pass_id: str, letter: str, card: str | None) -> str:
    """Return the folder that a card is copied into: 'show/A/card-128-5'.

    The same letter stands on body, card and folder; with several shoots in a plan, theirs first.
    """
    own = pass_id if len(names.plan.shoots) > 1 else pass_id.partition("/")[2]
    return "/".join([own, letter, *([card] if card else [])])


def _rows(
    names: Names, clock: PassClock, placement: Placement, clips: tuple[Clip, ...]
) -> Iterator[ClipRow]:
    for number, clip in enumerate(clips, 1):
        on_it = [row for row in clock.songs if row.begin < clip.end_s and clip.start_s < row.end]
        broken = _broken(on_it, clip)
        yield ClipRow(
            pass_id=clock.pass_id,
            letter=placement.letter,
            card=clip.card,
            number=number,
            begin=clock.each.start + timedelta(seconds=clip.start_s),
            end=clock.each.start + timedelta(seconds=clip.end_s),
            songs=tuple(row.song.id for row in on_it),
            broken=broken.song.id if broken else None,
            broken_at_s=clip.end_s - broken.begin if broken else 0.0,
            ends_by=clip.ends_by,
            files=_files(names, placement, clip.end_s - clip.start_s),
        )


def _broken(on_it: list[Clocked], clip: Clip) -> Clocked | None:
    """Return the song that is still running when a clip ends."""
    return on_it[-1] if on_it and clip.end_s < on_it[-1].end else None


def _files(names: Names, placement: Placement, seconds: float) -> int:
    body = names.item_of(placement.rig.body)
    assert isinstance(body, Body)  # a whole plan names bodies as bodies
    mode = next((each for each in body.modes if each.name == placement.rig.mode), None)
    if mode is None or mode.clip_limit_min is None or mode.at_limit == "stops":
        return 1
    return max(1, ceil(seconds / (mode.clip_limit_min * 60) - 1e-9))
