"""The ground of a floor plan: which scale, and where a point of the venue lies on the sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import cos, radians, sin

from kitplan.paper.drawings.boxes import Box
from kitplan.paper.drawings.svg import Spot

SCALES = (20, 25, 50, 75, 100, 125, 150, 175, 200, 250, 300, 350, 400, 500, 600, 750)
"""Scales of plans, 1 to so many; then these times 10 and 100."""
MM_PER_M = 1000.0
Point = tuple[float, float]


@dataclass(frozen=True)
class Ground:
    """A venue laid on a sheet, upstage at the top."""

    scale: float
    """1 to so many."""
    origin: Spot
    """Where the middle of the stage's front edge lies, in mm."""

    @property
    def mm_per_m(self) -> float:
        """Millimetres on paper for a metre of floor."""
        return MM_PER_M / self.scale

    def spot(self, point_m: Sequence[float]) -> Spot:
        """Return where a point of the venue (x, y, perhaps z) lies on the sheet."""
        step = self.mm_per_m
        return self.origin[0] + point_m[0] * step, self.origin[1] - point_m[1] * step

    def spots(self, points_m: Iterable[Sequence[float]]) -> list[Spot]:
        """Return where several points lie."""
        return [self.spot(point) for point in points_m]


def lay(points_m: Sequence[Point], area: Box, rim_mm: float) -> Ground:
    """Return the ground that shows all points within an area, at the largest usual scale.

    Args:
        rim_mm: Left free on all sides, for marks and names.
    """
    left, right = min(x for x, _ in points_m), max(x for x, _ in points_m)
    low, high = min(y for _, y in points_m), max(y for _, y in points_m)
    room = area.grown(-rim_mm)
    needed = max(
        (right - left) * MM_PER_M / max(room.width, 1.0),
        (high - low) * MM_PER_M / max(room.height, 1.0),
    )
    usual = [scale * factor for factor in (1, 10, 100) for scale in SCALES]
    scale = next((each for each in sorted(usual) if each >= needed - 1e-9), needed)
    step = MM_PER_M / scale
    middle = area.middle
    origin = (
        middle[0] - (left + right) / 2 * step,
        middle[1] + (low + high) / 2 * step,
    )
    return Ground(scale, origin)


def towards(point_m: Point, bearing_deg: float, reach_m: float) -> Point:
    """Return the point at a bearing (clockwise from upstage) and distance."""
    angle = radians(bearing_deg)
    return point_m[0] + reach_m * sin(angle), point_m[1] + reach_m * cos(angle)


def arc_points(point_m: Point, reach_m: float, arc_deg: tuple[float, float] | None) -> list[Point]:
    """Return points along an arc around a point, clockwise; all around without limits."""
    first, last = arc_deg or (0.0, 360.0)
    width = 360.0 if abs(last - first) >= 360 else (last - first) % 360
    steps = max(int(width // 6), 2)
    return [towards(point_m, first + width * n / steps, reach_m) for n in range(steps + 1)]
