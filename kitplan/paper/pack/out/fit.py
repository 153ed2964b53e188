"""How blocks are fitted onto a page of paper: widths of columns, breaks in words too long for
their line, rows that stay together.

Works on the plain data of `form`, and with the widths of the very font that typst sets. Lengths in
millimetres.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from typing import Any

from kitplan.paper.drawings.text import PT_MM, Weight, width_mm
from kitplan.paper.pack.setting import HALVES_MM, PAGES_MM, PaperSize

Plain = dict[str, Any]
SIZES_PT = {
    "full": {"text": 10.0, "large": 13.0, "small": 8.5, "title": 20.0},
    "half": {"text": 11.0, "large": 13.0, "small": 9.0, "title": 18.0},
}
"""Cards are read at arm's length: nothing that matters there is smaller than 11 points."""
MARGINS_MM = {
    "full": {"side": 15.0, "top": 15.0, "bottom": 19.0},
    "half": {"side": 9.0, "top": 9.0, "bottom": 16.0},
}
BOX_MM, BOX_GAP_MM = 6.5, 2.5
INSET_MM = 1.2
"""Left and right of the text in a cell."""
GUTTER_MM = 6.0
"""Between two columns of blocks."""
LABEL_SHARE = 0.4
"""Labels of facts take no more of the width."""
SPARE = 1.03
"""Kerning moves letters a little against the sum of their widths."""
WIDEST_OWN_SHARE = 0.45
"""A column as wide as its text gets no more of the width."""
LINE = 1.28
"""Distance of lines as a multiple of the size."""
WHOLE_SHARE = 0.5
"""A table lower than this share of a page is never split."""
TALL_SHARE = 0.35
"""A row higher than this share of a page may be split."""
SOFT = "\u200b"
_ENDS = re.compile(r"( )|(?<=[^ -]-)(?=[^\W\d])")


def fitted(sheet: Plain, paper: PaperSize) -> Plain:
    """Return a sheet with its page, and its blocks fitted to it."""
    size = "half" if sheet["size"] == "half" else "full"
    sides = HALVES_MM[paper] if size == "half" else PAGES_MM[paper]
    width, height = sides[::-1] if sheet["is_lying"] else sides
    margins, sizes = MARGINS_MM[size], SIZES_PT[size]
    room = width - 2 * margins["side"]
    down = height - margins["top"] - margins["bottom"]
    page = {"width": width, "height": height, "margins": margins, "sizes": sizes}
    fit = _Fit(sizes, down)
    title_room = room - (2 * BOX_MM if sheet["letter"] else 0)
    return sheet | {
        "page": page,
        "title": breakable(sheet["title"], title_room, sizes["title"], "bold"),
        "lines": [breakable(line, title_room, sizes["text"]) for line in sheet["lines"]],
        "blocks": fit.blocks(sheet["blocks"], room),
    }


