"""How blocks are fitted onto a page of paper: widths of columns, breaks in words too long for
their line, rows that stay together.

Works on the plain data of `form`, and with the widths of the very font that typst sets. Lengths in
millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

from kitplan.paper.drawings.text import Weight
from kitplan.paper.pack.out.flow import ALWAYS_WHOLE_SHARE, SURE_SHARE, TALL_SHARE, flow
from kitplan.paper.pack.out.list_fit import WHAT_SHARES, ListFit
from kitplan.paper.pack.out.widths import (
    BOX_GAP_MM,
    BOX_MM,
    INSET_MM,
    KEEP,
    breakable,
    text_width,
)
from kitplan.paper.pack.setting import HALVES_MM, PAGES_MM, PaperSize

Plain = dict[str, Any]
SIZES_PT = {
    "full": {"text": 10.0, "large": 13.0, "small": 8.5, "title": 20.0},
    "half": {"text": 11.0, "large": 13.0, "small": 9.0, "title": 18.0},
}
"""Cards are read at arm's length: nothing that matters there is smaller than 11 points."""
MARGINS_MM = {
    "full": {"side": 14.0, "top": 14.0, "bottom": 18.0},
    "half": {"side": 9.0, "top": 8.0, "bottom": 14.5},
}
ASCENTS_MM = {"full": 3.6, "half": 1.5}
"""Under the head of a page that goes on; printers leave 4 mm at the edge of the paper white."""
GUTTER_MM = 6.0
"""Between two columns of blocks."""
LABEL_SHARE = 0.4
"""Labels of facts take no more of the width."""
FRAME_GAP_MM = 4.0
CLEARLY_SHARE = 0.95
LISTS = ("table", "checklist")
LED = (*LISTS, "points", "facts", "frames", "picture")
"""What a paragraph before it leads up to: they stay on one page."""
SMALLER = 0.9
"""Text under drawn frames, beside that of the page."""
DISC_MM = 16.0
"""The letter of a camera at the head of its sheet, with the space after it."""
BARE_SHARE = 0.92
"""A picture takes no more of the height of a page; on a bare sheet all of it."""


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
    head_mm = _Fit(sizes, down, 0.0).head_mm(sheet, title_room)
    blocks = _lowest(_with_tails(sheet["blocks"]), sizes, down, room, down - head_mm)
    flow(blocks, down, head_mm)
    return sheet | {
        "page": {
            "width": width,
            "height": height,
            "margins": margins,
            "ascent": ASCENTS_MM[size],
            "sizes": sizes,
        },
        "title": breakable(sheet["title"], title_room, sizes["title"], "bold").replace(KEEP, ""),
        "lines": [breakable(line, title_room, sizes["text"]) for line in sheet["lines"]],
        "blocks": blocks,
    }


def _with_tails(blocks: Sequence[Plain]) -> list[Plain]:
    """Return blocks with fields under a list made part of it: nobody signs an empty page."""
    found: list[Plain] = []
    for block in blocks:
        if block["kind"] == "fields" and found and found[-1]["kind"] in LISTS:
            found[-1] = found[-1] | {"tail": block}
        else:
            found.append(block)
    return found


def _lowest(
    blocks: Sequence[Plain], sizes: dict[str, float], down: float, room: float, rest: float
) -> list[Plain]:
    """Return blocks fitted to a width, as low as the names of things on their lists allow where
    they do not go into the rest of the first page.

    All lists of a sheet have their boxes under each other.
    """
    names = (text_width(name, sizes["text"], "bold") for name in _listed_names(blocks))
    widest = max(names, default=0.0) + 2 * INSET_MM
    most, *less = (share * room for share in WHAT_SHARES)
    found = _Fit(sizes, down, min(widest, most)).blocks(blocks, room)
    for what_mm in less:
        if widest > what_mm and _height_mm(found) > rest:
            lower = _Fit(sizes, down, what_mm).blocks(blocks, room)
            if _height_mm(lower) < CLEARLY_SHARE * _height_mm(found):
                found = lower
    return found


def _height_mm(blocks: Sequence[Plain]) -> float:
    return float(sum(block["height"] for block in blocks))


def _listed_names(blocks: Sequence[Plain]) -> Iterator[str]:
    """Yield what is on the checklists of some blocks."""
    for block in blocks:
        if block["kind"] == "checklist":
            yield from (line["what"] for line in block["lines"])
        elif block["kind"] == "beside":
            yield from _listed_names((*block["left"], *block["right"]))


