"""The drawn frames of shots, each drawn once, with the scenery of a pass shared."""

from __future__ import annotations

from collections.abc import Callable

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.frame import draw_picture
from kitplan.paper.drawings.looks import look_of
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.svg import Drawing
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Picture
from kitplan.plan.framing import Framing
from kitplan.plan.records import Placement

Draw = Callable[[Placement, Framing, float], Picture]
"""Draws a shot of a placement, so many mm wide."""
TALLEST = 1.0
"""As a share of the width: upright pictures get narrower."""


class ShotPictures:
    """Draws the shots of a plan's placements."""

    def __init__(self, names: Names) -> None:
        self._names = names
        self._contents: dict[str, Content] = {}
        self._drawn: dict[tuple[str, str, str, str, float], Picture] = {}

    def of(self, placement: Placement, framing: Framing, width_mm: float) -> Picture:
        """Return what the operator of a placement should see at a framing.

        Args:
            width_mm: How wide it is printed: lines and details are drawn for that.
        """
        key = (placement.pass_id, placement.letter, framing.subject, framing.size, width_mm)
        if key not in self._drawn:
            self._drawn[key] = self._draw(placement, framing, width_mm)
        return self._drawn[key]

    def _draw(self, placement: Placement, framing: Framing, width_mm: float) -> Picture:
        content = self._contents.setdefault(
            placement.pass_id, Content(self._names, placement.pass_id)
        )
        look = look_of(self._names, placement, framing)
        width = min(width_mm, width_mm * TALLEST * look.aspect)
        height = width / look.aspect
        words = f"Camera {placement.letter}: {self._names.framing(placement.pass_id, framing)}"
        drawing = Drawing(width, height, words)
        draw_picture(drawing, content, look, Box(0.0, 0.0, width, height))
        return Picture(drawing.svg(), width, height, words)
