"""Shot sheets on paper: for each camera what to hold in which song, and who holds each moment."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.names import Names, when
from kitplan.plan.day.shots import (
    SHOT_GOALS,
    Cue,
    HeldShot,
    MomentHeld,
    ShotSheet,
    ShotSheets,
    SongShot,
)
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.records import Moment, Pass, Shoot, Song

SIGNALS = (
    "Leave a usable shot at all times: recompose between phrases, one camera at a time. "
    "Hold, then a small slow move, and hold again."
)

NOBODY_WHY = "no live camera that may leave its shot frames it tight enough"


@dataclass(frozen=True)
class Wanted:
    """Which sheets are asked for."""

    pass_name: str | None = None
    camera: str | None = None

    @property
    def is_all(self) -> bool:
        """Whether nothing is left out."""
        return self.pass_name is None and self.camera is None


def shots_text(plan: Plan, sheets: ShotSheets, wanted: Wanted) -> str:
    """Return the shot sheets on a page; with all of them who holds the moments, and what nobody
    holds.

    Raises:
        SettingError: If there is no such pass or camera.
    """
    names = Names(plan)
    parts = [heading(f"Shot sheets: {plan.title}"), paragraph(SIGNALS)]
    for pass_id, found in _by_pass(names, sheets, wanted):
        shoot, each = plan.pass_of(pass_id)
        title = f"{names.pass_label(pass_id)}: {when(shoot, each)}"
        parts.append(heading(title, "-"))
        parts += [_sheet_text(names, shoot, each, sheet) for sheet in found]
    if wanted.is_all:
        parts += [_moments_text(names, sheets), _missing_text(plan, sheets), _proof_text(sheets)]
    return blocks(*parts)


def shots_records(plan: Plan, sheets: ShotSheets, wanted: Wanted) -> dict[str, Any]:
    """Return the same as plain data.

    Raises:
        SettingError: If there is no such pass or camera.
    """
    found = [s for _, own in _by_pass(Names(plan), sheets, wanted) for s in own]
    records: dict[str, Any] = {"sheets": [sheet.model_dump() for sheet in found]}
    if wanted.is_all:
        records["moments"] = [row.model_dump() for row in sheets.moments]
        records["unseen"] = [list(each) for each in _unseen(plan, sheets)]
        records["value"] = dict(zip(SHOT_GOALS, sheets.value, strict=True))
        records["bound"] = dict(zip(SHOT_GOALS, sheets.bound, strict=True))
        records["is_proven"] = sheets.is_proven
    return records


def _by_pass(
    names: Names, sheets: ShotSheets, wanted: Wanted
) -> Iterator[tuple[str, list[ShotSheet]]]:
    """Yield the sheets that are asked for, by pass and letter."""
    from kitplan.errors import SettingError
    from kitplan.wording import hint

    passes = names.pass_ids(wanted.pass_name)
    letter = wanted.camera
    known = {sheet.letter for sheet in sheets.sheets if sheet.pass_id in passes}
    if letter is not None and letter.casefold() not in {each.casefold() for each in known}:
        raise SettingError(
            f"there is no camera {letter!r}", where="--camera", fix=hint(letter, sorted(known))
        )
    for pass_id in passes:
        own = [
            sheet
            for sheet in sheets.sheets
            if sheet.pass_id == pass_id
            and (letter is None or sheet.letter.casefold() == letter.casefold())
        ]
        if own:
            yield pass_id, sorted(own, key=lambda sheet: sheet.letter)


# -- one sheet -------------------------------------------------------------------------------------


def _sheet_text(names: Names, shoot: Shoot, each: Pass, sheet: ShotSheet) -> str:
    placement = _placement(names.plan, sheet)
    place, who = names.place(placement), names.operator(placement)
    title = f"Camera {sheet.letter}: {place}, {who}"
    home = _shot(shoot, sheet.home)
    if sheet.kind == "locked-off":
        return blocks(paragraph(f"{title}: {home}, one frame for good."))
    if sheet.kind == "safety":
        words = f"Safety shot: {home}, throughout. Never leave it: everybody else may."
        return blocks(
            paragraph(title), paragraph(words, "  "), _away_text(names, shoot, each, sheet)
        )
    role = f" ({asked})" if (asked := names.roles(placement)) else ""
    if sheet.kind == "zone":
        zone = joined([_framing(shoot, shot) for shot in sheet.zone])
        away = sum(_pair(row.shot) != _pair(sheet.home) for row in sheet.songs)
        away += sum(len(row.cues) for row in sheet.songs)
        words = f"Home shot: {home}{role}. Zone: {zone}. {counted(away, 'exception')}."
    else:
        words = f"Home shot: {home}{role}. A shot for every song."
    return blocks(
        paragraph(title),
        paragraph(words, "  "),
        _rows_text(shoot, sheet),
        _away_text(names, shoot, each, sheet),
    )


def _rows_text(shoot: Shoot, sheet: ShotSheet) -> str:
    """The songs as a table; neighbours with the same shot and no cues share a line."""
    number_of = {song.id: number for number, song in enumerate(shoot.songs, start=1)}
    rows = []
    for (_, _, is_plain), found in groupby(sheet.songs, key=_line_key):
        group = list(found)
        for line in [group] if is_plain else [[row] for row in group]:
            labels = [shoot.songs_by_id[row.song].label for row in (line[0], line[-1])]
            first = line[0]
            rows.append(
                (
                    ranges([number_of[row.song] for row in line]),
                    labels[0] if len(line) == 1 else f"{labels[0]} to {labels[1]}",
                    _shot(shoot, first.shot),
                    "\n".join(_cue(shoot, cue) for cue in first.cues),
                    "" if first.fallback is None else _shot(shoot, first.fallback),
                )
            )
    headers = ("", "song", "hold", "in the song", "if it fails")
    used = [at for at in range(len(headers)) if any(row[at] for row in rows)]
    return table_text([headers[at] for at in used], [[row[at] for at in used] for row in rows])


def ranges(numbers: Sequence[int]) -> str:
    """Return rising numbers as they are read: '1-4, 6'."""
    parts: list[list[int]] = []
    for number in numbers:
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(f"{p[0]}" if len(p) == 1 else f"{p[0]}-{p[-1]}" for p in parts)


def _line_key(row: SongShot) -> tuple[Any, Any, bool]:
    fallback = None if row.fallback is None else _pair(row.fallback)
    return _pair(row.shot), fallback, not row.cues


def _away_text(names: Names, shoot: Shoot, each: Pass, sheet: ShotSheet) -> str:
    """The songs of a pass that a camera does not film, and why."""
    placement = _placement(names.plan, sheet)
    person = shoot.crew_by_id.get(placement.operator or "")
    filmed = {row.song for row in sheet.songs}
    missing = [song for song in shoot.run_songs(each) if song.id not in filmed]
    performs = [s.label for s in missing if person is not None and s.id in person.performs_in]
    others = [s.label for s in missing if s.label not in performs]
    return bullets(
        [
            *([f"{names.operator(placement)} is on stage in {joined(performs)}."] * bool(performs)),
            *([f"Missed: {joined(others)}."] * bool(others)),
        ]
    )


def _placement(plan: Plan, sheet: ShotSheet) -> Placement:
    return next(
        p for p in plan.placements if (p.pass_id, p.letter) == (sheet.pass_id, sheet.letter)
    )


def _pair(shot: HeldShot) -> tuple[str, str]:
    return shot.subject, shot.size


def _framing(shoot: Shoot, shot: HeldShot) -> str:
    return f"{shoot.subjects_by_id[shot.subject].label} {shot.size}"


def _shot(shoot: Shoot, shot: HeldShot) -> str:
    """'Solo cornet MS, 112 mm'."""
    focal = f"{shot.focal_mm:.0f}" if shot.focal_mm >= 20 else f"{shot.focal_mm:.3g}"
    return f"{_framing(shoot, shot)}, {focal} mm"


def clock(seconds: float) -> str:
    """Return minutes and seconds: '1:35'."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def _cue(shoot: Shoot, cue: Cue) -> str:
    end = clock(cue.at_s + cue.length_s)
    return f"{clock(cue.at_s)} to {end} {_shot(shoot, cue.shot)} ({cue.moment})"


