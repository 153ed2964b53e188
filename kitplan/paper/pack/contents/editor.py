"""The editor's hand-off: what the person needs who cuts it, weeks later and without the crew.

The songs and their master sound, the angles and where each may stand, where clips break, which card
holds what. All as planned: what went otherwise is on the restart sheets and the media log.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from itertools import groupby

from kitplan.paper.clips import ClipRow, clips_of, folder_of
from kitplan.paper.coverage import uncovered_words
from kitplan.paper.layout import counted, joined
from kitplan.paper.line_up import balances_words
from kitplan.paper.marks import speed
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import (
    Block,
    Column,
    Facts,
    Heading,
    Points,
    Sheet,
    Table,
    Words,
)
from kitplan.paper.pack.contents.editor_angles import angle_blocks, moment_blocks, song_tables
from kitplan.paper.pack.source import Source
from kitplan.paper.restarts import LIMITS
from kitplan.paper.shots import clock, ranges
from kitplan.paper.worth import promise
from kitplan.plan.day.sound import SongMaster
from kitplan.shoot.records import Shoot
from kitplan.whatif.line_up import line_ups, weakest_body

TITLE = "Editor's hand-off"
PASSES_A_TABLE = 5
WORTH = {"live": "live", "locks": "locks", "inserts": "inserts", "none": "-"}
SYNC = (
    "Every recorder runs on one clock: begin with the time of day in the file.",
    "One clap before the downbeat, in sight of all cameras; one more before they stop. The second "
    "shows the drift.",
    "After each break a clip has no clap of its own: put it in step by its scratch sound, then "
    "look at a stick or a bow.",
    "Scratch sound is late by the way that sound travels: move it by the frames given with each "
    "camera.",
)


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the hand-off: overview, angles, songs by cameras, clips."""
    if not source.plan.placements:
        return
    names = source.names
    yield _sheet(source, TITLE, _overview(source))
    yield _sheet(source, f"{TITLE}: angles", angle_blocks(source))
    shots = tuple(song_tables(names))
    if shots:
        yield _sheet(source, f"{TITLE}: shots by song", (*shots, *moment_blocks(names)))
    clips = tuple(_clip_tables(source))
    if clips:
        yield _sheet(source, f"{TITLE}: clips by card", clips)


def _sheet(source: Source, title: str, blocks: Iterable[Block]) -> Sheet:
    return Sheet("editor", title, tuple(blocks), lines=(source.plan.title,))


# -- overview --------------------------------------------------------------------------------------


def _overview(source: Source) -> Iterator[Block]:
    names = source.names
    yield Words(
        "As planned. What went otherwise is on the restart sheets and the media log: ask for them "
        "with the disks."
    )
    yield Facts(tuple(_as_shot(names)))
    for shoot_id, shoot in names.plan.shoots.items():
        yield from _songs(source, shoot_id, shoot)
    yield Heading("What stands where", 2)
    yield Points(tuple(_pass_words(names)))
    yield Heading("Sync", 2)
    yield Points(SYNC)
    yield from _gaps(names)


def _as_shot(names: Names) -> Iterator[tuple[str, str]]:
    plan = names.plan
    deliveries = {shoot.delivery for shoot in plan.shoots.values()}
    rates = joined(sorted({f"{each.frame_rate_fps:g}" for each in deliveries}))
    sizes = joined(sorted({f"{d.frame_width_px} x {d.frame_height_px}" for d in deliveries}))
    yield "Frame rate", f"{rates} frames a second on every camera"
    larger = joined(list(_larger(names)))
    yield "Frame size", f"{sizes}; larger: {larger}" if larger else f"{sizes} on every camera"
    yield "Shutter", speed(plan.shutter_s)
    yield "White balance", balances_words(names, line_ups(plan))
    if (weakest := weakest_body(plan)) is not None:
        body = plan.kit.items_by_id[weakest.body].name
        yield "Look", f"plain standard look of the {body}, the others matched to it; no log"


def _larger(names: Names) -> Iterator[str]:
    """Yield the cameras that record a larger frame than is delivered: it may be cropped."""
    for each in line_ups(names.plan):
        shoot, _ = names.plan.pass_of(each.pass_id)
        for line in each.cameras:
            mode = line.mode
            if mode.frame_width_px > shoot.delivery.frame_width_px:
                frame = f"{mode.frame_width_px} x {mode.frame_height_px}"
                yield f"{line.placement.letter} in {names.pass_label(each.pass_id)} ({frame})"


def _songs(source: Source, shoot_id: str, shoot: Shoot) -> Iterator[Block]:
    """Which passes run each song, what they are good for, and whose sound it is laid on."""
    names = source.names
    masters = {m.song: m for m in _masters(names) if _is_of(names, m, shoot_id)}
    sounds = [_sound_words(names, masters.get(song.id)) for song in shoot.songs]
    is_one = len(set(sounds)) == 1
    yield Heading("Songs and their master" if len(names.plan.shoots) == 1 else shoot.title, 2)
    if is_one:
        yield Facts((("Master sound of every song", sounds[0] or _scratch(shoot)),))
    ids = [f"{shoot_id}/{each.id}" for each in shoot.passes]
    for first in range(0, len(ids), PASSES_A_TABLE):
        some = ids[first : first + PASSES_A_TABLE]
        rows = tuple(
            (
                f"{number}",
                song.label,
                clock(song.length_s),
                *(WORTH[names.plan.worth.get(each, {}).get(song.id, "none")] for each in some),
                *((sound,) if not is_one else ()),
            )
            for number, (song, sound) in enumerate(zip(shoot.songs, sounds, strict=True), 1)
        )
        columns = (
            Column("", 0.0, "right"),
            Column("song", 3.0, is_strong=True),
            Column("length", 0.0, "right"),
            *(Column(names.pass_label(each), 1.2) for each in some),
            *((Column("master sound", 2.0),) if not is_one else ()),
        )
        yield Table(columns, rows)