class _Fit(ListFit):
    """Fits the blocks of one sheet, and says how high each is."""

    def head_mm(self, sheet: Plain, room: float) -> float:
        """Return the height of the head of a sheet."""
        title = self._high(sheet["title"], room, self.sizes["title"], "bold")
        lines = sum(1.6 + self._high(line, room, self.sizes["text"]) for line in sheet["lines"])
        return max(title + lines + 1.0, DISC_MM if sheet["letter"] else 0.0) + 5.4

    def blocks(self, blocks: Sequence[Plain], room: float) -> list[Plain]:
        """Return blocks that fit into a width."""
        found = [getattr(self, f"_{block['kind']}")(block, room) for block in blocks]
        for one, after in pairwise(found):
            is_low = one["height"] <= ALWAYS_WHOLE_SHARE * self.down_mm  # else it moves as a whole
            one["leads"] = after["kind"] in LED and is_low
        return found

    def _heading(self, block: Plain, room: float) -> Plain:
        size = self.sizes["large"]
        text = breakable(block["text"], room, size, "bold")
        return block | {"text": text, "height": 5.0 + self._high(text, room, size, "bold")}

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
        gap = 1.5 if has_boxes else 1.3
        highs = [max(self._high(line, inner, size), least) for line in lines]
        height = 2.6 - gap + sum(gap + high for high in highs)
        return block | {"lines": lines, "height": height, "is_tall": self._is_tall(highs)}

    def _facts(self, block: Plain, room: float) -> Plain:
        size = self._size(block)
        labels = [text_width(label, size, "regular") for label, _ in block["rows"]]
        label_mm = min(max(labels, default=0.0), LABEL_SHARE * room)
        value_mm = room - label_mm - 4.0
        rows = [
            (breakable(label, label_mm, size), breakable(value, value_mm, size, "bold"))
            for label, value in block["rows"]
        ]
        highs = [
            max(self._high(label, label_mm, size), self._high(value, value_mm, size, "bold"))
            for label, value in rows
        ]
        height = 0.9 + sum(1.7 + high for high in highs)
        fitted = {"rows": rows, "label_mm": label_mm, "height": height}
        return block | fitted | {"is_tall": self._is_tall(highs)}

    def _picture(self, block: Plain, room: float) -> Plain:
        most = BARE_SHARE * self.down_mm
        share = min(1.0, room / block["width_mm"], most / block["height_mm"])
        caption = breakable(block["caption"], room, self.sizes["small"])
        height = share * block["height_mm"] + 4 + self._high(caption, room, self.sizes["small"])
        return block | {
            "shown_mm": block["width_mm"] * share,
            "caption": caption,
            "height": height,
        }

    def _frames(self, block: Plain, room: float) -> Plain:
        wide = (room - FRAME_GAP_MM * (block["columns"] - 1)) / block["columns"]
        size = self.sizes["text"] * (1.0 if block["is_large"] else SMALLER)
        cells = [self._cell(cell, wide, size) for cell in block["cells"]]
        number = -(-len(cells) // block["columns"])
        row = 4.5 + max((cell["height"] for cell in cells), default=0.0)
        return block | {
            "cells": cells,
            "num_rows": number,
            "row": row,
            "height": number * row,
            "is_tall": self._is_tall([row]),
            "size": size,
        }

    def _cell(self, cell: Plain, wide: float, size: float) -> Plain:
        picture = cell["picture"]
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
        high = 8.4 + self._high(title, inner, large, "bold")
        high += sum(1.8 + self._high(line, inner, text) for line in lines)
        is_tall = high > SURE_SHARE * self.down_mm
        return block | {"title": title, "lines": lines, "height": high, "is_tall": is_tall}

    def _beside(self, block: Plain, room: float) -> Plain:
        left_mm = (room - GUTTER_MM) * block["left_share"]
        left = self.blocks(block["left"], left_mm)
        right = self.blocks(block["right"], room - GUTTER_MM - left_mm)
        height = max(sum(each["height"] for each in side) for side in (left, right))
        return block | {"left": left, "right": right, "is_whole": True, "height": height}

    def _break(self, block: Plain, room: float) -> Plain:  # noqa: ARG002  (like the others)
        return block | {"height": 0.0}

    def _is_tall(self, highs: Sequence[float]) -> bool:
        """Whether rows are so high that they may be split themselves."""
        return max(highs, default=0.0) > TALL_SHARE * self.down_mm

    def _size(self, block: Plain) -> float:
        return self.sizes["large" if block["is_large"] else "text"]
