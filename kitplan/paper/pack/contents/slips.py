"""Slips: everybody's own list, two beside each other, to cut out or photograph."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitplan.paper.pack.blocks import Beside, Block, Table

LONGEST = 20
"""Rows of a slip that is kept on one page."""
LINES_OVER = 3
"""So many rows high are its title and its foot."""


def two_columns(slips: Sequence[Table]) -> Iterator[Block]:
    """Yield slips in two columns of about the same height, in order down each."""
    if len(slips) < 2:
        yield from slips
        return
    heights = [len(each.rows) + LINES_OVER for each in slips]
    half = sum(heights) / 2
    best = min(range(1, len(slips)), key=lambda n: (abs(sum(heights[:n]) - half), n))
    yield Beside(tuple(slips[:best]), tuple(slips[best:]))
