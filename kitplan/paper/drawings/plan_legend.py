"""Around a floor plan: directions, scale bar, and what the marks mean."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.ground import Ground
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.plan_marks import (
    FREE_MM,
    SOFT,
    arrow,
    camera_disc,
    dots,
    free_mark,
    person_mark,
)
from kitplan.paper.drawings.plan_views import DASHES
from kitplan.paper.drawings.sheet import GREY, Print
from kitplan.paper.drawings.svg import INK, PAPER, Drawing, Pen, Spot, Style
from kitplan.paper.drawings.text import LEAST_MM, PT_MM, TEXT_MM, width_mm
from kitplan.paper.pack.setting import M_PER_FOOT

Sample = Callable[[Pen, float, float], float]
"""Draws a mark at a left end and middle, and returns its width."""
LEGEND_MM = 8.6
SIDE_MM = 9 * PT_MM
_ROUND = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)


def draw_frame(drawing: Drawing, area: Box, ground: Ground, printed: Print) -> None:
    """Draw the frame of the plan, which way is which, and the scale."""
    drawing.box(area.left, area.top, area.width, area.height, Style(width=0.25))
    x, y = area.middle
    base = area.top - 1.4
    half = width_mm("upstage", SIDE_MM, "bold") / 2
    drawing.text((x, base), "upstage", SIDE_MM, "bold", anchor="middle")
    for way in (-1, 1):
        arrow(drawing, (x + way * (half + 3), base + 0.7), (x + way * (half + 3), base - 2.6), 0.3)
    drawing.text((x, area.bottom + 3.8), "house", SIDE_MM, "bold", anchor="middle")
    drawing.text((area.left - 1.8, y), "house left", SIDE_MM, "bold", anchor="middle", turn_deg=-90)
    drawing.text(
        (area.right + 1.8, y), "house right", SIDE_MM, "bold", anchor="middle", turn_deg=90
    )
    _scale_bar(drawing, (area.right, area.bottom + 3.6), ground, printed)


def _scale_bar(drawing: Drawing, end: Spot, ground: Ground, printed: Print) -> None:
    """Draw a bar of a round length that ends at a spot, and say the scale."""
    right, base = end
    units = printed.setting.units
    step = ground.mm_per_m * (M_PER_FOOT if units == "ft" else 1.0)
    length = max((each for each in _ROUND if each * step <= 45.0), default=_ROUND[0])
    long = length * step
    words = f"{length:g} {units}"
    left = right - width_mm(words, TEXT_MM) - 1.2 - long
    quarter = long / 4
    for index in range(4):
        fill = INK if index % 2 == 0 else PAPER
        box = (left + index * quarter, base - 1.5, quarter, 1.5)
        drawing.box(*box, Style(width=0.2, fill=fill))
    drawing.text((right, base), words, TEXT_MM, anchor="end")
    scale = f"1:{ground.scale:.0f} on {printed.page}"
    drawing.text((left - 1.8, base), scale, TEXT_MM, "bold", anchor="end")


def draw_legend(drawing: Drawing, inner: Box, content: Content) -> None:
    """Draw what the marks mean, in a line at the foot of the sheet."""
    y = inner.bottom - 3.0
    x = inner.left
    for draw, words in _entries(content):
        wide = draw(drawing, x, y)
        drawing.text((x + wide + 1.0, y + LEAST_MM * 0.35), words, LEAST_MM, ink=GREY)
        x += wide + 1.0 + width_mm(words, LEAST_MM) + 4.2


def _entries(content: Content) -> Iterator[tuple[Sample, str]]:
    """Yield what draws a mark and returns its width, with its meaning."""
    if content.looks:
        yield _operated, "operated"
        yield _locked, "locked off, view dashed"
    if content.free:
        yield _free, "free position"
    if content.people:
        yield _person, "performer"
    if content.sweeps:
        yield _sweep, "reach of a move"
    kinds = {(area.state == "seated") for area in content.shoot.venue.audience}
    for is_seat in sorted(kinds, reverse=True):
        words = "seats: taken, empty" if is_seat else "standing: people, nobody"
        yield (_seats if is_seat else _standing), words


def _operated(pen: Pen, x: float, y: float) -> float:
    camera_disc(pen, (x + 3.3, y), "A", is_operated=True)
    pen.trail(((x + 14, y - 2.2), (x + 7.5, y), (x + 14, y + 2.2)), Style(width=0.32))
    return 14.0


def _locked(pen: Pen, x: float, y: float) -> float:
    camera_disc(pen, (x + 3.3, y), "B", is_operated=False)
    style = Style(width=0.32, dash=DASHES)
    pen.trail(((x + 14, y - 2.2), (x + 7.5, y), (x + 14, y + 2.2)), style)
    return 14.0


def _free(pen: Pen, x: float, y: float) -> float:
    free_mark(pen, (x + FREE_MM, y))
    return 2 * FREE_MM


def _person(pen: Pen, x: float, y: float) -> float:
    person_mark(pen, (x + 1.8, y), 3.6, "standing")
    return 3.6


def _seats(pen: Pen, x: float, y: float) -> float:
    dots(pen, [(x + 0.5, y)], 0.95, is_seat=True, is_full=True)
    dots(pen, [(x + 2.2, y)], 0.95, is_seat=True, is_full=False)
    return 2.8


def _standing(pen: Pen, x: float, y: float) -> float:
    dots(pen, [(x + 0.5, y)], 0.95, is_seat=False, is_full=True)
    dots(pen, [(x + 2.2, y)], 0.95, is_seat=False, is_full=False)
    return 2.8


def _sweep(pen: Pen, x: float, y: float) -> float:
    style = Style(stroke=SOFT, width=0.25, dash="0.3 0.9", is_round=True)
    pen.trail(((x, y + 1.2), (x + 1.2, y - 0.8), (x + 3.6, y - 0.8), (x + 4.8, y + 1.2)), style)
    return 4.8
