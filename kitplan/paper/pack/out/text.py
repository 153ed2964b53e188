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
    Facts,
    Fields,
    Frames,
    Heading,
    Picture,
    Points,
    Sheet,
    Table,
    Words,
)

BOX = "[ ]"


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
    rows = [
        [
            f"{BOX} {cell}".rstrip() if column.is_box else cell
            for cell, column in zip(row, block.columns, strict=True)
        ]
        for row in block.rows
    ]
    if block.has_boxes:
        headers, rows = ["", *headers], [[BOX, *row] for row in rows]
    table = table_text(headers, rows)
    return "\n".join(
        part for part in (paragraph(block.title), table, paragraph(block.foot)) if part
    )


@_text.register
def _(block: Picture) -> str:
    return paragraph(f"[{block.caption or block.words}]")


@_text.register
def _(block: Frames) -> str:
    return blocks(*("\n".join(map(paragraph, (cell.title, *cell.lines))) for cell in block.cells))


@_text.register
def _(block: Caution) -> str:
    return blocks(paragraph(f"CAUTION: {block.title}"), bullets(block.lines))


@_text.register
def _(block: Fields) -> str:
    return "\n".join(f"{label}: {'_' * 24}" for label in block.labels)


@_text.register
def _(block: Beside) -> str:
    return blocks(*map(_text, (*block.left, *block.right)))


@_text.register
def _(block: Break) -> str:  # noqa: ARG001  (the dispatch needs it)
    return ""
