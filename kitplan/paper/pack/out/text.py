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
    Cell,
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
from kitplan.paper.pack.out.signs import in_terminal
from kitplan.paper.pack.source import Source

BOX = "[ ]"
BETWEEN = "\n\n\n"
"""Between sheets."""
WIDEST_LABEL = 30
CUT = ("- " * 50).rstrip()
"""A line to cut along."""


def papers_text(source: Source, sheets: Iterable[Sheet]) -> str:
    """Return sheets as text, with the mark of their plan over and under them."""
    mark = f"Plan {source.mark}. Papers with another mark are void."
    title = in_terminal(paragraph(source.plan.title))
    return f"{title}\n\n{mark}{BETWEEN}{text_of(sheets)}{BETWEEN}{mark}\n"


def text_of(sheets: Iterable[Sheet]) -> str:
    """Return sheets as text, one under the other."""
    return in_terminal(BETWEEN.join(map(_sheet, sheets)))


def _sheet(sheet: Sheet) -> str:
    head = heading(f"({sheet.letter}) {sheet.title}" if sheet.letter else sheet.title)
    lines = "\n".join(map(paragraph, sheet.lines))
    return blocks("\n".join(filter(None, (head, lines))), *map(_text, sheet.blocks))


@singledispatch
def _text(block: Block) -> str:
    raise TypeError(f"no text for {type(block).__name__}")


@_text.register
def _(block: Heading) -> str:
    if block.level == 1:
        return heading(block.text, "-")
    text = block.text.strip()
    return paragraph(text if text.endswith((".", ":", "?", "!")) else f"{text}:")


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
    wide = min(max((len(label) for label, _ in block.rows), default=0), WIDEST_LABEL)
    return "\n".join(_fact(label, value, wide) for label, value in block.rows)


def _fact(label: str, value: str, wide: int) -> str:
    """A label and what it stands for; a label that is too long stands on lines of its own."""
    label, value = " ".join(label.split()), " ".join(value.split())
    if len(label) > wide:
        return f"{paragraph(label)}\n{bullet(value, ' ' * (wide + 2))}"
    return bullet(value, f"{label:<{wide}}  ")


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
    table = table_text(headers, rows) if rows else ""
    cut = CUT if block.is_slip else ""
    return _lines(cut, paragraph(block.title), table, paragraph(block.foot))


@_text.register
def _(block: Checklist) -> str:
    boxes = f"{' '.join(block.boxes)}:"
    headers = ("", "thing", boxes, *(column.title for column in block.columns))
    rows = [_tick_cells(line, len(block.boxes)) for line in block.lines]
    foot = _blanks(block.foot, block.fields)
    return _lines(paragraph(block.title), paragraph(block.lead), table_text(headers, rows), foot)


def _tick_cells(line: Tick, num_boxes: int) -> tuple[str, ...]:
    marks = line.marks or ("",) * len(line.units)
    units = "\n".join(
        f"{BOX * num_boxes} {unit} {mark}".rstrip()
        for unit, mark in zip(line.units, marks, strict=True)
    )
    return (f"{len(line.units)}", line.what, units, *line.more)


def _blanks(lead: str, labels: Iterable[str]) -> str:
    """Short lines to be filled in, beside each other."""
    blanks = (f"{label}: ____" for label in labels)
    return paragraph("   ".join(part for part in (lead, *blanks) if part))


def _lines(*parts: str) -> str:
    """Parts under each other; empty ones vanish."""
    return "\n".join(filter(None, parts))


@_text.register
def _(block: Picture) -> str:
    said = f"[{block.words}] {block.caption}".rstrip()
    return _lines(paragraph(said), bullets(block.lines))


@_text.register
def _(block: Frames) -> str:
    return "\n".join(map(_cell, block.cells))


def _cell(cell: Cell) -> str:
    return "\n".join((paragraph(cell.title), *(paragraph(line, "  ") for line in cell.lines)))


@_text.register
def _(block: Caution) -> str:
    return _lines(paragraph(f"! {block.title}"), bullets(block.lines))


@_text.register
def _(block: Fields) -> str:
    if block.is_in_row:
        return _blanks(block.lead, block.labels)
    lines = (paragraph(f"{label}: {'_' * 24}") for label in block.labels)
    return _lines(paragraph(block.lead), *lines)


@_text.register
def _(block: Beside) -> str:
    return blocks(*map(_text, (*block.left, *block.right)))


@_text.register
def _(block: Break) -> str:  # noqa: ARG001  (the dispatch needs it)
    return ""
