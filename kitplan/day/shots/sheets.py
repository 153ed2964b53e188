"""From the solver's answer to the sheets: rows, cues, fallbacks, and who holds each moment."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitplan.day.shots.model import Sheets
from kitplan.day.shots.moments import Instant
from kitplan.day.shots.reach import Frame, Pair, Reach
from kitplan.day.shots.solve import Answer
from kitplan.options.views import View, alike_views
from kitplan.plan.day.shots import Cue, MomentHeld, ShotSheet, SongShot
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Shoot, Song
from kitplan.shoot.venue import Subject

_TALLER = 1 + 1e-9


def sheet_of(sheets: Sheets, answer: Answer, number: int) -> ShotSheet:
    """Return the sheet of one camera."""
    reach = sheets.reaches[number]
    zone = [frame.held for frame in reach.planned] if reach.kind == "zone" else []
    return ShotSheet(
        pass_id=reach.placement.pass_id,
        letter=reach.placement.letter,
        kind=reach.kind,
        home=reach.frames[0].held,
        zone=tuple(zone),
        songs=tuple(_row(sheets, answer, number, song) for song in reach.songs),
    )


def _row(sheets: Sheets, answer: Answer, number: int, song: Song) -> SongShot:
    reach = sheets.reaches[number]
    frames = {frame.pair: frame for frame in reach.frames}
    shot = frames[answer.shots[number, song.id]]
    around = [
        _frame_held(sheets.reaches[other], answer.shots[other, song.id]).view
        for other in sheets.rows_of(song, on_offer=True)
        if other != number
    ]
    fallback = fallback_of(sheets.brief, reach, shot, around)
    cues = [
        Cue(
            moment=each.moment.name,
            at_s=each.start_s,
            length_s=each.end_s - each.start_s,
            shot=frames[pair].held,
        )
        for each in sheets.instants[song.id]
        if (pair := answer.cues.get((number, song.id, each.number))) is not None
    ]
    return SongShot(
        song=song.id,
        shot=shot.held,
        fallback=None if fallback is None else fallback.held,
        cues=tuple(sorted(cues, key=lambda cue: cue.at_s)),
    )


def _frame_held(reach: Reach, pair: Pair) -> Frame:
    return next(frame for frame in reach.frames if frame.pair == pair)


def fallback_of(brief: Brief, reach: Reach, shot: Frame, around: Sequence[View]) -> Frame | None:
    """Return what a camera goes to if its shot fails: another planned shot, or a wider one of the
    same subject or of what holds it. Best one that is not alike to what others hold; then the home
    shot, then wider ones, then planned ones, then the least wide.

    Args:
        around: What the others that are cut together hold in the song.
    """
    if reach.is_fixed:
        return None
    home, planned = reach.frames[0], reach.planned
    holders = set(_holders(brief.shoot, shot.view.subject))

    def is_wider(frame: Frame) -> bool:
        return frame.view.frame.frame_m > shot.view.frame.frame_m * _TALLER

    found = [
        frame
        for frame in reach.frames
        if frame is not shot
        and (frame in planned or (is_wider(frame) and frame.view.subject.id in holders))
    ]

    def rank(frame: Frame) -> tuple[bool, bool, bool, bool, float]:
        is_alike = bool(alike_views(brief, (frame.view, *around))[0, 1:].any())
        is_new = frame not in planned
        return is_alike, frame is not home, not is_wider(frame), is_new, frame.view.frame.frame_m

    return min(found, key=rank, default=None)


def _holders(shoot: Shoot, subject: Subject) -> Iterator[str]:
    """Yield a subject, what it is part of, and the stage that all performers stand on."""
    if subject.kind != "audience":
        yield from (each.id for each in shoot.subjects if each.kind == "stage")
    following: Subject | None = subject
    known: set[str] = set()
    while following is not None and following.id not in known:
        known.add(following.id)
        yield following.id
        following = shoot.subjects_by_id.get(following.part_of or "")


# -- moments ---------------------------------------------------------------------------------------


def moments_held(sheets: Sheets, answer: Answer, shoot_id: str) -> Iterator[MomentHeld]:
    """Yield who holds each moment, and who is the second: the live pass first, then by letter."""
    for song in sheets.songs:
        for each in sheets.instants[song.id]:
            held = [
                number
                for number in sheets.rows_of(song, on_offer=True)
                if each.is_in_song and holds(sheets, answer, number, each)
            ]
            held.sort(key=lambda number: sheets.reaches[number].worth[song.id] != "live")
            names = [
                (sheets.reaches[n].placement.pass_id, sheets.reaches[n].placement.letter)
                for n in held
            ]
            first, second, *_ = (*names, None, None)
            yield MomentHeld(
                shoot=shoot_id, song=song.id, moment=each.moment.name, first=first, second=second
            )


def holds(sheets: Sheets, answer: Answer, number: int, each: Instant) -> bool:
    """Return whether a camera holds a moment from beginning to end."""
    cues = [
        (other, pair)
        for other in sheets.instants[each.song.id]
        if (pair := answer.cues.get((number, each.song.id, other.number))) is not None
    ]
    if any(each.is_inside(other) and each.is_held_by(pair) for other, pair in cues):
        return True
    is_still = not any(each.is_disturbed_by(other) for other, _ in cues)
    return is_still and each.is_held_by(answer.shots[number, each.song.id])