# -- moments ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class MomentRow:
    """A moment of a song, and who holds it."""

    held: MomentHeld
    song: Song
    moment: Moment
    asks_for: str
    """Subject and size."""


def moment_rows(plan: Plan, sheets: ShotSheets) -> list[MomentRow]:
    """Return the moments of all songs, in their order."""
    rows = []
    for held in sheets.moments:
        shoot = plan.shoots[held.shoot]
        song = shoot.songs_by_id[held.song]
        moment = next(each for each in song.moments if each.name == held.moment)
        subject = shoot.subjects_by_id[moment.subject].label
        rows.append(MomentRow(held, song, moment, f"{subject} {moment.size}"))
    return rows


def _moments_text(names: Names, sheets: ShotSheets) -> str:
    rows = [
        (
            row.song.label,
            row.moment.name,
            clock(row.moment.at_s),
            row.asks_for,
            row.moment.priority,
            _camera(names, row.held.first) or "nobody",
            _camera(names, row.held.second),
        )
        for row in moment_rows(names.plan, sheets)
    ]
    if not rows:
        return ""
    table = table_text(("song", "moment", "at", "asks for", "", "held by", "second"), rows)
    return blocks(heading("Moments", "-"), table)


def _camera(names: Names, name: tuple[str, str] | None) -> str:
    return "" if name is None else f"{name[1]}, {names.pass_label(name[0])}"


