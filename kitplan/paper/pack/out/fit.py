"""How blocks are fitted onto a page of paper: widths of columns, breaks in words too long for
their line, rows that stay together.

Works on the plain data of `form`, and with the widths of the very font that typst sets. Lengths in
millimetres.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from itertools import pairwise, repeat
from typing import Any

from kitplan.paper.drawings.text import PT_MM, Weight, width_mm
from kitplan.paper.pack.out.flow import Flow, text_mm
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
FRAME_GAP_MM = 4.0
FIELD_SHARE = 0.3
DISC_MM = 16.0
"""The letter of a camera at the head of its sheet, with the space after it."""
BARE_SHARE = 0.92
"""A picture takes no more of the height of a page; on a bare sheet all of it."""
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
    if sheet["is_bare"]:
        room, down = width, height / BARE_SHARE
    title_room = room - (DISC_MM if sheet["letter"] else 0)
    fit = _Fit(sizes, down)
    blocks = fit.blocks(_with_tails(sheet["blocks"]), room)
    Flow(down, fit.head_mm(sheet, title_room)).follow(blocks)
    return sheet | {
        "page": {"width": width, "height": height, "margins": margins, "sizes": sizes},
        "title": breakable(sheet["title"], title_room, sizes["title"], "bold"),
        "lines": [breakable(line, title_room, sizes["text"]) for line in sheet["lines"]],
        "blocks": blocks,
    }


def _with_tails(blocks: Sequence[Plain]) -> list[Plain]:
    """Return blocks with fields under a table made part of it: nobody signs an empty page."""
    found: list[Plain] = []
    for block in blocks:
        if block["kind"] == "fields" and found and found[-1]["kind"] == "table":
            found[-1] = found[-1] | {"tail": block["labels"]}
        else:
            found.append(block)
    return found


class _Fit:
    """Fits the blocks of one sheet, and says how high each is."""

    def __init__(self, sizes: dict[str, float], down_mm: float) -> None:
        self.sizes = sizes
        self.down_mm = down_mm

    def head_mm(self, sheet: Plain, room: float) -> float:
        """Return the height of the head of a sheet."""
        title = self._high(sheet["title"], room, self.sizes["title"], "bold")
        lines = sum(1.6 + self._high(line, room, self.sizes["text"]) for line in sheet["lines"])
        return max(title + lines + 1.0, DISC_MM if sheet["letter"] else 0.0) + 10.1

    def blocks(self, blocks: Sequence[Plain], room: float) -> list[Plain]:
        """Return blocks that fit into a width."""
        found = [getattr(self, f"_{block['kind']}")(block, room) for block in blocks]
        for one, after in pairwise(found):
            one["leads"] = after["kind"] in ("table", "points", "facts", "frames", "picture")
        return found

    def _heading(self, block: Plain, room: float) -> Plain:
        size = self.sizes["large"]
        text = breakable(block["text"], room, size, "bold")
        return block | {"text": text, "height": 7.5 + self._high(text, room, size, "bold")}

    def _words(self, block: Plain, room: float) -> Plain:
        weight: Weight = "bold" if block["is_strong"] else "regular"
        text = breakable(block["text"], room, self._size(block), weight)
        high = self._high(text, room, self._size(block), weight)
        return block | {"text": text, "height": 2.6 + high}

    def _points(self, block: Plain, room: float) -> Plain:
        has_boxes = block["mark"] == "box"
        inner = room - (BOX_MM + BOX_GAP_MM if has_boxes else 6.2)
        size = self._size(block)
        lines = [breakable(line, inner, size) for line in block["lines"]]
        least = BOX_MM if has_boxes else 0.0
        high = sum(1.6 + max(self._high(line, inner, size), least) for line in lines)
        return block | {"lines": lines, "height": 2.9 + high}

    def _facts(self, block: Plain, room: float) -> Plain:
        size = self._size(block)
        labels = [_width(label, size, "regular") for label, _ in block["rows"]]
        label_mm = min(max(labels, default=0.0), LABEL_SHARE * room)
        value_mm = room - label_mm - 4.0
        rows = [
            (breakable(label, label_mm, size), breakable(value, value_mm, size, "bold"))
            for label, value in block["rows"]
        ]
        highs = (
            max(self._high(label, label_mm, size), self._high(value, value_mm, size, "bold"))
            for label, value in rows
        )
        height = 3.1 + sum(1.9 + high for high in highs)
        return block | {"rows": rows, "label_mm": label_mm, "height": height}

    def _table(self, block: Plain, room: float) -> Plain:
        text, small, large = (self.sizes[name] for name in ("text", "small", "large"))
        boxes = BOX_MM + BOX_GAP_MM if block["has_boxes"] else 0.0
        widths = column_widths_mm(block, room - boxes, text, small)
        inner = [wide - 2 * INSET_MM for wide in widths]
        weights = [_weight(column) for column in block["columns"]]
        rows = [
            [breakable(*each) for each in zip(row, inner, repeat(text), weights, strict=False)]
            for row in block["rows"]
        ]
        heads = [
            column | {"title": breakable(column["title"], wide, small, "bold")}
            for column, wide in zip(block["columns"], inner, strict=True)
        ]
        heights = [
            2 * INSET_MM
            + max(
                BOX_MM if boxes else 0.0,
                *map(self._high, row, inner, repeat(text), weights),
                0.0,
            )
            for row in rows
        ]
        title, foot = (breakable(block[name], room, large, "bold") for name in ("title", "foot"))
        lead = 5.5 + 2 * INSET_MM + (self._high(title, room, large, "bold") + 1.2 if title else 0)
        lead += max((self._high(c["title"], w, small) for c, w in zip(heads, inner, strict=True)))
        end = 4.0 + (2 * INSET_MM + self._high(foot, room, text, "bold") if foot else 0)
        tail = self._fields({"labels": block.get("tail", [])}, room)
        end += tail["height"]
        return block | {
            "title": title,
            "foot": foot,
            "columns": heads,
            "rows": rows,
            "widths": widths,
            "tail": tail["labels"],
            "is_tall": False,
            "heights": heights,
            "lead": lead,
            "end": end,
            "height": lead + sum(heights) + end,
        }

    def _picture(self, block: Plain, room: float) -> Plain:
        most = BARE_SHARE * self.down_mm
        share = min(1.0, room / block["width_mm"], most / block["height_mm"])
        caption = breakable(block["caption"], room, self.sizes["small"])
        height = share * block["height_mm"] + 5 + self._high(caption, room, self.sizes["small"])
        return block | {
            "shown_mm": block["width_mm"] * share,
            "caption": caption,
            "height": height,
        }

    def _frames(self, block: Plain, room: float) -> Plain:
        wide = (room - FRAME_GAP_MM * (block["columns"] - 1)) / block["columns"]
        cells = [self._cell(cell, wide) for cell in block["cells"]]
        number = -(-len(cells) // block["columns"])
        row = 4.5 + max((cell["height"] for cell in cells), default=0.0)
        return block | {"cells": cells, "num_rows": number, "row": row, "height": number * row}

    def _cell(self, cell: Plain, wide: float) -> Plain:
        size, picture = self.sizes["text"], cell["picture"]
        title = breakable(cell["title"], wide, size, "bold")
        lines = [breakable(line, wide, size) for line in cell["lines"]]
        high = 1.4 + wide * picture["height_mm"] / picture["width_mm"] if picture else 0.0
        high += self._high(title, wide, size, "bold")
        high += sum(1.2 + self._high(line, wide, size) for line in lines)
        return cell | {"title": title, "lines": lines, "height": high}

    def _caution(self, block: Plain, room: float) -> Plain:
        inner = room - 17.0
        large, text = 0.92 * self.sizes["large"], self.sizes["text"]
        title = breakable(block["title"], inner, large, "bold")
        lines = [breakable(line, inner, text) for line in block["lines"]]
        high = self._high(title, inner, large, "bold")
        high += sum(1.8 + self._high(line, inner, text) for line in lines)
        return block | {"title": title, "lines": lines, "height": 12.0 + high}

    def _fields(self, block: Plain, room: float) -> Plain:
        size, most = self.sizes["text"], FIELD_SHARE * room
        labels = [
            (breakable(label, most, size), min(_width(label, size, "regular"), most))
            for label in block["labels"]
        ]
        rows = -(-len(labels) // 2)
        return block | {"labels": labels, "height": 11.5 * rows + 4.0 if rows else 0.0}

    def _beside(self, block: Plain, room: float) -> Plain:
        left_mm = (room - GUTTER_MM) * block["left_share"]
        left = self.blocks(block["left"], left_mm)
        right = self.blocks(block["right"], room - GUTTER_MM - left_mm)
        for each in (*left, *right):
            Flow(self.down_mm, 0.0).follow([each])
        height = max(sum(each["height"] for each in side) for side in (left, right))
        return block | {"left": left, "right": right, "is_whole": True, "height": height}

    def _break(self, block: Plain, room: float) -> Plain:  # noqa: ARG002  (like the others)
        return block | {"height": 0.0}

    def _size(self, block: Plain) -> float:
        return self.sizes["large" if block["is_large"] else "text"]

    def _high(self, text: str, room: float, size_pt: float, weight: Weight = "regular") -> float:
        return text_mm(lines_in(text, room, size_pt, weight), size_pt) if text else 0.0


def _weight(column: Plain) -> Weight:
    return "bold" if column["is_strong"] else "regular"


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
    if _width(text, size_pt, weight) <= room or room <= 0:
        return 1
    lines, filled = 1, 0.0
    space = _width(" ", size_pt, weight)
    for word in text.split(" "):
        wide = _width(word, size_pt, weight)
        if filled and filled + space + wide > room:
            lines, filled = lines + 1, 0.0
        extra, rest = divmod(wide, room) if wide > room else (0, wide)
        lines += int(extra)
        filled += rest + (space if filled else 0.0)
    return lines
