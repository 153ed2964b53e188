"""Plane geometry by scalars: inside an outline, and where a line runs through one. Metres."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import hypot

from kitplan.plan.verify.subjects import Outline, Point

EDGE_M = 1e-9
"""What is no further than this from an edge lies on it, and not inside."""
LEAST_STRETCH = 1e-9
"""Shorter shares of a line are no stretch of it."""


def edges_of(outline: Outline) -> Iterator[tuple[Point, Point]]:
    """Yield the edges of an outline, the one that closes it included."""
    return zip(outline, (*outline[1:], outline[0]), strict=True)


def to_edge_m(at: Point, edge: tuple[Point, Point]) -> float:
    """Return the distance of a point from the nearest point of an edge."""
    (x1, y1), (x2, y2) = edge
    length2 = (x2 - x1) ** 2 + (y2 - y1) ** 2
    along = ((at[0] - x1) * (x2 - x1) + (at[1] - y1) * (y2 - y1)) / length2 if length2 > 0 else 0.0
    along = min(max(along, 0.0), 1.0)
    return hypot(at[0] - x1 - along * (x2 - x1), at[1] - y1 - along * (y2 - y1))


def is_inside(outline: Outline, at: Point) -> bool:
    """Return whether a point lies strictly inside an outline: an odd number of edges beside it."""
    x, y = at
    beside = 0
    for edge in edges_of(outline):
        (x1, y1), (x2, y2) = edge
        if to_edge_m(at, edge) <= EDGE_M:
            return False
        if (y1 > y) != (y2 > y):
            beside += x1 + (y - y1) / (y2 - y1) * (x2 - x1) > x
    return beside % 2 == 1


def stretches(start: Point, end: Point, outline: Outline) -> Iterator[tuple[float, float]]:
    """Yield the shares of the way from start to end between which it runs inside an outline.

    Nothing before the start or behind the end counts. A way without length is inside or not as a
    whole.
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    cuts = sorted({0.0, 1.0, *_crossings(start, (dx, dy), outline)})
    for first, last in pairwise(cuts):
        middle = (first + last) / 2
        if last - first > LEAST_STRETCH and is_inside(
            outline, (start[0] + middle * dx, start[1] + middle * dy)
        ):
            yield first, last


def _crossings(start: Point, way: Point, outline: Outline) -> Iterator[float]:
    """Shares of the way at which it crosses the line of an edge, at the edge or next to it."""
    for (x1, y1), (x2, y2) in edges_of(outline):
        ex, ey = x2 - x1, y2 - y1
        turn = way[0] * ey - way[1] * ex
        if turn == 0:
            continue  # it runs along: the edges before and after say where from and to
        ax, ay = x1 - start[0], y1 - start[1]
        share = (ax * ey - ay * ex) / turn
        on_edge = (ax * way[1] - ay * way[0]) / turn
        if 0 < share < 1 and -1e-6 <= on_edge <= 1 + 1e-6:
            yield share
