"""Sheets of drawings: their size, head, foot and margins, and columns of notes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.svg import Drawing, Style
from kitplan.paper.drawings.text import (
    FIXED_SPACE,
    LINE,
    PT_MM,
    Weight,
    wrapped,
)
from kitplan.paper.names import Names, when
from kitplan.paper.pack.setting import PAGES_MM, Setting

SHORT_SIDE_MM, LONG_SIDE_MM = PAGES_MM["a4"]
MARGIN_MM = 9.0
"""Most printers reach that far."""
BIG_MM, MIDDLE_MM = 17 * PT_MM, 9 * PT_MM
FOOT_MM = 4.4
THIN, RULE = Style(width=0.18), Style(width=0.5)
GREY = "#444"


@dataclass(frozen=True)
class Print:
    """How a drawing is printed."""

    setting: Setting
    has_foot: bool = False
    """Room is kept at the foot for whoever prints it."""

    @property
    def sides_mm(self) -> tuple[float, float]:
        """The short and the long side of a page."""
        return PAGES_MM[self.setting.paper]

    @property
    def page(self) -> str:
        """What pages of that size are called."""
        return {"a4": "A4", "letter": "Letter"}[self.setting.paper]

    def length(self, metres: float) -> str:
        """Return a length in which figures and units stay together."""
        return self.setting.length(metres).replace(" ", FIXED_SPACE)

    def inner_box(self, width_mm: float, height_mm: float) -> Box:
        """Return the part of a sheet that is drawn on, over its foot."""
        inner = inner_box(width_mm, height_mm)
        low = inner.bottom - (FOOT_MM if self.has_foot else 0.0)
        return Box(inner.left, inner.top, inner.right, low)


ON_A4 = Print(Setting())


@dataclass(frozen=True)
class Sheet:
    """A finished sheet and what it is called."""

    name: str
    drawing: Drawing


@dataclass(frozen=True)
class Head:
    """The head of a sheet: pass and kind of sheet large, then what, where and when."""

    title: str
    """Pass, in large letters."""
    kind: str
    lines: tuple[str, ...]

    def height_mm(self, width_mm: float) -> float:
        """How much of the sheet it takes."""
        rows = len(self._title(width_mm)) * BIG_MM * LINE
        return rows + len(self._lines(width_mm)) * MIDDLE_MM * LINE + 3.2

    def draw(self, drawing: Drawing, box: Box) -> None:
        """Draw it at the top of a box, with a rule under it."""
        base = box.top + BIG_MM * 0.8
        drawing.text((box.right, base), self.kind, MIDDLE_MM, "bold", anchor="end")
        for line in self._title(box.width):
            drawing.text((box.left, base), line, BIG_MM, "bold")
            base += BIG_MM * LINE
        base -= BIG_MM * LINE - MIDDLE_MM * LINE - 0.8
        for line in self._lines(box.width):
            drawing.text((box.left, base), line, MIDDLE_MM)
            base += MIDDLE_MM * LINE
        under = box.top + self.height_mm(box.width) - 1.2
        drawing.line((box.left, under), (box.right, under), RULE)

    def _title(self, width_mm: float) -> tuple[str, ...]:
        return wrapped(self.title, width_mm - 45, BIG_MM, "bold", 2)

    def _lines(self, width_mm: float) -> tuple[str, ...]:
        return tuple(
            part for line in self.lines for part in wrapped(line, width_mm, MIDDLE_MM, most_lines=3)
        )


def head_of(names: Names, pass_id: str, kind: str, setting: Setting | None = None) -> Head:
    """Return the head of a sheet of a pass; its hours are written as the setting says."""
    shoot, each = names.plan.pass_of(pass_id)
    where = f"{shoot.title}. {shoot.venue.name}"
    return Head(names.pass_label(pass_id), kind, (where, when(shoot, each, setting)))


def inner_box(width_mm: float, height_mm: float) -> Box:
    """Return the part of a sheet that is drawn on."""
    return Box(MARGIN_MM, MARGIN_MM, width_mm - MARGIN_MM, height_mm - MARGIN_MM)


def in_columns(heights_mm: Sequence[float], columns: int) -> tuple[list[tuple[int, float]], float]:
    """Return column and top of each block, in order, and the height of the lowest column.

    The least height is found with which the blocks still go into so many columns.
    """
    if not heights_mm:
        return [], 0.0
    least, most = max(heights_mm), sum(heights_mm)
    for _ in range(24):
        middle = (least + most) / 2
        if _flow(heights_mm, middle)[-1][0] < columns:
            most = middle
        else:
            least = middle
    places = _flow(heights_mm, most)
    return places, max(top + height for (_, top), height in zip(places, heights_mm, strict=True))


def _flow(heights_mm: Sequence[float], most_mm: float) -> list[tuple[int, float]]:
    """Column and top of each block in columns of a given height."""
    places: list[tuple[int, float]] = []
    column, top = 0, 0.0
    for height in heights_mm:
        if top > 0 and top + height > most_mm + 1e-9:
            column, top = column + 1, 0.0
        places.append((column, top))
        top += height
    return places


def pages_of(heights_mm: Sequence[float], most_mm: float, columns: int) -> list[list[int]]:
    """Return the numbers of the blocks on each page of columns of a given height."""
    pages: list[list[int]] = []
    for number, (column, _) in enumerate(_flow(heights_mm, most_mm)):
        while len(pages) <= column // columns:
            pages.append([])
        pages[column // columns].append(number)
    return pages


Lines = tuple[tuple[str, float, Weight], ...]


def height_of(lines: Lines, step_mm: float) -> float:
    """Return the height of lines under each other."""
    return len(lines) * step_mm
