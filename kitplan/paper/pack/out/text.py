"""Sheets as plain text of at most 100 characters a line."""

from __future__ import annotations

from collections.abc import Iterable
from functools import singledispatch

from kitplan.paper.layout import blocks, bullet, bullets, heading, paragraph, table_text
from kitplan.paper.pack.blocks import (
    Beside,
    Block,
    Break,
    Caution,
    Checklist,
    Facts,
    Fields,
    Frames,
    Heading,
    Picture,
    Points,
    Sheet,
    Table,
    Tick,
    Words,
)

BOX = "[ ]"
CUT = ("- " * 50).rstrip()
"""A line to cut along."""


def text_of(sheets: Iterable[Sheet]) -> str:
    """Return sheets as text, one under the other."""
    return "\n\n\n".join(_sheet(sheet) for sheet in sheets)


def _sheet(sheet: Sheet) -> str:
    title = f"{sheet.letter}  {sheet.title}" if sheet.letter else sheet.title
    return blocks(heading(title), *map(paragraph, sheet.lines), *map(_text, sheet.blocks))


@singledispatch
def _text(block: Block) -> str:
    raise TypeError(f"no text for {type(block).__name__}")


@_text.register
def _(block: Heading) -> str:
    return heading(block.text, "-") if block.level == 1 else paragraph(block.text)


@_text.register
def _(block: Words) -> str:
    return paragraph(block.text)


@_text.register
def _(block: Points) -> str:
    if block.mark == "dash":
        return bullets(block.lines)
    marks = [BOX if block.mark == "box" else f"{n}." for n in range(1, len(block.lines) + 1)]
    return "\n".join(
        bullet(line, f"{mark} ") for line, mark in zip(block.lines, marks, strict=True)
    )


@_text.register
def _(block: Facts) -> str:
    return table_text(("", ""), block.rows) if block.rows else ""


@_text.register
def _(block: Table) -> str:
    headers = [column.title for column in block.columns]
    rows = [list(row) for row in block.rows]
    if block.has_boxes:
        headers, rows = ["", *headers], [[BOX, *row] for row in rows]
    table = table_text(headers, rows)
    cut = CUT if block.is_slip else ""
    parts = (cut, paragraph(block.title), table, paragraph(block.foot))
    return "\n".join(part for part in parts if part)


@_text.register
def _(block: Checklist) -> str:
    headers = (
        "",
        "thing",
        f"{' '.join(block.boxes)}:",
        *(column.title for column in block.columns),
    )
    rows = [_tick_cells(line, len(block.boxes)) for line in block.lines]
    blanks = [f"{label}: ____" for label in block.fields]
    foot = "   ".join(part for part in (block.foot, *blanks) if part)
    parts = (block.title, block.lead)
    return "\n".join(
        part
        for part in (*map(paragraph, parts), table_text(headers, rows), paragraph(foot))
        if part
    )


def _tick_cells(line: Tick, num_boxes: int) -> tuple[str, ...]:
    marks = line.marks or ("",) * len(line.units)
    units = "\n".join(
        f"{BOX * num_boxes} {unit} {mark}".rstrip()
        for unit, mark in zip(line.units, marks, strict=True)
    )
    return (f"{len(line.units)}", line.what, units, *line.more)


@_text.register
def _(block: Picture) -> str:
    said = f"[{block.words}] {block.caption}".rstrip()
    return "\n".join(part for part in (paragraph(said), bullets(block.lines)) if part)


@_text.register
def _(block: Frames) -> str:
    return blocks(*("\n".join(map(paragraph, (cell.title, *cell.lines))) for cell in block.cells))


@_text.register
def _(block: Caution) -> str:
    return blocks(paragraph(f"CAUTION: {block.title}"), bullets(block.lines))


@_text.register
def _(block: Fields) -> str:
    if block.is_in_row:
        blanks = (f"{label}: ____" for label in block.labels)
        return paragraph("   ".join(part for part in (block.lead, *blanks) if part))
    lines = (f"{label}: {'_' * 24}" for label in block.labels)
    return "\n".join(part for part in (paragraph(block.lead), *lines) if part)


@_text.register
def _(block: Beside) -> str:
    return blocks(*map(_text, (*block.left, *block.right)))


@_text.register
def _(block: Break) -> str:  # noqa: ARG001  (the dispatch needs it)
    return ""
