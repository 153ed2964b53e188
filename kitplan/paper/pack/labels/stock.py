"""Sheets of labels: how large a label is, and where each lies on the page. All in millimetres."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from kitplan.errors import SettingError
from kitplan.paper.pack.setting import PAGES_MM, PaperSize
from kitplan.tables import table
from kitplan.wording import nearest

_SIZE = re.compile(r"(\d+(?:[.,]\d+)?)\s*[xX×*]\s*(\d+(?:[.,]\d+)?)")
_ROUNDING_MM = 1e-6
LEAST_SIDE_MM = 5.0
UNPRINTED_MM = 5.0
"""Of a page most printers leave so much of its edge white (common practice, no source)."""


@dataclass(frozen=True)
class Stock:
    """A sheet of equal labels."""

    name: str
    """As in the table, 'a4-21'; else 'computed'."""
    paper: PaperSize
    width_mm: float
    height_mm: float
    columns: int
    rows: int
    left_mm: float
    """From the edge of the page to the first label, as `top_mm`."""
    top_mm: float
    pitch_x_mm: float
    """From the left edge of a label to that of the next one, as `pitch_y_mm` downwards."""
    pitch_y_mm: float

    @property
    def per_page(self) -> int:
        """Labels on a page."""
        return self.columns * self.rows

    def place(self, number: int) -> tuple[int, float, float]:
        """Return the page of a label and its upper left corner; from 0, row by row."""
        page, at = divmod(number, self.per_page)
        row, column = divmod(at, self.columns)
        return page, self.left_mm + column * self.pitch_x_mm, self.top_mm + row * self.pitch_y_mm


def stock_of(
    size: str | None, paper: PaperSize | None, margin_mm: float | None, gap_mm: float | None
) -> Stock:
    """Return the sheet that is meant.

    Args:
        size: A name of the table of common sizes ('a4-21'), or width and height ('63.5x38.1').
            Without one the usual size of the paper is taken.
        paper: By default that of a named size, else A4.
        margin_mm: At least this much of the page stays free on every side; 5 mm where nothing is
            said. With a margin or a gap the sheet is computed; without them one of the table is
            preferred that has such labels.
        gap_mm: Between labels, both ways.
    Raises:
        SettingError: If there is no such size, or nothing fits on the page.
    """
    tables = table("label_sheets")
    sheets: dict[str, dict[str, Any]] = tables["sheets"]
    size = size or tables["default"][paper or "a4"]
    if size in sheets:
        found = Stock(size, **sheets[size])
        if paper not in (None, found.paper):
            names = ", ".join(name for name, one in sheets.items() if one["paper"] == paper)
            raise SettingError(
                f"{size} is a sheet of {found.paper}, and --paper says {paper}",
                where="--size",
                fix=f"Leave out --paper, or take one of {names}",
            )
        width_mm, height_mm = found.width_mm, found.height_mm
        paper = found.paper
    else:
        width_mm, height_mm = _sides(size, sheets)
        paper = paper or "a4"
    if margin_mm is None and gap_mm is None:
        for name, facts in sheets.items():
            same = (facts["paper"], facts["width_mm"], facts["height_mm"])
            if same == (paper, width_mm, height_mm):
                return Stock(name, **facts)
    return _computed(
        paper, width_mm, height_mm, UNPRINTED_MM if margin_mm is None else margin_mm, gap_mm or 0.0
    )


def _sides(size: str, sheets: dict[str, Any]) -> tuple[float, float]:
    found = _SIZE.fullmatch(size.strip())
    if found is None:
        near = nearest(size, sheets)
        raise SettingError(
            f"there is no label size {size!r}",
            where="--size",
            fix=f"Did you mean '{near}'?"
            if near
            else f"Give width and height in millimetres, such as 63.5x38.1, or one of "
            f"{', '.join(sheets)}",
        )
    sides = [float(side.replace(",", ".")) for side in found.groups()]
    if min(sides) < LEAST_SIDE_MM:
        raise SettingError(
            f"a label of {size} mm is too small for anything",
            where="--size",
            fix=f"Take at least {LEAST_SIDE_MM:g} mm both ways",
        )
    return sides[0], sides[1]


def _computed(
    paper: PaperSize, width_mm: float, height_mm: float, margin_mm: float, gap_mm: float
) -> Stock:
    """Return as many labels as fit on a page, in the middle of it."""
    counts, starts = [], []
    for page_mm, side_mm in zip(PAGES_MM[paper], (width_mm, height_mm), strict=True):
        room_mm = page_mm - 2 * margin_mm
        count = int((room_mm + gap_mm + _ROUNDING_MM) // (side_mm + gap_mm))
        if count < 1:
            raise SettingError(
                f"a label of {width_mm:g} x {height_mm:g} mm does not fit on {paper}",
                where="--size",
                fix=f"Between the margins there are {room_mm:.1f} mm for a side of {side_mm:g} mm",
            )
        counts.append(count)
        starts.append((page_mm - count * side_mm - (count - 1) * gap_mm) / 2)
    return Stock(
        "computed",
        paper,
        width_mm,
        height_mm,
        columns=counts[0],
        rows=counts[1],
        left_mm=starts[0],
        top_mm=starts[1],
        pitch_x_mm=width_mm + gap_mm,
        pitch_y_mm=height_mm + gap_mm,
    )
