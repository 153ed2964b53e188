"""Flat outlines, pure geometry: whether they cross themselves, what is inside, what two share."""

from __future__ import annotations

from itertools import pairwise
from math import dist, hypot
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shapely import Polygon

Point = tuple[float, float]
EPSILON_M = 1e-9
LEAST_AREA_M2 = 1e-4
"""1 x 1 cm: an outline with less is a slip of the pen, and outlines that share less only touch."""


def without_repeats(outline_m: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return an outline without corners that repeat the one before; it may close on its first."""
    before = (outline_m[-1], *outline_m)
    return tuple(p for p, last in zip(outline_m, before, strict=False) if dist(p, last) > EPSILON_M)


def spread_m2(outline_m: tuple[Point, ...]) -> float:
    """Return the area of the triangles from the first corner to every edge, in square metres.

    It is 0 only where all corners lie in line; crossing edges do not cancel out.
    """
    x0, y0 = outline_m[0]
    rays = [(x - x0, y - y0) for x, y in outline_m]
    return sum(abs(x1 * y2 - x2 * y1) for (x1, y1), (x2, y2) in pairwise(rays)) / 2


def crossing_edges(outline_m: tuple[Point, ...]) -> tuple[int, int] | None:
    """Return two edges that touch away from a shared corner, by their first corner, or None."""
    corners = without_repeats(outline_m)
    edges = list(zip(corners, (*corners[1:], corners[0]), strict=True)) if corners else []
    for second in range(len(edges)):
        for first in range(second):
            is_next = second - first == 1 or (first == 0 and second == len(edges) - 1)
            touch = _turn_back if is_next else _touch
            if touch(edges[first], edges[second]):
                return first, second
    return None


def contains(outline_m: tuple[Point, ...], at_m: Point) -> bool:
    """Return whether a point lies strictly inside an outline, not on its edge."""
    x, y = at_m
    is_inside = False
    for (x1, y1), (x2, y2) in zip(outline_m, (*outline_m[1:], outline_m[0]), strict=True):
        if _distance_m(at_m, ((x1, y1), (x2, y2))) <= EPSILON_M:
            return False
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            is_inside = not is_inside
    return is_inside


def shape(outline_m: tuple[Point, ...]) -> Polygon:
    """Return an outline as a shape to compare with others; one that is wrong is empty."""
    from shapely import Polygon

    corners = without_repeats(outline_m)
    ring = Polygon(corners if len(corners) >= 3 else ())
    return ring if ring.is_valid else Polygon()


def overlap(one_m: tuple[Point, ...], other_m: tuple[Point, ...]) -> bool:
    """Return whether two outlines share an area; touching is not enough."""
    return bool(shape(one_m).intersection(shape(other_m)).area > LEAST_AREA_M2)


def is_within(inner_m: tuple[Point, ...], outer_m: tuple[Point, ...]) -> bool:
    """Return whether a whole outline lies inside another one, or on its edge."""
    inner = shape(inner_m)
    rest = inner.difference(shape(outer_m))
    return bool(inner.area > LEAST_AREA_M2 >= rest.area)


Edge = tuple[Point, Point]


def _side(edge: Edge, at_m: Point) -> int:
    """Return 1, -1 or 0: left of an edge, right of it, or in line with it."""
    (x1, y1), (x2, y2) = edge
    turn = (x2 - x1) * (at_m[1] - y1) - (y2 - y1) * (at_m[0] - x1)
    reach = hypot(x2 - x1, y2 - y1)
    return 0 if abs(turn) <= EPSILON_M * reach else (1 if turn > 0 else -1)


def _distance_m(at_m: Point, edge: Edge) -> float:
    """Return the distance of a point from the nearest point of an edge."""
    (x1, y1), (x2, y2) = edge
    length2 = (x2 - x1) ** 2 + (y2 - y1) ** 2
    along = 0.0
    if length2 > 0:
        along = ((at_m[0] - x1) * (x2 - x1) + (at_m[1] - y1) * (y2 - y1)) / length2
    share = min(1.0, max(0.0, along))
    return dist(at_m, (x1 + share * (x2 - x1), y1 + share * (y2 - y1)))


def _touch(one: Edge, other: Edge) -> bool:
    """Return whether two edges have a point in common."""
    if _side(one, other[0]) * _side(one, other[1]) < 0:
        return _side(other, one[0]) * _side(other, one[1]) <= 0
    ends = [(point, other) for point in one] + [(point, one) for point in other]
    return any(_distance_m(point, edge) <= EPSILON_M for point, edge in ends)


def _turn_back(one: Edge, following: Edge) -> bool:
    """Return whether two edges with a corner in common lie on each other."""
    shared = one[1] if dist(one[1], following[0]) <= EPSILON_M else one[0]
    far = [next(p for p in edge if dist(p, shared) > EPSILON_M) for edge in (one, following)]
    (x1, y1), (x2, y2) = ((x - shared[0], y - shared[1]) for x, y in far)
    is_ahead = x1 * x2 + y1 * y2 > 0
    return is_ahead and _side((shared, far[0]), far[1]) == 0
