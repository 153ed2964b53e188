"""The places that a label may take: rings of boxes around its point, and what each costs.

Boxes over marks or off the sheet are left out. Everything is in millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property
from math import cos, pi, sin

import numpy as np

from kitplan.paper.drawings.boxes import Box, Floats, Line, meet, strike

GAP_MM = 0.5
"""Between labels, and between a label and a mark."""
RINGS_MM = (0.6, 2.2, 4.5, 7.5, 11.0, 15.0, 20.0, 26.0, 33.0, 41.0, 50.0)
DIRECTIONS = 24
LEADER_FROM_MM = 1.8
"""Labels farther than this from their mark get a leader line."""
SHORTER = 30.0
"""What each step to a shorter form costs, in the same unit as about a millimetre of distance."""
OVER_LINE, NOT_INSIDE = 1.5, 9.0
OVER_LARGE, OVER_SMALL, LARGE_MM = 70.0, 14.0, 5.0
"""What a leader over a mark costs: over a large one more than a shorter form of the label."""


@dataclass(frozen=True)
class Wish:
    """A label that wants a place."""

    key: str
    at: tuple[float, float]
    clearance_mm: float
    """Radius of what is drawn at the point: the label keeps off it."""
    sizes_mm: tuple[tuple[float, float], ...]
    """Width and height of each form, the fullest first."""
    weight: float = 1.0
    spots: tuple[tuple[float, float], ...] = ()
    """Middles to try first, without a leader, in this order: for names of areas."""


@dataclass(frozen=True)
class Places:
    """The places that one label may take: those that are off the marks and on the sheet."""

    boxes: Floats
    leaders: Floats
    """Not a number where there is none."""
    forms: np.ndarray[tuple[int, ...], np.dtype[np.int64]]
    costs: Floats

    @cached_property
    def box_rows(self) -> list[Box]:
        """The boxes one by one."""
        return [Box(*row) for row in self.boxes.tolist()]

    @cached_property
    def lines(self) -> list[Line | None]:
        """The leaders one by one."""
        return [None if row[0] != row[0] else tuple(row) for row in self.leaders.tolist()]


def places_of(wish: Wish, bounds: Box, marks: Floats, strokes: Floats) -> Places:
    parts = [_form_places(wish, form, size, marks) for form, size in enumerate(wish.sizes_mm)] or [
        (np.empty((0, 4)), np.empty((0, 4)), np.empty(0))
    ]
    boxes = np.concatenate([part[0] for part in parts])
    leaders = np.concatenate([part[1] for part in parts])
    costs = np.concatenate([part[2] for part in parts])
    forms = np.concatenate([np.full(len(part[2]), form) for form, part in enumerate(parts)])
    is_inside = (boxes[:, :2] >= np.array(bounds[:2]) - 1e-9).all(axis=1)
    is_inside &= (boxes[:, 2:] <= np.array(bounds[2:]) + 1e-9).all(axis=1)
    kept = is_inside & ~meet(boxes, marks, GAP_MM).any(axis=1)
    boxes, leaders, costs, forms = boxes[kept], leaders[kept], costs[kept], forms[kept]
    costs = costs + OVER_LINE * np.minimum(strike(strokes, boxes).sum(axis=0), 6)
    order = np.argsort(costs, kind="stable")
    return Places(boxes[order], leaders[order], forms[order].astype(np.int64), costs[order])


def _form_places(
    wish: Wish, form: int, size_mm: tuple[float, float], marks: Floats
) -> tuple[Floats, Floats, Floats]:
    """Boxes, leaders and costs of one form, whether they are free or not."""
    middles, away = _ring_middles(wish, size_mm)
    boxes = _boxes_around(middles, size_mm)
    leaders = _leaders(wish, boxes)
    costs = form * SHORTER + away + (NOT_INSIDE if wish.spots else 0.0)
    if len(marks):
        own = (np.array(wish.at) > marks[:, :2] - GAP_MM).all(axis=1)
        own &= (np.array(wish.at) < marks[:, 2:] + GAP_MM).all(axis=1)
        others = marks[~own]
        size = np.minimum(others[:, 2] - others[:, 0], others[:, 3] - others[:, 1])
        costs += strike(leaders, others) @ np.where(size > LARGE_MM, OVER_LARGE, OVER_SMALL)
    if not wish.spots:
        return boxes, leaders, costs
    inner = _boxes_around(np.array(wish.spots, dtype=np.float64), size_mm)
    return (
        np.concatenate([inner, boxes]),
        np.concatenate([np.full((len(inner), 4), np.nan), leaders]),
        np.concatenate([form * SHORTER + 0.3 * np.arange(len(inner)), costs]),
    )


def _boxes_around(middles: Floats, size_mm: tuple[float, float]) -> Floats:
    half = np.array(size_mm) / 2
    return np.concatenate([middles - half, middles + half], axis=1)


def _ring_middles(wish: Wish, size_mm: tuple[float, float]) -> tuple[Floats, Floats]:
    """Middles of boxes that touch rings around the point, and what their distance costs."""
    rings, directions, weights, costs = _rings()
    radius = (wish.clearance_mm + rings)[:, None]
    half = np.array(size_mm) / 2
    return np.array(wish.at) + radius * directions + half * weights, costs


@cache
def _rings() -> tuple[Floats, Floats, Floats, Floats]:
    """Distance of a ring, direction (x, y), how far a box is moved to its side, and its cost.

    The sides are best, over and under next, corners last: that is where people look for a name.
    """
    found = []
    for ring in RINGS_MM:
        for step in range(DIRECTIONS):
            angle = 2 * pi * step / DIRECTIONS
            across, down = cos(angle), sin(angle)
            cost = ring * 1.2 + 0.8 * (abs(down) > 0.3) + 0.4 * (across < -0.1)
            flat, steep = _corner_weight(across), _corner_weight(down)
            found.append((ring, across, down, flat, steep, cost))
    table = np.array(found)
    return table[:, 0], table[:, 1:3], table[:, 3:5], table[:, 5]


def _corner_weight(share: float) -> float:
    """How far a box is moved to its side for a direction: fully from 25 degrees off."""
    return max(-1.0, min(1.0, share * 2.4))


def _leaders(wish: Wish, boxes: Floats) -> Floats:
    """Lines from the rim of the mark to the nearest place of each box; none where it is close."""
    at = np.array(wish.at)
    ends = np.clip(at, boxes[:, :2], boxes[:, 2:])
    steps = ends - at
    reach = np.linalg.norm(steps, axis=1, keepdims=True)
    starts = at + steps * np.minimum(wish.clearance_mm / np.maximum(reach, 1e-9), 1.0)
    is_far = reach - wish.clearance_mm > LEADER_FROM_MM
    return np.where(is_far, np.concatenate([starts, ends], axis=1), np.nan)
