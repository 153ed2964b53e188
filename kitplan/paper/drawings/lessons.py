"""Small drawings that explain words: whose left is left, and what a shot size holds."""

from __future__ import annotations

from dataclasses import replace

from kitplan.paper.drawings.figures import Facing, figure
from kitplan.paper.drawings.plan_marks import arrow, person_mark
from kitplan.paper.drawings.scene import TARGET
from kitplan.paper.drawings.svg import INK, PAPER, Drawing, Pen, Spot, Style
from kitplan.paper.drawings.text import PT_MM, Weight
from kitplan.shoot.scenery import aim_height_m
from kitplan.shoot.sizes import frame_range
from kitplan.shoot.venue import Subject
from kitplan.tables import table

TEXT_MM = 8.5 * PT_MM
SIDES_MM = (92.0, 60.0)
FRAME_MM = (32.0, 18.0)
"""A small frame of 16:9."""
FLOOR = Style(stroke="#777", width=0.2)
SOMEBODY = Subject(id="somebody", kind="person", at_m=(0.0, 0.0))


def sides() -> Drawing:
    """Return a stage from above with its directions, the house below."""
    wide, high = SIDES_MM
    drawing = Drawing(wide, high, "House left and right, stage left and right")
    stage = ((18.0, 10.0), (wide - 18.0, 10.0), (wide - 13.0, 33.0), (13.0, 33.0))
    drawing.ring(stage, Style(width=0.4, fill=PAPER))
    middle = wide / 2
    person_mark(drawing, (middle, 20.0), 7.0, "standing")
    _word(drawing, (middle, 6.5), "upstage")
    _word(drawing, (middle, 31.0), "downstage")
    for x, words in ((6.5, "wing"), (wide - 6.5, "wing")):
        _word(drawing, (x, 16.0), words, "regular")
    for way, words in ((-1, "stage right"), (1, "stage left")):
        arrow(drawing, (middle + way * 6, 20.5), (middle + way * 11, 20.5), 0.35)
        _word(drawing, (middle + way * 19, 21.6), words)
    for row in range(3):
        for seat in range(11):
            at = (middle + (seat - 5) * 4.2, 45.0 + row * 4.2)
            drawing.circle(at, 1.0, Style(width=0.18, fill="#ddd"))
    for way, words in ((-1, "house left"), (1, "house right")):
        arrow(drawing, (middle + way * 4, 39.0), (middle + way * 10, 39.0), 0.35)
        _word(drawing, (middle + way * 20, 40.1), words)
    _word(drawing, (middle, high - 1.2), "house")
    return drawing


def shot_size(size: str) -> Drawing:
    """Return what a frame of a shot size holds of somebody who stands."""
    wide, high = FRAME_MM
    drawing = Drawing(wide, high, f"{size} of a standing person")
    frame_m = frame_range(SOMEBODY, size, SOMEBODY.width_m, wide / high).frame_m
    aim_m = aim_height_m(SOMEBODY, size, frame_m)
    step = high / frame_m
    pen = drawing.window(0.0, 0.0, wide, high)
    floor = high / 2 + aim_m * step
    pen.line((0.0, floor), (wide, floor), FLOOR)
    _somebody(pen, (wide / 2, floor), step)
    rim = 0.25
    drawing.box(rim, rim, wide - 2 * rim, high - 2 * rim, Style(width=0.5))
    return drawing


def _somebody(pen: Pen, foot: Spot, step: float) -> None:
    """Draw a standing adult, `step` millimetres to the metre."""
    stature_m = float(table("shot_sizes")["adult_m"])
    for part in figure("standing", stature_m, stature_m, Facing(1.0, 0.0)):
        spots = [(foot[0] + x * step, foot[1] - z * step) for x, z in part.points]
        style = replace(TARGET.styles[part.shade], width=0.22)
        if part.is_face and step < 12:
            continue
        if part.is_closed:
            pen.ring(spots, style)
        else:
            pen.trail(spots, style)


def _word(pen: Pen, at: Spot, words: str, weight: Weight = "bold") -> None:
    pen.text(at, words, TEXT_MM, weight, anchor="middle", ink=INK)