def _scratch(shoot: Shoot) -> str:
    return f"{shoot.master.label}: no recorder, only the scratch sound of its cameras"


def _masters(names: Names) -> tuple[SongMaster, ...]:
    day = names.plan.day
    return day.sound.masters if day and day.sound else ()


def _is_of(names: Names, master: SongMaster, shoot_id: str) -> bool:
    if master.pass_id is not None:
        return master.pass_id.startswith(f"{shoot_id}/")
    return master.song in names.plan.shoots[shoot_id].songs_by_id


def _sound_words(names: Names, master: SongMaster | None) -> str:
    """'Show: Desk mix (recorder-4-1)'."""
    if master is None or master.pass_id is None:
        return ""
    shoot, _ = names.plan.pass_of(master.pass_id)
    label = names.pass_label(master.pass_id)
    if master.setup is None:
        return f"{label}: scratch sound of camera {master.letter}" if master.letter else "none"
    setup = next(one.label for one in shoot.sound if one.id == master.setup)
    return f"{label}: {setup}"


def _pass_words(names: Names) -> Iterator[str]:
    for pass_id in names.plan.pass_ids():
        if names.plan.placements_in(pass_id):
            yield f"{names.pass_label(pass_id)}. {promise(names, pass_id)}"


def _gaps(names: Names) -> Iterator[Block]:
    day = names.plan.day
    if day is None or day.cover is None or day.rolls is None:
        return
    uncovered = (uncovered_words(names, each) for each in day.cover.uncovered)
    lines = [f"{what} ({cause})." for what, cause in uncovered]
    if day.cover.is_throughout:
        lines.append("None: a usable shot rolls in every second of every song.")
    for pass_id in names.plan.pass_ids():
        shoot, _ = names.plan.pass_of(pass_id)
        blind: dict[str, set[str]] = {}
        for each in day.rolls.blind:
            if each.pass_id == pass_id:
                blind.setdefault(each.letter, set()).add(each.song)
        words = [f"{letter} in {_numbers(shoot, blind[letter])}" for letter in sorted(blind)]
        if words:
            label = names.pass_label(pass_id)
            lines.append(f"{label}: cameras that stop within songs, by number: {'; '.join(words)}.")
    yield Heading("Gaps in cover", 2)
    yield Points(tuple(lines))


def _numbers(shoot: Shoot, songs: Collection[str]) -> str:
    return ranges([number for number, song in enumerate(shoot.songs, 1) if song.id in songs])


# -- clips -----------------------------------------------------------------------------------------


def _clip_tables(source: Source) -> Iterator[Block]:
    names = source.names
    day = names.plan.day
    if day is None or day.rolls is None:
        return
    yield Words(
        "One folder for each card, named by pass, camera letter and card. Times are those of the "
        "camera's clock; songs by their numbers."
    )
    for pass_id, found in groupby(clips_of(names), key=lambda row: row.pass_id):
        shoot, _ = names.plan.pass_of(pass_id)
        clips = list(found)
        rows = [_clip_row(source, shoot, row) for row in clips]
        columns: tuple[Column, ...] = (
            Column("cam", 0.0, is_strong=True),
            Column("clip", 0.0, "right"),
            Column("folder", 1.8),
            Column("from", 0.0),
            Column("to", 0.0),
            Column("songs", 1.0),
        )
        if any(row[-1] for row in rows):
            columns = (*columns, Column("breaks", 2.4))
        cards = {(row.letter, row.card) for row in clips}
        yield Table(
            columns,
            tuple(row[: len(columns)] for row in rows),
            title=names.pass_label(pass_id),
            foot=f"{counted(len(clips), 'clip')} on {counted(len(cards), 'card')}",
        )
    yield from _sound_table(names)


def _clip_row(source: Source, shoot: Shoot, row: ClipRow) -> tuple[str, ...]:
    words = []
    if row.broken is not None:
        song = shoot.songs_by_id[row.broken].label
        cause = f" ({LIMITS[row.ends_by]})" if row.ends_by in LIMITS else ""
        words.append(f"in {song} at {clock(row.broken_at_s)}{cause}")
    if row.files > 1:
        words.append(f"{row.files} files, to be joined")
    return (
        row.letter,
        f"{row.number}",
        folder_of(source.names, row.pass_id, row.letter, row.card),
        source.setting.second(row.begin),
        source.setting.second(row.end),
        _numbers(shoot, row.songs),
        "; ".join(words),
    )


def _sound_table(names: Names) -> Iterator[Block]:
    day = names.plan.day
    runs = day.sound.runs if day and day.sound else ()
    rows = tuple(
        (
            folder_of(names, run.pass_id, run.setup, card),
            names.unit(run.recorder),
            joined([names.unit(unit) for unit in run.sources]),
        )
        for run in runs
        if run.recorder is not None
        for card in run.cards or (None,)
    )
    if rows:
        columns = (Column("folder", 2.0, is_strong=True), Column("on", 1.5), Column("from", 3.0))
        yield Table(columns, rows, title="Sound")
