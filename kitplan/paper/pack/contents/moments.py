"""The moments list: who holds each moment of each song, who is the second, what nobody holds."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Block, Caution, Column, Sheet, Table
from kitplan.paper.pack.source import Source
from kitplan.paper.shots import NOBODY_WHY, MomentRow, clock, moment_rows

COLUMNS = (
    Column("song", 1.7),
    Column("moment", 1.8, is_strong=True),
    Column("in the song", 0.0),
    Column("asks for", 1.8),
    Column("", 0.0),
    Column("held by", 0.0, is_strong=True),
    Column("second", 0.0),
)
NOBODY = "NOBODY"


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield the moments of each shoot; none where no song has any, or shots were left out."""
    shots = source.day.shots
    if shots is None:
        return
    rows = moment_rows(source.plan, shots)
    for shoot_id, shoot in source.plan.shoots.items():
        own = [row for row in rows if row.held.shoot == shoot_id]
        if own:
            yield Sheet("moments", "Moments", tuple(_blocks(source, own)), lines=(shoot.title,))


def _blocks(source: Source, rows: list[MomentRow]) -> Iterator[Block]:
    missed = [row for row in rows if row.held.first is None]
    if missed:
        yield Caution(f"Nobody holds {len(missed)} of {len(rows)}", tuple(map(_missed, missed)))
    held = len(rows) - len(missed)
    second = sum(row.held.second is not None for row in rows)
    foot = f"{held} of {len(rows)} held, {second} by a second camera as well"
    yield Table(COLUMNS, tuple(_row(source, row) for row in rows), foot=foot)


def _missed(row: MomentRow) -> str:
    return (
        f"{row.moment.priority.upper()}: {row.moment.name}, {row.song.label} at "
        f"{clock(row.moment.at_s)}: {NOBODY_WHY}."
    )


def _row(source: Source, row: MomentRow) -> tuple[str, ...]:
    shoot = source.plan.shoots[row.held.shoot]
    number = shoot.songs.index(row.song) + 1
    moment = row.moment
    return (
        f"{number} {row.song.label}",
        moment.name,
        f"{clock(moment.at_s)} to {clock(moment.at_s + moment.length_s)}",
        row.asks_for,
        moment.priority,
        _camera(source.names, row.held.first) or NOBODY,
        _camera(source.names, row.held.second),
    )


def _camera(names: Names, held: tuple[str, str] | None) -> str:
    """Return a camera with its operator and pass; nothing for nobody."""
    if held is None:
        return ""
    pass_id, letter = held
    placement = next(p for p in names.plan.placements_in(pass_id) if p.letter == letter)
    return f"{letter}, {names.operator(placement)}, {names.pass_label(pass_id)}"
