"""A set list that changes late on the day: songs in another order, dropped, longer or shorter.

No rig moves. The shoot gets the new songs, the plan keeps its placements, and all that follows from
the songs is worked out anew; what no longer holds is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from kitplan.errors import BadInput, Problem
from kitplan.plan.day.shots import HeldShot
from kitplan.plan.records import Plan
from kitplan.produce.day import with_shots
from kitplan.produce.standing import plan_as_it_stands
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.clock import disordered_passes, silent_passes
from kitplan.shoot.records import Moment, Pass, Shoot, Song
from kitplan.whatif.changed import with_shoot
from kitplan.whatif.holding import Gone, faults_of, gone, unheld, unmet
from kitplan.whatif.setlist import Listed
from kitplan.wording import file_name


@dataclass(frozen=True)
class NewHold:
    """A song in which somebody holds something else than before."""

    pass_id: str
    letter: str
    song: str
    before: tuple[HeldShot, ...]
    after: tuple[HeldShot, ...]
    """The song's shot, then the cues."""


@dataclass(frozen=True)
class NewSongs:
    """The plan with other songs, and what that changes."""

    before: Plan
    plan: Plan
    dropped: tuple[Song, ...]
    moments_lost: tuple[tuple[Song, Moment], ...]
    """Moments that lie behind the end of their song now."""
    later_ends: tuple[tuple[Pass, float], ...]
    """Passes that last longer than was planned, with minutes."""
    gone: tuple[Gone, ...]
    unmet: tuple[str, ...]
    """Demands that were met and are not any more, musts first."""
    unheld: tuple[tuple[str, str], ...]
    """Songs and names of moments that somebody held and nobody does any more."""
    holds: tuple[NewHold, ...]


def plan_songs(plan: Plan, order: Sequence[Listed], file: Path) -> NewSongs:
    """Return a plan of one shoot with the songs of an order, every rig where it stands.

    Args:
        file: Where the order comes from, for messages.
    Raises:
        BadInput: If a pass would run no song, or last into the next one.
        PastError: If what stood in a pass that is over is not possible with these songs.
    """
    ((_, shoot),) = plan.shoots.items()
    brief = Brief(shoot, plan.kit)
    changed = with_songs(brief, order)
    faults = [*disordered_passes(changed.shoot), *silent_passes(changed.shoot)]
    if faults:
        problems = [
            Problem(file_name(file), 0, each.wrong, "List other songs or lengths")
            for each in faults
        ]
        raise BadInput(problems)
    after = plan_as_it_stands(changed, plan)
    before = plan if plan.day is not None and plan.day.shots is not None else with_shots(plan)
    listed = {each.song.id for each in order}
    findings = faults_of(plan, after)
    return NewSongs(
        before=before,
        plan=after,
        dropped=tuple(song for song in shoot.songs if song.id not in listed),
        moments_lost=tuple(_moments_lost(order)),
        later_ends=tuple(_later_ends(shoot, changed.shoot)),
        gone=tuple(gone(plan, after, findings)),
        unmet=tuple(unmet(plan, after, findings)),
        unheld=tuple(unheld(before, after)),
        holds=tuple(_new_holds(before, after)),
    )


def with_songs(brief: Brief, order: Sequence[Listed]) -> Brief:
    """Return the brief with the songs of an order and nothing that names another one.

    A pass that is over keeps its length. One to come lasts at least as long as its songs; without a
    given end, exactly so long.
    """
    shoot = brief.shoot
    songs = tuple(map(_as_listed, order))
    known = {song.id for song in songs}
    crew = tuple(
        person.model_copy(
            update={"performs_in": tuple(s for s in person.performs_in if s in known)}
        )
        for person in shoot.crew
    )
    past = shoot.past.model_copy(
        update={
            "stood": tuple(
                stood.model_copy(
                    update={
                        "missed": tuple(s for s in stood.missed if s in known),
                        "held": tuple(row for row in stood.held if row.song in known),
                    }
                )
                for stood in shoot.past.stood
            )
        }
    )
    passes = tuple(_pass_with(shoot, each, songs) for each in shoot.passes)
    return with_shoot(brief, songs=songs, crew=crew, past=past, passes=passes)


def _as_listed(listed: Listed) -> Song:
    song = listed.song
    length_s = song.length_s if listed.length_s is None else listed.length_s
    return song.model_copy(
        update={
            "length_s": length_s,
            "gap_s": song.gap_s if listed.gap_s is None else listed.gap_s,
            "moments": tuple(each for each in song.moments if each.at_s < length_s),
        }
    )


def _pass_with(shoot: Shoot, each: Pass, songs: Sequence[Song]) -> Pass:
    runs = {song.id: each.songs[song.id] for song in songs if song.id in each.songs}
    run = [song for song in songs if runs.get(song.id) != "not-run"]
    end = each.end
    if shoot.past.is_over(each.id):
        end = shoot.end_of(each)
    elif end is not None and run:
        seconds = sum(song.length_s + song.gap_s for song in run) - run[-1].gap_s
        end = max(end, each.start + timedelta(seconds=seconds))
    return each.model_copy(update={"songs": runs, "end": end})


# -- what no longer holds --------------------------------------------------------------------------


def _moments_lost(order: Sequence[Listed]) -> Iterator[tuple[Song, Moment]]:
    for listed in order:
        for moment in listed.song.moments:
            if listed.length_s is not None and moment.at_s >= listed.length_s:
                yield listed.song, moment


def _later_ends(before: Shoot, after: Shoot) -> Iterator[tuple[Pass, float]]:
    for old, new in zip(before.passes, after.passes, strict=True):
        minutes = (after.end_of(new) - before.end_of(old)).total_seconds() / 60
        if minutes > 0:
            yield new, minutes


def _new_holds(before: Plan, after: Plan) -> Iterator[NewHold]:
    """Yield the songs in which a camera holds something else than before."""
    old = _held(before)
    for key, shots in _held(after).items():
        known = old.get(key, ())
        if [(s.subject, s.size) for s in known] != [(s.subject, s.size) for s in shots]:
            yield NewHold(*key, known, shots)


def _held(plan: Plan) -> dict[tuple[str, str, str], tuple[HeldShot, ...]]:
    assert plan.day is not None
    assert plan.day.shots is not None
    return {
        (sheet.pass_id, sheet.letter, row.song): (row.shot, *(cue.shot for cue in row.cues))
        for sheet in plan.day.shots.sheets
        for row in sheet.songs
    }
