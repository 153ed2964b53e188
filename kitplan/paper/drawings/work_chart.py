"""The chart of the work in a gap: a lane for each person, a box for each job, and the gate.

The letter of the camera stands in the boxes; a black foot marks jobs on which the end hangs. An
empty lane is a free pair of hands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from kitplan.paper.drawings.svg import INK, PAPER, Drawing, Pen, Style
from kitplan.paper.drawings.text import PT_MM, shortened, width_mm
from kitplan.paper.drawings.time_axis import CHART_TEXT_MM, Axis

NAME_MM, GATE_MM = 26.0, 15.0
LANE_MM, BOX_MM, HEAD_MM, FOOT_MM, KEY_MM = 11.6, 9.4, 6.4, 4.8, 6.2
LETTER_MM = 10 * PT_MM
FOOT_BAR_MM = 1.3
LAST_HAND = "last hand free"
LEAST_SIGNS = 2
"""A mark of more than one letter is not cut down to fewer."""
TRUE_SHARE = 0.3
"""A gate that is no further off than this share of the work is drawn where it lies."""
Kind = Literal["down", "carry", "up", "other", "rest"]
FILLS: dict[Kind, str] = {
    "down": PAPER,
    "carry": "#e4e4e4",
    "up": "#c4c4c4",
    "other": PAPER,
    "rest": PAPER,
}
KEYS: dict[Kind, str] = {"down": "take down", "carry": "carry", "up": "build, frame, check"}


@dataclass(frozen=True)
class Box:
    """A job of one person; seconds from the beginning of the gap."""

    start_s: float
    end_s: float
    mark: str
    """Camera letter; a word for what belongs to no camera."""
    word: str
    """What is done; drawn where there is room."""
    kind: Kind
    is_critical: bool


@dataclass(frozen=True)
class Lane:
    """A person with the jobs in order."""

    name: str
    boxes: tuple[Box, ...]


@dataclass(frozen=True)
class WorkChart:
    """A gap between two passes."""

    title: str
    begin: datetime
    lanes: tuple[Lane, ...]
    end_s: float
    """When the last hand is free."""
    gate_s: float | None
    gate: str
    """What the gate is: 'doors'."""

    def drawing(self, wide_mm: float, words: Callable[[datetime], str]) -> Drawing:
        """Return the chart in a width.

        Args:
            words: How a time of day is written.
        """
        base = HEAD_MM + LANE_MM * len(self.lanes)
        drawing = Drawing(wide_mm, base + FOOT_MM + KEY_MM, self.title)
        axis = self._axis(wide_mm, words)
        axis.draw(drawing, HEAD_MM - 1.0, base)
        for number, lane in enumerate(self.lanes):
            _draw_lane(drawing, axis, lane, HEAD_MM + LANE_MM * number)
        gate = self._draw_gate(drawing, axis, base, wide_mm)
        self._draw_end(drawing, axis, base, gate)
        self._draw_key(drawing, base + FOOT_MM + KEY_MM * 0.6)
        return drawing

    def _axis(self, wide_mm: float, words: Callable[[datetime], str]) -> Axis:
        last = max((box.end_s for lane in self.lanes for box in lane.boxes), default=60.0)
        last = max(last, self.end_s)
        room = 0.0 if self.gate_s is None else GATE_MM
        if self.gate_s is not None and self.gate_s <= last * (1 + TRUE_SHARE):
            last, room = max(last, self.gate_s) * 1.01, GATE_MM / 2
        return Axis(self.begin, 0.0, last, NAME_MM, wide_mm - max(room, 5.0), words)

    def _draw_end(self, pen: Pen, axis: Axis, base: float, gate: tuple[float, float]) -> None:
        """Draw when the last hand is free; its words keep clear of those of the gate."""
        x = axis.place(self.end_s)
        pen.line((x, HEAD_MM - 1.0), (x, base), Style(width=0.35, dash="1.6 0.8"))
        half = width_mm(LAST_HAND, CHART_TEXT_MM) / 2
        x = min(max(x, axis.left_mm + half), axis.right_mm - half)
        if x + half > gate[0] - 1.5 and x - half < gate[1] + 1.5:
            left, right = gate[0] - half - 1.5, gate[1] + half + 1.5
            x = right if x > gate[1] and right + half <= axis.right_mm else left
        pen.text((x, HEAD_MM - 2.2), LAST_HAND, CHART_TEXT_MM, anchor="middle", halo=0.6)

    def _draw_gate(self, pen: Pen, axis: Axis, base: float, wide_mm: float) -> tuple[float, float]:
        """Draw the gate: where it lies, or behind a break in the axis where it is far off.

        Returns where its words begin and where it stands.
        """
        if self.gate_s is None:
            return wide_mm + 10.0, wide_mm + 10.0
        is_true = self.gate_s <= axis.last_s
        x = axis.place(self.gate_s) if is_true else wide_mm - 1.0
        pen.line((x, HEAD_MM - 4.6), (x, base), Style(width=1.2))
        pen.text((x - 1.2, HEAD_MM - 2.2), self.gate, CHART_TEXT_MM, "bold", anchor="end", halo=0.6)
        if not is_true:
            middle = (axis.right_mm + x) / 2
            for way in (-0.6, 0.6):
                ends = (middle + way - 0.7, base + 1.2), (middle + way + 0.7, base - 1.2)
                pen.line(*ends, Style(width=0.35))
        return x - 1.2 - width_mm(self.gate, CHART_TEXT_MM, "bold"), x

    def _draw_key(self, pen: Pen, middle: float) -> None:
        found = {box.kind for lane in self.lanes for box in lane.boxes}
        x = 0.3
        base = middle + CHART_TEXT_MM * 0.35
        for kind, words in KEYS.items():
            if kind in found:
                pen.box(x, middle - 1.6, 5.0, 3.2, Style(width=0.2, fill=FILLS[kind]))
                pen.text((x + 6.0, base), words, CHART_TEXT_MM)
                x += 10.0 + width_mm(words, CHART_TEXT_MM)
        if any(box.is_critical for lane in self.lanes for box in lane.boxes):
            pen.box(x, middle + 0.3, 5.0, FOOT_BAR_MM, Style(stroke="none", fill=INK))
            pen.text((x + 6.0, base), "the end hangs on it", CHART_TEXT_MM)


def _draw_lane(pen: Pen, axis: Axis, lane: Lane, top: float) -> None:
    name = shortened(lane.name, NAME_MM - 2.0, LETTER_MM, "bold")
    pen.text((0.0, top + LANE_MM / 2 + 1.2), name, LETTER_MM, "bold")
    pen.line((0.0, top + LANE_MM), (axis.right_mm, top + LANE_MM), Style(stroke="#999", width=0.15))
    high = top + (LANE_MM - BOX_MM) / 2
    for box in lane.boxes:
        left, right = axis.place(box.start_s), axis.place(box.end_s)
        dash = "0.8 0.6" if box.kind == "rest" else ""
        pen.box(left, high, right - left, BOX_MM, Style(width=0.2, fill=FILLS[box.kind], dash=dash))
        if box.is_critical:
            foot = high + BOX_MM - FOOT_BAR_MM
            pen.box(left, foot, right - left, FOOT_BAR_MM, Style(stroke="none", fill=INK))
    for mark, boxes in _groups(lane.boxes):
        box = max(boxes, key=lambda each: each.end_s - each.start_s)
        left, right = axis.place(box.start_s), axis.place(box.end_s)
        words = shortened(mark, max(right - left - 0.4, 0.0), LETTER_MM, "bold")
        spot = ((left + right) / 2, high + LETTER_MM * 1.02)
        if words == mark or len(words) > LEAST_SIGNS:
            pen.text(spot, words, LETTER_MM, "bold", anchor="middle")
    for box in lane.boxes:
        left, right = axis.place(box.start_s), axis.place(box.end_s)
        if width_mm(box.word, CHART_TEXT_MM) < right - left - 0.8:
            spot = ((left + right) / 2, high + BOX_MM - FOOT_BAR_MM - 0.9)
            pen.text(spot, box.word, CHART_TEXT_MM, anchor="middle")


def _groups(boxes: Sequence[Box]) -> Iterator[tuple[str, list[Box]]]:
    """Yield jobs on the same camera that follow each other: they share one letter."""
    found: list[Box] = []
    for box in boxes:
        goes_on = found and found[-1].mark == box.mark and box.start_s - found[-1].end_s < 1
        if found and not goes_on:
            yield found[0].mark, found
            found = []
        found = [*found, box]
    if found:
        yield found[0].mark, found