class _Fit:
    """Fits the blocks of one sheet."""

    def __init__(self, sizes: dict[str, float], down_mm: float) -> None:
        self.sizes = sizes
        self.down_mm = down_mm

    def blocks(self, blocks: Sequence[Plain], room: float) -> list[Plain]:
        """Return blocks that fit into a width."""
        found = [getattr(self, block["kind"], _same)(block, room) for block in blocks]
        for one, after in zip(found, found[1:], strict=False):
            one["leads"] = after["kind"] in ("table", "points", "facts", "frames", "picture")
        return found

    def heading(self, block: Plain, room: float) -> Plain:
        return block | {"text": breakable(block["text"], room, self.sizes["large"], "bold")}

    def words(self, block: Plain, room: float) -> Plain:
        weight: Weight = "bold" if block["is_strong"] else "regular"
        return block | {"text": breakable(block["text"], room, self._size(block), weight)}

    def points(self, block: Plain, room: float) -> Plain:
        indent = BOX_MM + BOX_GAP_MM if block["mark"] == "box" else 7.0
        size = self._size(block)
        lines = [breakable(line, room - indent, size) for line in block["lines"]]
        return block | {"lines": lines}

    def facts(self, block: Plain, room: float) -> Plain:
        size = self._size(block)
        labels = [_width(label, size, "regular") for label, _ in block["rows"]]
        label_mm = min(max(labels, default=0.0), LABEL_SHARE * room)
        value_mm = room - label_mm - 4.0
        rows = [
            [breakable(label, label_mm, size), breakable(value, value_mm, size, "bold")]
            for label, value in block["rows"]
        ]
        return block | {"rows": rows, "label_mm": label_mm}

    def table(self, block: Plain, room: float) -> Plain:
        size, columns = self.sizes["text"], block["columns"]
        boxes = BOX_MM + BOX_GAP_MM if block["has_boxes"] else 0.0
        widths = column_widths_mm(block, room - boxes, size, self.sizes["small"])
        rows = [
            [
                breakable(cell, wide - 2 * INSET_MM, size, _weight(column))
                for cell, wide, column in zip(row, widths, columns, strict=True)
            ]
            for row in block["rows"]
        ]
        heads = [
            column
            | {
                "title": breakable(
                    column["title"], wide - 2 * INSET_MM, self.sizes["small"], "bold"
                )
            }
            for column, wide in zip(columns, widths, strict=True)
        ]
        heights = [self._row_mm(row, widths, columns, boxes > 0) for row in rows]
        is_tall = max(heights, default=0.0) > TALL_SHARE * self.down_mm
        return block | {
            "title": breakable(block["title"], room, self.sizes["large"], "bold"),
            "foot": breakable(block["foot"], room, size, "bold"),
            "columns": heads,
            "rows": rows,
            "widths": widths,
            "is_tall": is_tall,
            "groups": _groups(heights, WHOLE_SHARE * self.down_mm, is_tall=is_tall),
        }

    def picture(self, block: Plain, room: float) -> Plain:
        share = min(1.0, room / block["width_mm"], 0.9 * self.down_mm / block["height_mm"])
        return block | {"shown_mm": block["width_mm"] * share}

    def frames(self, block: Plain, room: float) -> Plain:
        wide = (room - 4.0 * (block["columns"] - 1)) / block["columns"]
        size = self.sizes["text"]
        cells = [
            cell
            | {
                "title": breakable(cell["title"], wide, size, "bold"),
                "lines": [breakable(line, wide, size) for line in cell["lines"]],
            }
            for cell in block["cells"]
        ]
        return block | {"cells": cells}

    def caution(self, block: Plain, room: float) -> Plain:
        inner = room - 18.0
        lines = [breakable(line, inner, self.sizes["text"]) for line in block["lines"]]
        title = breakable(block["title"], inner, self.sizes["large"], "bold")
        return block | {"title": title, "lines": lines}

    def fields(self, block: Plain, room: float) -> Plain:
        labels = [breakable(label, 0.3 * room, self.sizes["text"]) for label in block["labels"]]
        return block | {"labels": labels}

    def beside(self, block: Plain, room: float) -> Plain:
        left = (room - GUTTER_MM) * block["left_share"]
        right = room - GUTTER_MM - left
        return block | {
            "left": self.blocks(block["left"], left),
            "right": self.blocks(block["right"], right),
        }

    def _size(self, block: Plain) -> float:
        return self.sizes["large" if block["is_large"] else "text"]

    def _row_mm(
        self, row: Sequence[str], widths: Sequence[float], columns: Sequence[Plain], has_box: bool
    ) -> float:
        size = self.sizes["text"]
        lines = max(
            (
                lines_in(cell, wide - 2 * INSET_MM, size, _weight(column))
                for cell, wide, column in zip(row, widths, columns, strict=True)
            ),
            default=1,
        )
        text_mm = lines * size * PT_MM * LINE
        return max(text_mm, BOX_MM if has_box else 0.0) + 2 * INSET_MM


def _same(block: Plain, room: float) -> Plain:  # noqa: ARG001  (it is called like the others)
    return dict(block)


def _weight(column: Plain) -> Weight:
    return "bold" if column["is_strong"] else "regular"


def _groups(heights: Sequence[float], most_mm: float, *, is_tall: bool) -> list[int]:
    """Return how many rows stay together: all of a low table, else the first and last two."""
    number = len(heights)
    if is_tall:
        return [1] * number
    if sum(heights) <= most_mm or number <= 3:
        return [number] if number else []
    return [2, *[1] * (number - 4), 2]


# -- widths ----------------------------------------------------------------------------------------


