"""How tables and checklists are fitted: widths of columns, heights of rows, units side by side,
and the fields that sign a list.

Works on the plain data of `form`. Lengths in millimetres.
"""

from __future__ import annotations

from itertools import repeat
from typing import Any

from kitplan.paper.drawings.text import Weight
from kitplan.paper.pack.out.flow import text_mm
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

Plain = dict[str, Any]
WHAT_SHARES = (0.32, 0.24, 0.22, 0.2)
"""The most that names of things take of a checklist: less where a sheet takes several pages and
that makes it clearly lower."""
COUNT_MM, IDS_SHARE = 8.0, 0.3
"""Of a checklist: its first column, what ids get at least if need be."""
TICK_GAP_MM, TICK_BETWEEN_MM, MARK_GAP_MM = 1.0, 2.5, 1.5
"""After a box, between two units, between an id and what it is for."""
FIELD_SHARE = 0.3
CUT_MM = 5.0
"""Over a slip, where the line to cut along stands."""


class ListFit:
    """Fits the lists of one sheet, and says how high each is."""

    def __init__(self, sizes: dict[str, float], down_mm: float, what_mm: float) -> None:
        self.sizes = sizes
        self.down_mm = down_mm
        self.what_mm = what_mm

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
            text_width(unit, text, "regular") + _marks_mm(line, text)
            for line in block["lines"]
            for unit in line["units"]
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
        marks = _marks_mm(line, text)
        ids = [text_width(unit, text, "regular") for unit in line["units"]]
        each = ticks_mm + max(ids, default=0.0) + marks + TICK_BETWEEN_MM
        places = max(1, min(int((room + TICK_BETWEEN_MM) / each), len(ids)))
        wide = (room + TICK_BETWEEN_MM) / places - TICK_BETWEEN_MM - ticks_mm
        marks = min(marks, 0.5 * wide)
        return places, wide - marks, max(marks - MARK_GAP_MM, 0.0)

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

    def _high(self, text: str, room: float, size_pt: float, weight: Weight = "regular") -> float:
        return text_mm(lines_in(text, room, size_pt, weight), size_pt) if text else 0.0


def _marks_mm(line: Plain, size_pt: float) -> float:
    """Width of what stands beside the ids of a line, with the space before it."""
    widths = (text_width(mark, size_pt, "bold") for mark in line["marks"])
    return max((MARK_GAP_MM + wide for wide in widths), default=0.0)
