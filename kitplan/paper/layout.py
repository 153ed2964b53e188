"""Lines, paragraphs and tables of plain text, never wider than a page of 100 characters."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from textwrap import fill, wrap

WIDEST_TABLE = 100
_GAP, _PADDING, _NARROWEST = 2, 2, 4
"""Between columns; what the table maker adds to a header; no column gets narrower than this."""
_ONE_LINE = re.compile(r"(?:[!-~]|[!-~] (?=[!-~]))*")
"""Signs of ASCII, with single spaces between them."""


def heading(text: str, mark: str = "=") -> str:
    """Return a heading, underlined."""
    lines = fill(text, WIDEST_TABLE).splitlines() or [""]
    return "\n".join([*lines, mark * max(map(len, lines))])


def paragraph(text: str, indent: str = "") -> str:
    """Return a paragraph, wrapped; further lines stand under the first."""
    return fill(
        text,
        WIDEST_TABLE,
        initial_indent=indent,
        subsequent_indent=indent,
        break_on_hyphens=False,
    )


def bullet(text: str, mark: str = "- ") -> str:
    """Return one entry of a list, wrapped behind its mark."""
    return fill(
        text,
        WIDEST_TABLE,
        initial_indent=mark,
        subsequent_indent=" " * len(mark),
        break_on_hyphens=False,
    )


def bullets(texts: Iterable[str]) -> str:
    """Return a list, one entry a line."""
    return "\n".join(map(bullet, texts))


def joined(words: Sequence[str]) -> str:
    """Return words as they stand in a sentence: 'a, b and c'."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def counted(number: int, one: str, many: str | None = None) -> str:
    """Return a number with its noun: '1 song', '3 songs'."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def blocks(*parts: str) -> str:
    """Return parts of a page with a blank line between them; empty ones vanish."""
    return "\n\n".join(part.rstrip() for part in parts if part.strip())


def table_text(
    headers: Sequence[str], rows: Sequence[Sequence[object]], *, is_spaced: bool = False
) -> str:
    """Return a plain table of at most 100 characters a line; its widest columns wrap.

    Args:
        is_spaced: Leave a blank line between rows, for rows of several lines.
    """
    from tabulate import tabulate

    cells = [["" if cell is None else _cell(cell) for cell in row] for row in rows]
    widths = _widths(headers, cells)
    lines = [[_wrapped(*each) for each in zip(row, widths, strict=True)] for row in cells]
    text = tabulate(
        lines,
        headers=[_wrapped(h, w - _PADDING) for h, w in zip(headers, widths, strict=True)],
        tablefmt="simple",
        disable_numparse=True,
    )
    printed = [line.rstrip() for line in text.splitlines()]
    return "\n".join(_spaced(printed, lines) if is_spaced else printed)


def _spaced(printed: list[str], rows: list[list[str]]) -> list[str]:
    """Return the lines of a table with a blank line between its rows."""
    at = len(printed)
    for row in rows[:0:-1]:
        at -= max(1, *(len(cell.splitlines()) for cell in row))
        printed.insert(at, "")
    return printed


def _widths(headers: Sequence[str], cells: Sequence[Sequence[str]]) -> list[int]:
    """Return how wide each column may be; the widest give way first."""
    columns: list[Sequence[str]] = list(zip(*cells, strict=True)) or [()] * len(headers)
    widths = [
        max(
            len(header) + _PADDING, *(len(line) for text in column for line in text.splitlines()), 1
        )
        for header, column in zip(headers, columns, strict=True)
    ]
    while sum(widths) + _GAP * (len(widths) - 1) > WIDEST_TABLE and max(widths) > _NARROWEST:
        widths[widths.index(max(widths))] -= 1
    return widths


def _wrapped(text: str, width: int) -> str:
    """Return a text in lines of at most a width; words with hyphens (70-200) stay whole."""
    if len(text) <= width and _ONE_LINE.fullmatch(text):
        return text  # as most are: cutting them to words takes a while
    lines = [wrap(line, width, break_on_hyphens=False) or [""] for line in text.splitlines()]
    return "\n".join(part for parts in lines for part in parts)


def _cell(value: object) -> str:
    """Return a value as a reader expects it in a table."""
    match value:
        case bool():
            return "yes" if value else "no"
        case float():
            return f"{value:.10g}"
        case list() | tuple():
            return ", ".join(map(_cell, value))
        case _:
            return str(value)
