"""Where pages end: what is kept on one page so that lists are split only where that saves paper.

typst breaks the pages. Here their heights are only estimated, block after block, to choose which
tables it may split: a wrong guess costs some paper, never a line. Works on blocks that `fit` has
fitted; lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kitplan.paper.drawings.text import PT_MM

Plain = dict[str, Any]
CAP, LEADING = 0.69, 0.5
"""Height of capitals and space between lines, as shares of the size."""
ALWAYS_WHOLE_SHARE = 0.3
"""A table lower than this share of a page is never split."""
WASTE_SHARES = (0.3, 0.15, 0.0)
"""So much of a page may stay empty for a table that fits onto the next one whole; less of it where
the last page would hold next to nothing otherwise."""
SLIGHT_SHARE = 0.3
"""A last page that is taken to less than this is saved if lists that are split can save it."""
MOST_LOOSE = 3
"""A list of fewer rows is never split."""
SURE_SHARE = 0.95
"""Heights are estimates: so much of a page something may take that must not be split."""
WHOLE_BESIDE_SHARE = 0.6
"""Two columns lower than this share of a page are never split."""
TALL_SHARE = 0.35
"""A row higher than this share of a page may be split itself."""


def text_mm(lines: int, size_pt: float) -> float:
    """Return the height of some lines of text."""
    return max(lines * (CAP + LEADING) - LEADING, 0.0) * size_pt * PT_MM


def flow(blocks: Sequence[Plain], down_mm: float, head_mm: float) -> None:
    """Decide for each block of a sheet what is kept together, in place."""
    most, *less = WASTE_SHARES
    usual = Flow(down_mm, head_mm, most)
    usual.follow(blocks)
    if usual.pages == 1 or usual.at_mm > SLIGHT_SHARE * down_mm:
        return
    for share in less:
        thrifty = Flow(down_mm, head_mm, share)
        thrifty.follow(blocks)
        if thrifty.pages < usual.pages:
            return
    Flow(down_mm, head_mm, most).follow(blocks)


class Flow:
    """Follows the blocks of a sheet down its pages."""

    def __init__(
        self, down_mm: float, head_mm: float, waste_share: float = WASTE_SHARES[0]
    ) -> None:
        self.down_mm = down_mm
        self.at_mm = head_mm
        self.waste_share = waste_share
        self.pages = 1

    def follow(self, blocks: Sequence[Plain]) -> None:
        """Decide for each block what is kept together, in place."""
        held = 0.0
        for block in blocks:
            if block["kind"] == "heading":
                held += block["height"]
                continue
            self._place(block, held)
            held = 0.0

    def _place(self, block: Plain, held: float) -> None:
        """Put down a block under the headings that stay with it."""
        kind, height = block["kind"], held + block["height"]
        if kind == "break":
            self._turn()
        elif kind in ("table", "checklist"):
            self._table(block, held)
        elif kind == "frames":
            self._rows([held + block["row"], *[block["row"]] * (block["num_rows"] - 1)])
        elif kind in ("picture", "caution", "fields"):
            self._rows([height])
        elif kind == "beside":
            self._beside(block, height)
        else:
            self._on(height)

    def _table(self, block: Plain, held: float) -> None:
        rows, height = block["heights"], held + block["height"]
        if max(rows, default=0.0) > TALL_SHARE * self.down_mm:
            block["is_tall"], block["groups"] = True, [1] * len(rows)
            self._on(height)
        elif self._is_whole(height, len(rows)) or self._is_slip(block, height):
            block["groups"] = [len(rows)]
            self._rows([height])
        else:
            first, last = min(2, len(rows) - 1), min(2, len(rows) - 2)
            block["groups"] = [first, *[1] * (len(rows) - first - last), last]
            begin, end = held + block["lead_mm"], block["end_mm"]
            middle = rows[first : len(rows) - last]
            self._rows([begin + sum(rows[:first]), *middle, sum(rows[-last:]) + end])

    def _beside(self, block: Plain, height: float) -> None:
        """Put down two columns: each goes on by itself where they do not stay on one page."""
        block["is_whole"] = height <= WHOLE_BESIDE_SHARE * self.down_mm
        begin = 0.0 if block["is_whole"] else self.at_mm
        ends = []
        for side in ("left", "right"):
            column = Flow(self.down_mm, begin, self.waste_share)
            column.follow(block[side])
            ends.append((column.pages, column.at_mm))
        if block["is_whole"]:
            self._rows([height])
        else:
            more, self.at_mm = max(ends)
            self.pages += more - 1

    def _is_whole(self, height: float, number: int) -> bool:
        """Whether a list stays on one page: a low one, and where the next page has it whole."""
        left = self.down_mm - self.at_mm
        is_low = height <= ALWAYS_WHOLE_SHARE * self.down_mm
        moves = left < height <= self.down_mm and left <= self.waste_share * self.down_mm
        return number < MOST_LOOSE or is_low or moves

    def _is_slip(self, block: Plain, height: float) -> bool:
        return bool(block.get("is_slip")) and height <= SURE_SHARE * self.down_mm

    def _rows(self, heights: Sequence[float]) -> None:
        """Put down things of which none is split."""
        for height in heights:
            if self.at_mm + height > self.down_mm and self.at_mm > 0:
                self._turn()
            self.at_mm += height

    def _on(self, height: float) -> None:
        """Put down something that breaks anywhere."""
        more, self.at_mm = divmod(self.at_mm + height, self.down_mm)
        self.pages += int(more)

    def _turn(self) -> None:
        """Go on at the top of the next page."""
        self.pages, self.at_mm = self.pages + 1, 0.0
