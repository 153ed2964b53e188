"""The line-up sheet: what all cameras are set to alike, and what each is set to, with boxes."""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.paper.line_up import (
    ORDER,
    common_rows,
    look_words,
    picture_row,
    sound_row,
    sync_words,
)
from kitplan.paper.names import when
from kitplan.paper.pack.blocks import Block, Column, Facts, Fields, Heading, Points, Sheet, Table
from kitplan.paper.pack.source import Source
from kitplan.whatif.line_up import PassLineUp, line_ups

PICTURE = (
    Column("cam", 0.0, is_strong=True),
    Column("body, mode", 3.0),
    Column("lens", 0.0),
    Column("stop", 0.0),
    Column("ISO, bright to dim", 0.0),
    Column("ND", 0.0),
    Column("focus", 2.2),
    Column("stabiliser", 0.0),
    Column("set", 0.0, is_box=True),
    Column("read back", 0.0, is_box=True),
)
SOUND = (
    Column("cam", 0.0, is_strong=True),
    Column("records", 0.0),
    Column("bit rate", 0.0),
    Column("from the stage", 0.0),
    Column("hears it", 1.0),
    Column("clock set", 0.0, is_box=True),
    Column("clap seen", 0.0, is_box=True),
)


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
        shoot, run = source.plan.pass_of(each.pass_id)
        yield Sheet(
            "line-up",
            f"Line-up: {source.names.pass_label(each.pass_id)}",
            tuple(_pass(source, each)),
            lines=(when(shoot, run),),
        )


def _pass(source: Source, each: PassLineUp) -> Iterator[Block]:
    pictures = tuple(_picture(source, each, number) for number in range(len(each.cameras)))
    columns = PICTURE
    if all(row[5] == "none" for row in pictures):  # neutral density is rarely wanted
        columns = (*PICTURE[:5], *PICTURE[6:])
        pictures = tuple((*row[:5], *row[6:]) for row in pictures)
    yield Table(columns, pictures, title="Each body")
    rows = tuple(
        (letter, frame, rate, away, late, "", "")
        for letter, _, frame, rate, away, late in (sound_row(each, line) for line in each.cameras)
    )
    yield Table(SOUND, rows, title="Clocks, claps and scratch sound")
    yield Points(tuple(sync_words(source.names, each)))
    looks = look_words(source.names, each)
    if looks:
        yield Heading("Look at in the real light, on every camera", 2)
        yield Points(tuple(looks), mark="box")


def _picture(source: Source, each: PassLineUp, number: int) -> tuple[str, ...]:
    line = each.cameras[number]
    letter, body, *rest = picture_row(source.names, line)
    return (letter, f"{body}, {line.mode.name}", *rest, "", "")
