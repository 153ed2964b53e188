"""The editor's hand-off, second part: the angles of all passes, what each shows in which song."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitplan.paper.layout import joined
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Block, Column, Heading, Picture, Table, Words
from kitplan.paper.pack.source import Source
from kitplan.paper.shots import clock, moment_rows, ranges
from kitplan.plan.day.shots import HeldShot, ShotSheet
from kitplan.plan.records import Placement
from kitplan.shoot.records import Shoot, Song
from kitplan.whatif.line_up import line_ups
from kitplan.whatif.pairs import Pair, angles, pairs

CAMERAS_A_TABLE = 4
JUMP, CLOSE = "jump cut: never", "close: on a beat or a move"
ORDER = (JUMP, CLOSE)


def tags_of(names: Names) -> dict[tuple[str, str], str]:
    """Return what each placement is called: its letter, with the number of its pass if need be."""
    passes = [p for p in names.plan.pass_ids() if names.plan.placements_in(p)]
    return {
        (pass_id, placement.letter): placement.letter + (f"{number}" if len(passes) > 1 else "")
        for number, pass_id in enumerate(passes, 1)
        for placement in names.plan.placements_in(pass_id)
    }


# -- angles ----------------------------------------------------------------------------------------


def angle_blocks(source: Source) -> Iterator[Block]:
    """Yield the rose of all angles, the cuts to mind, and where each camera stands."""
    from kitplan.paper.drawings.angle_rose import WIDTH_MM, angle_rose

    names, tags = source.names, tags_of(source.names)
    drawing = angle_rose(names, tags, source.setting.length)
    passes = [p for p in names.plan.pass_ids() if names.plan.placements_in(p)]
    numbers = [f"{n} {names.pass_label(p)}" for n, p in enumerate(passes, 1)]
    key = f" The figure is the pass: {joined(numbers)}." if len(passes) > 1 else ""
    caption = (
        "Round the middle: from which side a camera sees its subject. Outwards: height of its "
        "frame. Filled: operated; open: locked off; with a rim: from far above. Less than a ring "
        f"and a spoke apart is one angle.{key}"
    )
    words = "; ".join(
        f"{tags[p.pass_id, p.letter]} {names.framing(p.pass_id, p.shot)} from {names.place(p)}"
        for p in names.plan.placements
    )
    yield Picture(drawing.svg(), WIDTH_MM, drawing.height_mm, words, caption)
    yield from _pair_blocks(names, tags)
    late = {
        (each.pass_id, one.letter): f"{one.late_frames:.1f} frames"
        for each in line_ups(names.plan)
        for one in each.heard
    }
    for pass_id in passes:
        rows = tuple(
            (
                tags[pass_id, p.letter],
                names.framing(pass_id, p.shot),
                names.place(p),
                names.roles(p) or "free choice",
                names.operator(p),
                late[pass_id, p.letter],
            )
            for p in names.plan.placements_in(pass_id)
        )
        columns = (
            Column("cam", 0.0, is_strong=True),
            Column("shows", 1.5, is_strong=True),
            Column("from", 2.5),
            Column("role", 1.7),
            Column("held by", 0.0),
            Column("hears late by", 0.0, "right"),
        )
        yield Table(columns, rows, title=names.pass_label(pass_id))


def _pair_blocks(names: Names, tags: dict[tuple[str, str], str]) -> Iterator[Block]:
    """Which angles do not cut, or not clearly; all others do. And the upstage reverses."""
    rows: dict[tuple[str, str], list[str]] = {}
    reverses = []
    for shoot_id, shoot in names.plan.shoots.items():
        found = angles(names.plan, shoot_id)
        reverses += [tags[_key(a.placement)] for a in found if a.is_reverse]
        for pair in pairs(shoot, found, below_factor=shoot.rules.size_factor):
            if pair.cut is not None and (how := _how(pair)):
                both = "/".join(sorted(tags[_key(a.placement)] for a in pair.angles))
                rows.setdefault((how, pair.cut.subject.label), []).append(both)
    if rows:
        columns = (
            Column("", 0.0, is_strong=True),
            Column("both show", 1.0),
            Column("cameras", 3.0, is_strong=True),
        )
        cells = ((how, subject, ", ".join(sorted(rows[how, subject]))) for how, subject in rows)
        yield Table(columns, tuple(sorted(cells, key=lambda row: ORDER.index(row[0]))))
    yield Words(
        "Pairs not named here cut clearly, cut in along one axis from wide to close, or show "
        "different subjects."
        if rows
        else "All pairs cut."
    )
    if reverses:
        yield Words(
            f"Upstage reverse: {joined(reverses)}. House left and house right change places there: "
            f"join through a neutral shot, a moving shot, or the audience."
        )


def _how(pair: Pair) -> str:
    """Return what is wrong with cutting from one to the other; nothing where nothing is."""
    if pair.jumps:
        return JUMP
    return CLOSE if pair.cut is not None and not pair.cut.is_clear else ""


def _key(placement: Placement) -> tuple[str, str]:
    return placement.pass_id, placement.letter


# -- shots by song ---------------------------------------------------------------------------------


def song_tables(names: Names) -> Iterator[Block]:
    """Yield for each pass that can stand in the edit what its cameras show in which song."""
    day = names.plan.day
    if day is None or day.shots is None:
        return
    for pass_id in names.plan.pass_ids():
        found = [each for each in day.shots.sheets if each.pass_id == pass_id]
        if found and {"live", "locks"} & set(names.plan.worth[pass_id].values()):
            yield from _pass_tables(names, pass_id, sorted(found, key=lambda s: s.letter))


def _pass_tables(names: Names, pass_id: str, found: Sequence[ShotSheet]) -> Iterator[Block]:
    """The songs of a pass in which it can stand, by the cameras that change their shot."""
    shoot, _ = names.plan.pass_of(pass_id)
    worth = names.plan.worth[pass_id]
    songs = [s for s in shoot.songs if worth.get(s.id) in ("live", "locks")]
    moving = [sheet for sheet in found if _is_moving(sheet)]
    still = [sheet for sheet in found if sheet not in moving]
    is_mixed = len({worth[song.id] for song in songs}) > 1
    worth_words = "live" if worth[songs[0].id] == "live" else "songs that lock"
    label = names.pass_label(pass_id)
    yield Heading(label if is_mixed else f"{label}: {worth_words}", 2)
    if still:
        words = [
            f"{each.letter} {_framing(shoot, each.home)}{_away(shoot, each, songs)}"
            for each in still
        ]
        yield Words(f"One shot throughout: {'; '.join(words)}.")
    for first in range(0, len(moving), CAMERAS_A_TABLE):
        some = moving[first : first + CAMERAS_A_TABLE]
        columns = (
            Column("", 0.0, "right"),
            Column("song", 1.4, is_strong=True),
            *(Column(f"{each.letter}: {_framing(shoot, each.home)}", 2.0) for each in some),
        )
        rows = tuple(
            (
                f"{_number(shoot, song)}",
                f"{song.label} (locks)" if is_mixed and worth[song.id] == "locks" else song.label,
                *(_cell(shoot, each, song) for each in some),
            )
            for song in songs
        )
        yield Table(columns, rows)


def _away(shoot: Shoot, sheet: ShotSheet, songs: Sequence[Song]) -> str:
    """Say in which songs nobody films there."""
    filmed = {row.song for row in sheet.songs}
    missing = [_number(shoot, song) for song in songs if song.id not in filmed]
    return f" (not in {ranges(missing)})" if missing else ""


def _is_moving(sheet: ShotSheet) -> bool:
    return any(row.cues or _pair_of(row.shot) != _pair_of(sheet.home) for row in sheet.songs)


def _pair_of(shot: HeldShot) -> tuple[str, str]:
    return shot.subject, shot.size


def _framing(shoot: Shoot, shot: HeldShot) -> str:
    return f"{shoot.subjects_by_id[shot.subject].label} {shot.size}"


def _number(shoot: Shoot, song: Song) -> int:
    return [each.id for each in shoot.songs].index(song.id) + 1


def _cell(shoot: Shoot, sheet: ShotSheet, song: Song) -> str:
    row = next((each for each in sheet.songs if each.song == song.id), None)
    if row is None:
        return "not filmed"
    is_home = _pair_of(row.shot) == _pair_of(sheet.home)
    parts = ["same" if is_home else _framing(shoot, row.shot)]
    parts += [f"{clock(cue.at_s)} {_framing(shoot, cue.shot)}" for cue in row.cues]
    return "; ".join(parts)


def moment_blocks(names: Names) -> Iterator[Block]:
    """Yield who has each moment, where there are any."""
    day = names.plan.day
    found = moment_rows(names.plan, day.shots) if day and day.shots else []
    tags = tags_of(names)
    rows = tuple(
        (
            row.song.label,
            row.moment.name,
            clock(row.moment.at_s),
            row.asks_for,
            tags[row.held.first] if row.held.first else "nobody",
            tags[row.held.second] if row.held.second else "",
        )
        for row in found
    )
    if rows:
        columns = (
            Column("song", 2.0, is_strong=True),
            Column("moment", 2.0),
            Column("at", 0.0, "right"),
            Column("on", 1.6),
            Column("first", 0.0, is_strong=True),
            Column("second", 0.0),
        )
        yield Table(columns, rows, title="Moments, and who has them")
