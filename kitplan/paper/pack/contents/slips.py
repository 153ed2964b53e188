"""Slips: everybody's own list, two beside each other, to cut out or photograph."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from kitplan.paper.pack.blocks import Beside, Block, Table

MOST_LINES = 44
"""Lines of a slip that is kept on one page."""
SIGNS_A_LINE, LINES_A_BOX = 38, 2
"""What a line of the last column takes, and how many lines high a box is. Rough: half a page."""
LINES_OVER = 6
"""So many lines high are its title and its foot."""


def is_short(rows: Sequence[Sequence[str]]) -> bool:
    """Return whether a list surely fits on one page: the text of its rows stands last."""
    return _lines_of(rows) <= MOST_LINES


def _lines_of(rows: Sequence[Sequence[str]]) -> int:
    return sum(max(LINES_A_BOX, ceil(len(row[-1]) / SIGNS_A_LINE)) for row in rows)


def two_columns(slips: Sequence[Table]) -> Iterator[Block]:
    """Yield slips in two columns of about the same height, in order down each."""
    if len(slips) < 2:
        yield from slips
        return
    heights = [_lines_of(each.rows) + LINES_OVER for each in slips]
    half = sum(heights) / 2
    best = min(range(1, len(slips)), key=lambda n: (abs(sum(heights[:n]) - half), n))
    yield Beside(tuple(slips[:best]), tuple(slips[best:]))
