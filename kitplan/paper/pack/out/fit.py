"""How blocks are fitted onto a page of paper: widths of columns, breaks in words too long for
their line, rows that stay together.

Works on the plain data of `form`, and with the widths of the very font that typst sets. Lengths in
millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, repeat
from typing import Any

from kitplan.paper.drawings.text import Weight
from kitplan.paper.pack.out.flow import flow, text_mm
from kitplan.paper.pack.out.widths import (
    BOX_GAP_MM,
    BOX_MM,
    INSET_MM,
    INSET_Y_MM,
    breakable,
    cap_mm,
    column_widths_mm,
    lines_in,
    text_width,
    weight_of,
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
GUTTER_MM = 6.0
"""Between two columns of blocks."""
LABEL_SHARE = 0.4
"""Labels of facts take no more of the width."""
FRAME_GAP_MM = 4.0
COUNT_MM, WHAT_SHARES, IDS_SHARE = 8.0, (0.32, 0.24, 0.22, 0.2), 0.3
"""Of a checklist: its first column, the most for its second (less where a sheet takes several pages
and that makes it clearly lower), what ids get at least if need be."""
CLEARLY_SHARE = 0.95
TICK_GAP_MM, TICK_BETWEEN_MM = 1.0, 2.5
"""After a box, between two units."""
LISTS = ("table", "checklist")
LED = (*LISTS, "points", "facts", "frames", "picture")
"""What a paragraph before it leads up to: they stay on one page."""
FIELD_SHARE = 0.3
CUT_MM = 5.0
"""Over a slip, where the line to cut along stands."""
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
        "page": {"width": width, "height": height, "margins": margins, "sizes": sizes},
        "title": breakable(sheet["title"], title_room, sizes["title"], "bold"),
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


class _Fit:
    """Fits the blocks of one sheet, and says how high each is."""

    def __init__(self, sizes: dict[str, float], down_mm: float, what_mm: float) -> None:
        self.sizes = sizes
        self.down_mm = down_mm
        self.what_mm = what_mm

    def head_mm(self, sheet: Plain, room: float) -> float:
        """Return the height of the head of a sheet."""
        title = self._high(sheet["title"], room, self.sizes["title"], "bold")
        lines = sum(1.6 + self._high(line, room, self.sizes["text"]) for line in sheet["lines"])
        return max(title + lines + 1.0, DISC_MM if sheet["letter"] else 0.0) + 5.4

    def blocks(self, blocks: Sequence[Plain], room: float) -> list[Plain]:
        """Return blocks that fit into a width."""
        found = [getattr(self, f"_{block['kind']}")(block, room) for block in blocks]
        for one, after in pairwise(found):
            one["leads"] = after["kind"] in LED
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
        high = sum(gap + max(self._high(line, inner, size), least) for line in lines)
        return block | {"lines": lines, "height": 2.6 - gap + high}

    def _facts(self, block: Plain, room: float) -> Plain:
        size = self._size(block)
        labels = [text_width(label, size, "regular") for label, _ in block["rows"]]
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
        height = 0.9 + sum(1.7 + high for high in highs)
        return block | {"rows": rows, "label_mm": label_mm, "height": height}

    def _table(self, block: Plain, room: float) -> Plain:
        text = self.sizes["text"]
        small = text if block["is_large"] else self.sizes["small"]
        boxes = BOX_MM + BOX_GAP_MM if block["has_boxes"] else 0.0
        widths = column_widths_mm(block, room - boxes, text, small)
        columns = block["columns"]
        inner = [
            wide - 2 * INSET_MM - (BOX_MM + BOX_GAP_MM if column["is_box"] else 0.0)
            for wide, column in zip(widths, columns, strict=True)
        ]
        weights = [weight_of(column) for column in columns]
        is_ticked = bool(boxes) or any(column["is_box"] for column in columns)
        one_mm = max(BOX_MM if is_ticked else 0.0, text_mm(1, text)) + 2 * INSET_Y_MM
        rows, heights = [], []
        for row in block["rows"]:
            each = zip(row, inner, repeat(text), weights, strict=False)
            rows.append([breakable(*cell) for cell in each])
            highs = map(self._high, row, inner, repeat(text), weights)
            heights.append(max(one_mm, 2 * INSET_Y_MM + max(*highs, 0.0)))
        heads = [
            column | {"title": breakable(column["title"], wide - 2 * INSET_MM, small, "bold")}
            for column, wide in zip(columns, widths, strict=True)
        ]
        lead = max(self._high(column["title"], 1e9, small) for column in heads)
        return self._listed(block, room, heights, lead) | {
            "columns": heads,
            "rows": rows,
            "widths": widths,
            "one_mm": one_mm,
        }

    def _listed(self, block: Plain, room: float, heights: list[float], lead: float) -> Plain:
        """What tables and checklists have in common; `lead` is the height of their titles."""
        text, large = self.sizes["text"], self.sizes["large"]
        title = breakable(block["title"], room, large, "bold")
        foot = breakable(block["foot"], room, text, "bold")
        lead += (4.2 if title else 3.2) + 2 * INSET_Y_MM
        lead += self._high(title, room, large, "bold") + 2.4 if title else 0.0
        lead += CUT_MM if block.get("is_slip") else 0.0
        end = 2 * INSET_Y_MM + self._high(foot, room, text, "bold") if foot else 0.0
        tail = block.get("tail")
        if tail:
            tail = self._fields(tail, room)
            end += tail["height"]
        return block | {
            "title": title,
            "foot": foot,
            "tail": tail,
            "is_tall": False,
            "heights": heights,
            "lead_mm": lead,
            "end_mm": end,
            "height": lead + sum(heights) + end,
        }

    def _checklist(self, block: Plain, room: float) -> Plain:
        text, small = self.sizes["text"], self.sizes["small"]
        num = len(block["boxes"])
        ticks_mm = num * (BOX_MM + TICK_GAP_MM)
        columns = block["columns"]
        widths = self._checklist_mm(block, room, ticks_mm)
        what_mm, units_mm = (widths[at] - 2 * INSET_MM for at in (1, 2))
        more_mm = [wide - 2 * INSET_MM for wide in widths[3:]]
        lines, heights = [], []
        for line in block["lines"]:
            places, word_mm, mark_mm = self._places(line, units_mm, ticks_mm)
            lines.append(
                line
                | {
                    "what": breakable(line["what"], what_mm, text, "bold"),
                    "units": [breakable(unit, word_mm, text) for unit in line["units"]],
                    "marks": [breakable(mark, mark_mm, text, "bold") for mark in line["marks"]],
                    "more": [
                        breakable(*each)
                        for each in zip(line["more"], more_mm, repeat(text), strict=False)
                    ],
                    "places": places,
                    "is_plain": len(line["units"]) == 1 and self._is_one(line, word_mm, mark_mm),
                }
            )
            units = self._units_mm(line, places, word_mm, mark_mm)
            what = self._high(line["what"], what_mm, text, "bold")
            more = map(self._high, line["more"], more_mm, repeat(text))
            heights.append(2 * INSET_Y_MM + max(units - 1.0, what, *more, 0.0))
        heads = [
            column | {"title": breakable(column["title"], wide, small, "bold")}
            for column, wide in zip(columns, more_mm, strict=True)
        ]
        lead_words = breakable(block["lead"], room, text)
        lead = self._high("x", room, small) + (1.6 + self._high(lead_words, room, text))
        fields = [(label, text_width(label, text, "regular")) for label in block["fields"]]
        return self._listed(block, room, heights, lead) | {
            "lead": lead_words,
            "lines": lines,
            "columns": heads,
            "widths": widths,
            "fields": fields,
            "one_mm": BOX_MM + 2 * INSET_Y_MM,
        }

    def _checklist_mm(self, block: Plain, room: float, ticks_mm: float) -> list[float]:
        """Widths: of the number, of what it is, of boxes and ids, of the further columns."""
        text = self.sizes["text"]
        further = {
            "columns": block["columns"],
            "rows": [line["more"] for line in block["lines"]],
        }
        wanted = [
            max(
                [text_width(column["title"], self.sizes["small"], "bold")]
                + [text_width(row[at], text, weight_of(column)) for row in further["rows"]]
            )
            + 2 * INSET_MM
            for at, column in enumerate(block["columns"])
        ]
        ids = [
            text_width(unit, text, "regular") for line in block["lines"] for unit in line["units"]
        ]
        ids_mm = ticks_mm + min(max(ids, default=0.0) + 2 * INSET_MM, IDS_SHARE * room)
        what_mm = min(self.what_mm, WHAT_SHARES[0] * room)
        rest = room - COUNT_MM - what_mm
        most = cap_mm(wanted, max(rest - ids_mm, rest / 3))
        further_mm = [min(each, most) for each in wanted]
        return [COUNT_MM, what_mm, rest - sum(further_mm), *further_mm]

    def _units_mm(self, line: Plain, places: int, word_mm: float, mark_mm: float) -> float:
        """How high the boxes and ids of a line are."""
        text = self.sizes["text"]
        marks = line["marks"] or [""] * len(line["units"])
        highs = [
            1.0 + max(BOX_MM, self._high(unit, word_mm, text) + self._high(mark, mark_mm, text))
            for unit, mark in zip(line["units"], marks, strict=True)
        ]
        return sum(max(highs[at : at + places]) for at in range(0, len(highs), places))

    def _is_one(self, line: Plain, word_mm: float, mark_mm: float) -> bool:
        """Whether id and mark of a unit take one line."""
        text = self.sizes["text"]
        fits = text_width(line["units"][0], text, "regular") <= word_mm
        return fits and all(text_width(each, text, "bold") <= mark_mm for each in line["marks"])

    def _places(self, line: Plain, room: float, ticks_mm: float) -> tuple[int, float, float]:
        """How many units of a line stand beside each other, the width for the id of each, and for
        its mark.
        """
        text = self.sizes["text"]
        marks = max((text_width(mark, text, "bold") + 1.5 for mark in line["marks"]), default=0.0)
        ids = [text_width(unit, text, "regular") for unit in line["units"]]
        each = ticks_mm + max(ids, default=0.0) + marks + TICK_BETWEEN_MM
        places = max(1, min(int((room + TICK_BETWEEN_MM) / each), len(ids)))
        wide = (room + TICK_BETWEEN_MM) / places - TICK_BETWEEN_MM - ticks_mm
        marks = min(marks, 0.5 * wide)
        return places, wide - marks, max(marks - 1.5, 0.0)

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
        high = self._high(title, inner, large, "bold")
        high += sum(1.8 + self._high(line, inner, text) for line in lines)
        return block | {"title": title, "lines": lines, "height": 8.4 + high}

    def _fields(self, block: Plain, room: float) -> Plain:
        size = self.sizes["text"]
        number = len(block["labels"])
        labels = [text_width(label, size, "regular") for label in block["labels"]]
        is_narrow = max(labels, default=0.0) > FIELD_SHARE * room
        columns = max(1, number if block["is_in_row"] else min(number, 1 if is_narrow else 2))
        most = FIELD_SHARE * 2 * room / columns
        labelled = [
            (breakable(label, most, size), min(wide, most))
            for label, wide in zip(block["labels"], labels, strict=True)
        ]
        lead = breakable(block["lead"], room, self.sizes["large"], "bold")
        high = self._high(lead, room, self.sizes["large"], "bold")
        height = 10.5 * -(-number // columns) + 1.0 + (4.0 + high if lead else 0.0)
        return block | {"labels": labelled, "lead": lead, "columns": columns, "height": height}

    def _beside(self, block: Plain, room: float) -> Plain:
        left_mm = (room - GUTTER_MM) * block["left_share"]
        left = self.blocks(block["left"], left_mm)
        right = self.blocks(block["right"], room - GUTTER_MM - left_mm)
        height = max(sum(each["height"] for each in side) for side in (left, right))
        return block | {"left": left, "right": right, "is_whole": True, "height": height}

    def _break(self, block: Plain, room: float) -> Plain:  # noqa: ARG002  (like the others)
        return block | {"height": 0.0}

    def _size(self, block: Plain) -> float:
        return self.sizes["large" if block["is_large"] else "text"]

    def _high(self, text: str, room: float, size_pt: float, weight: Weight = "regular") -> float:
        return text_mm(lines_in(text, room, size_pt, weight), size_pt) if text else 0.0
