"""The line-up sheet: what all cameras are set to alike, and what each is set to, with boxes."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.drawings.looks import focal_words
from kitplan.paper.layout import joined
from kitplan.paper.line_up import ORDER, common_rows, iso_range, late_words, look_words, sync_words
from kitplan.paper.marks import LEAST_ND_STOPS
from kitplan.paper.pack.blocks import Block, Column, Facts, Fields, Heading, Points, Sheet, Table
from kitplan.paper.pack.source import Source
from kitplan.whatif.line_up import CameraLine, PassLineUp, line_ups

COLUMNS = (
    Column("cam", 0.0, is_strong=True),
    Column("body and mode", 1.0),
    Column("lens", 0.0),
    Column("stop", 0.0),
    Column("ISO", 0.0),
    Column("ND", 0.0),
    Column("focus", 0.0),
    Column("steady", 0.0),
    Column("set", 0.0, is_box=True),
    Column("read back", 0.0, is_box=True),
    Column("clock", 0.0, is_box=True),
)
ND = next(at for at, column in enumerate(COLUMNS) if column.title == "ND")


def sheets(source: Source) -> Iterator[Sheet]:
    """Yield what all cameras share and in which order it is done, then each pass."""
    found = [each for each in line_ups(source.plan) if each.cameras]
    if not found:
        return
    yield Sheet(
        "line-up",
        "Line-up",
        (
            Heading("The same on every camera"),
            Facts(tuple(common_rows(source.names, found))),
            Heading("In this order, all cameras together"),
            Points(ORDER, mark="box"),
            Fields(("Done by", "Read back by")),
        ),
        lines=(source.plan.title,),
    )
    for each in found:
        yield Sheet(
            "line-up",
            f"Line-up: {source.names.pass_label(each.pass_id)}",
            tuple(_pass(source, each)),
            lines=(source.hours(each.pass_id),),
        )


def _pass(source: Source, each: PassLineUp) -> Iterator[Block]:
    yield Facts(tuple(_shared(each)))
    yield _bodies(source, each)
    yield Heading("Clap and sound", 2)
    late = [f"{one.letter} {late_words(one.late_frames)}" for one in each.heard]
    yield Points((f"Scratch sound: {joined(late)}.", *sync_words(source.names, each)))
    looks = look_words(source.names, each)
    if looks:
        yield Heading("Look at in the real light, on every camera", 2)
        yield Points(tuple(looks), mark="box")


def _shared(each: PassLineUp) -> Iterator[tuple[str, str]]:
    if each.balance is not None:
        yield "White balance", f"{each.balance.kelvin} K, fixed on every camera"
    if each.master is not None:
        at = f", {each.master.at}" if each.master.at else ""
        yield "Master sound", f"{each.master.label}{at}"


def _bodies(source: Source, each: PassLineUp) -> Table:
    rows = [_row(source, each, line) for line in each.cameras]
    columns = list(COLUMNS)
    if all(row[ND] == "none" for row in rows):  # it is rarely wanted
        columns.pop(ND)
        rows = [row[:ND] + row[ND + 1 :] for row in rows]
    return Table(tuple(columns), tuple(rows))


def _row(source: Source, each: PassLineUp, line: CameraLine) -> tuple[str, ...]:
    shot, length = line.placement.shot, source.setting.length
    bright, dim = iso_range(shot)
    return (
        line.placement.letter,
        f"{source.names.unit(line.placement.rig.body)}, {_mode(source, each, line)}",
        focal_words(shot.focal_mm),
        f"f/{shot.stop:.2g}",
        f"{bright} to {dim}" if bright < dim else f"{dim}",
        f"{shot.nd_stops:.1f} stops" if shot.nd_stops >= LEAST_ND_STOPS else "none",
        length(shot.focus_m),
        "on" if line.is_steadied else "off",
        *("", "", ""),
    )


def _mode(source: Source, each: PassLineUp, line: CameraLine) -> str:
    """Return mode and bit rate, and the frame where it is larger than what is delivered."""
    delivery, mode = source.plan.pass_of(each.pass_id)[0].delivery, line.mode
    frame = (mode.frame_width_px, mode.frame_height_px)
    is_larger = frame != (delivery.frame_width_px, delivery.frame_height_px)
    larger = f" ({frame[0]} x {frame[1]})" if is_larger else ""
    return f"{mode.name}{larger}, {mode.bit_rate_mbps:g} Mb/s"
