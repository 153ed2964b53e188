"""Charts of bars side by side: what each of a few things comes to, measure by measure.

Every bar carries its name and its figure, so that nothing hangs on a shade; the one that matters
most is solid. Bars of a measure begin at nought and share a scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitplan.paper.drawings.svg import INK, Drawing, Pen, Style
from kitplan.paper.drawings.text import PT_MM, shortened, width_mm, wrapped

TEXT_MM, TITLE_MM, SIDE_MM = 8 * PT_MM, 8.5 * PT_MM, 10.5 * PT_MM
BAR_MM, STEP_MM = 2.9, 4.1
HEAD_MM, PANEL_GAP_MM, SIDE_HEAD_MM = 4.4, 2.4, 6.4
COLUMN_GAP_MM, NAME_GAP_MM, FIGURE_GAP_MM = 9.0, 1.8, 1.4
MOST_NAME_SHARE = 0.46
OUTLINED, SOLID = Style(width=0.3, fill="#fff"), Style(width=0.3, fill=INK)
BASE = Style(width=0.3)


@dataclass(frozen=True)
class Measure:
    """What is measured, for each thing in turn."""

    title: str
    values: tuple[float | None, ...]
    """None where it is not known."""
    words: tuple[str, ...]
    """The figures as they are written."""


@dataclass(frozen=True)
class Side:
    """Measures under each other: 'What it buys'."""

    title: str
    measures: tuple[Measure, ...]


def bar_chart(
    title: str, names: Sequence[str], sides: Sequence[Side], solid: int, wide_mm: float
) -> Drawing:
    """Return a chart: a column for each side, a group of bars for each measure.

    Args:
        names: Of the things, in the order of the values.
        solid: Which of them is drawn solid.
        wide_mm: Width of the whole.
    """
    column_mm = (wide_mm - COLUMN_GAP_MM * (len(sides) - 1)) / len(sides)
    panel_mm = HEAD_MM + STEP_MM * len(names) + PANEL_GAP_MM
    rows = max(len(side.measures) for side in sides)
    drawing = Drawing(wide_mm, SIDE_HEAD_MM + rows * panel_mm, title)
    for number, side in enumerate(sides):
        left = number * (column_mm + COLUMN_GAP_MM)
        drawing.text((left, SIDE_MM), side.title, SIDE_MM, "bold")
        for row, measure in enumerate(side.measures):
            top = SIDE_HEAD_MM + row * panel_mm
            _panel(drawing, names, measure, solid, (left, top, column_mm))
    return drawing


def _panel(
    pen: Pen, names: Sequence[str], measure: Measure, solid: int, place: tuple[float, float, float]
) -> None:
    left, top, wide = place
    (line, *_) = wrapped(measure.title, wide, TITLE_MM, "bold", 1)
    pen.text((left, top + TITLE_MM), line, TITLE_MM, "bold")
    most_mm = MOST_NAME_SHARE * wide
    shown = [shortened(name, most_mm, TEXT_MM) for name in names]
    base = left + max(width_mm(name, TEXT_MM) for name in shown) + NAME_GAP_MM
    figures_mm = max(width_mm(words, TEXT_MM, "bold") for words in measure.words)
    room_mm = left + wide - base - figures_mm - FIGURE_GAP_MM
    most = max((value for value in measure.values if value), default=0.0)
    first = top + HEAD_MM
    for number, (name, value, words) in enumerate(
        zip(shown, measure.values, measure.words, strict=True)
    ):
        y = first + number * STEP_MM
        line_y = y + BAR_MM - 0.5
        pen.text((base - NAME_GAP_MM, line_y), name, TEXT_MM, anchor="end")
        long_mm = room_mm * max(value or 0.0, 0.0) / most if most else 0.0
        if long_mm > 0:
            pen.box(base, y, long_mm, BAR_MM, SOLID if number == solid else OUTLINED)
        pen.text((base + long_mm + FIGURE_GAP_MM, line_y), words, TEXT_MM, "bold")
    end = first + (len(names) - 1) * STEP_MM + BAR_MM
    pen.line((base, first - 0.6), (base, end + 0.6), BASE)