def column_widths_mm(
    table: Plain, room: float, size_pt: float, head_pt: float
) -> tuple[float, ...]:
    """Return how wide each column is: no word that fits is broken, the rest goes by share."""
    columns = table["columns"]
    texts = [[row[at] for row in table["rows"]] for at in range(len(columns))]
    least, wanted = [], []
    for column, cells in zip(columns, texts, strict=True):
        weight = _weight(column)
        heads = [_width(word, head_pt, "bold") for word in column["title"].split()]
        words = [_longest(cell, size_pt, weight) for cell in cells]
        least.append(max([*heads, *words], default=0.0) + 2 * INSET_MM)
        whole = [_width(column["title"], head_pt, "bold")]
        whole += [_width(cell, size_pt, weight) for cell in cells]
        wanted.append(max(whole) + 2 * INSET_MM)
    shares = [column["share"] for column in columns]
    return _shared(room, least, wanted, shares)


def _shared(
    room: float, least: Sequence[float], wanted: Sequence[float], shares: Sequence[float]
) -> tuple[float, ...]:
    """Give out a width: own widths first, then by share, and to nobody less than the least."""
    if sum(least) > room:  # words have to break: long ones give way
        most = _cap(least, room)
        return tuple(min(each, most) for each in least)
    others = sum(low for low, share in zip(least, shares, strict=True) if share)
    own_room = room - others
    own = [0.0 if share else want for want, share in zip(wanted, shares, strict=True)]
    lows = [0.0 if share else low for low, share in zip(least, shares, strict=True)]
    most = max(WIDEST_OWN_SHARE * room, max(lows, default=0.0))
    own = [min(each, most) for each in own]
    if sum(own) > own_room:
        scale = (own_room - sum(lows)) / max(sum(own) - sum(lows), 1e-9)
        own = [low + (each - low) * scale for each, low in zip(own, lows, strict=True)]
    if not any(shares):
        spare = (room - sum(own)) / len(own) if own else 0.0
        return tuple(each + spare for each in own)
    left, open_shares, found = room - sum(own), list(shares), list(own)
    while True:
        part = left / sum(open_shares)
        short = [at for at, share in enumerate(open_shares) if share and share * part < least[at]]
        if not short:
            break
        for at in short:
            found[at], open_shares[at] = least[at], 0.0
            left -= least[at]
        if not any(open_shares):
            return tuple(found)
    return tuple(
        share * part if share else each for each, share in zip(found, open_shares, strict=True)
    )


def _cap(least: Sequence[float], room: float) -> float:
    """Return the width to which the widest are cut so that all fit."""
    rest, number = room, len(least)
    for each in sorted(least):
        if each * number >= rest:
            return rest / number
        rest, number = rest - each, number - 1
    return max(least)


@cache
def _width(text: str, size_pt: float, weight: Weight) -> float:
    return SPARE * width_mm(text, size_pt * PT_MM, weight)


@cache
def _longest(text: str, size_pt: float, weight: Weight) -> float:
    """Width of the widest word; a hyphen ends a word."""
    return max((_width(part, size_pt, weight) for part in _parts(text)), default=0.0)


def breakable(text: str, room: float, size_pt: float, weight: Weight = "regular") -> str:
    """Return a text with places to break in every word that is wider than its line."""
    if _longest(text, size_pt, weight) <= room:
        return text
    return "".join(
        SOFT.join(part) if _width(part, size_pt, weight) > room else part for part in _parts(text)
    )


@cache
def _parts(text: str) -> tuple[str, ...]:
    """A text cut where a line may end: at spaces, and after hyphens that stand before letters."""
    return tuple(part for part in _ENDS.split(text) if part)


@cache
def lines_in(text: str, room: float, size_pt: float, weight: Weight) -> int:
    """Return about how many lines a text takes in a width."""
    if _width(text, size_pt, weight) <= room:
        return 1
    lines, filled = 1, 0.0
    space = _width(" ", size_pt, weight)
    for word in text.split(" "):
        wide = _width(word, size_pt, weight)
        if filled and filled + space + wide > room:
            lines, filled = lines + 1, 0.0
        extra, rest = divmod(wide, room) if wide > room > 0 else (0, wide)
        lines += int(extra)
        filled += rest + (space if filled else 0.0)
    return lines
