"""A time axis for charts of the day: from when to when over which part of a sheet, with ticks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from kitplan.paper.drawings.sheet import GREY
from kitplan.paper.drawings.svg import Pen, Style
from kitplan.paper.drawings.text import PT_MM, width_mm

CHART_TEXT_MM = 8 * PT_MM
STEPS_MIN = (1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440)
TICK = Style(stroke="#777", width=0.18, dash="0.4 0.8")


@dataclass(frozen=True)
class Axis:
    """Seconds from a beginning, laid on a sheet from left to right."""

    begin: datetime
    """What seconds count from."""
    first_s: float
    last_s: float
    left_mm: float
    right_mm: float
    words: Callable[[datetime], str]
    """How a time of day is written."""

    def place(self, at_s: float) -> float:
        """Return where a second lies; what lies beyond an end is put there."""
        share = (at_s - self.first_s) / max(self.last_s - self.first_s, 1e-9)
        return self.left_mm + min(max(share, 0.0), 1.0) * (self.right_mm - self.left_mm)

    def draw(self, pen: Pen, top_mm: float, base_mm: float) -> None:
        """Draw its ticks from the top down, and the times under their ends."""
        for at_s in self.ticks():
            x = self.place(at_s)
            pen.line((x, top_mm), (x, base_mm), TICK)
            words = self.words(self.begin + timedelta(seconds=at_s))
            base = base_mm + CHART_TEXT_MM * 1.1
            pen.text((x, base), words, CHART_TEXT_MM, anchor="middle", ink=GREY)

    def ticks(self) -> Iterator[float]:
        """Yield round times of day, so many that their words do not touch."""
        step_s = 60 * self._step_min()
        midnight = self.begin.replace(hour=0, minute=0, second=0, microsecond=0)
        past_s = (self.begin - midnight).total_seconds() + self.first_s
        at_s = self.first_s + -past_s % step_s
        while at_s <= self.last_s:
            yield at_s
            at_s += step_s

    def _step_min(self) -> int:
        room = max(width_mm(self.words(self.begin), CHART_TEXT_MM), 8.0) * 1.5
        per_min = 60 * (self.right_mm - self.left_mm) / max(self.last_s - self.first_s, 1e-9)
        return next((step for step in STEPS_MIN if step * per_min >= room), STEPS_MIN[-1])