def _missing_text(plan: Plan, sheets: ShotSheets) -> str:
    lines = []
    for row in moment_rows(plan, sheets):
        if row.held.first is None:
            lines.append(
                f"{row.moment.priority.upper()}: '{row.moment.name}' in {row.song.label} at "
                f"{clock(row.moment.at_s)}: {NOBODY_WHY}."
            )
    lines += [
        f"{label} has no shot of its own that can stand in the edit."
        for _, label in _unseen(plan, sheets)
    ]
    return blocks(heading("What nobody holds", "-"), bullets(lines)) if lines else ""


def _unseen(plan: Plan, sheets: ShotSheets) -> Sequence[tuple[str, str]]:
    """Subjects of each shoot that no shot or cue shows where the edit can use it, with names."""
    seen = {
        (sheet.pass_id.partition("/")[0], shot.subject)
        for sheet in sheets.sheets
        for row in sheet.songs
        if plan.worth.get(sheet.pass_id, {}).get(row.song) in ("live", "locks")
        for shot in (row.shot, *(cue.shot for cue in row.cues))
    }
    return [
        (subject.id, subject.label)
        for shoot_id, shoot in plan.shoots.items()
        for subject in shoot.subjects
        if (shoot_id, subject.id) not in seen
    ]


def _proof_text(sheets: ShotSheets) -> str:
    value = dict(zip(SHOT_GOALS, sheets.value, strict=True))
    bound = dict(zip(SHOT_GOALS, sheets.bound, strict=True))
    open_ = [
        f"{goal} {value[goal]:g}, at best {bound[goal]:g}"
        for goal in SHOT_GOALS
        if value[goal] != bound[goal]
    ]
    alike = int(-value["alike"])
    words = (
        f"Changes of shot: {-value['changes']:g}. Different shots over all songs: "
        f"{value['variety']:g}. Two cameras on one viewpoint in a song: "
        f"{counted(alike, 'time') if alike else 'never'}."
    )
    proof = "Proven best." if not open_ else f"Best found, not proven: {'; '.join(open_)}."
    return bullets([words, proof])
