"""Lines of sight: what stands between a lens and a point. Pure geometry, over many rays at once.

Venue axes in metres (x house right, y upstage, z up). Rays run from a lens (t = 0) to a point
(t = 1). Each ray belongs to a lens (n) and a place in plan (c columns); several heights (h) share
their place, since the plan decides where a ray crosses an outline.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
LEAST_STRETCH = 1e-9
"""Shorter stretches of a ray inside an outline are touches, as a share of the ray; a card nearer
than this to one of its ends does not stand between them.
"""
LEAST_DEPTH_M = 1e-6
"""A ray this little under a top or over a bottom only touches it."""
EDGE_M, CUT_M = 1e-9, 1e-12
"""A ray this near to an edge of an outline runs along it, not inside; one that runs along a cut
between two parts is inside both. A card reaches this far beyond its sides: a ray along one, worked
out with rounding, meets it.
"""


class Part(NamedTuple):
    """A convex part of an outline."""

    corners_m: Floats
    """(k, 2), counter-clockwise."""
    is_edge: Flags
    """(k): whether the side from a corner to the next is an edge of the outline, not a cut."""


def inside(outline_m: Sequence[tuple[float, float]], points_m: Floats) -> Flags:
    """Return which points (..., 2) lie strictly inside an outline, not on its edge."""
    ring = shapely.Polygon(outline_m)
    points = shapely.points(points_m)
    off_m = shapely.distance(ring.exterior, points)
    found: Flags = shapely.contains_properly(ring, points) & (off_m > EDGE_M)
    return found


def convex_parts(outline_m: Sequence[tuple[float, float]]) -> tuple[Part, ...]:
    """Return an outline in convex parts; itself where it is convex."""
    ring = shapely.Polygon(outline_m)
    if ring.area <= 0:
        return ()
    if ring.convex_hull.area - ring.area <= 1e-12 * ring.area:
        shapes = [ring.convex_hull]
    else:
        shapes = list(shapely.constrained_delaunay_triangles(ring).geoms)
    rings = [_corners(shape) for shape in shapes if shape.area]
    sides = {side for corners in rings for side in _sides(corners)}
    return tuple(
        Part(np.array(corners), np.array([(b, a) not in sides for a, b in _sides(corners)]))
        for corners in rings
    )


def _corners(shape: shapely.Polygon) -> list[tuple[float, float]]:
    """The corners of a shape, counter-clockwise."""
    return list(shapely.orient_polygons(shape).exterior.coords)[:-1]


def _sides(corners: list[tuple[float, float]]) -> list[tuple[tuple[float, float], ...]]:
    return list(zip(corners, [*corners[1:], corners[0]], strict=True))


def stretches(lens_m: Floats, places_m: Floats, part: Part) -> tuple[Floats, Floats]:
    """Return from where to where, 0 to 1, rays run inside a convex part of an outline.

    The method of Cyrus and Beck (Computers and Graphics 3, 1978), in plan.

    Args:
        lens_m: Lenses in plan, (n, 2).
        places_m: Where their rays go in plan, (n, c, 2).
    Returns:
        First and last t, each (n, c); the last is not after the first where a ray stays outside.
    """
    rays = places_m - lens_m[:, None, :]
    first, last = np.zeros(rays.shape[:2]), np.ones(rays.shape[:2])
    following_m = np.roll(part.corners_m, -1, axis=0)
    for corner, following, is_edge in zip(part.corners_m, following_m, part.is_edge, strict=True):
        side = following - corner
        inward = np.array([-side[1], side[0]]) / max(float(np.hypot(*side)), 1e-12)
        start = (lens_m - corner) @ inward - (EDGE_M if is_edge else -CUT_M)
        speed = rays @ inward
        with np.errstate(divide="ignore", invalid="ignore"):
            at = -start[:, None] / speed
        first = np.where(speed > 0, np.maximum(first, at), first)
        last = np.where(speed < 0, np.minimum(last, at), last)
        is_out = (speed == 0) & (start[:, None] <= 0)
        last = np.where(is_out, -1.0, last)
    return first, last


def blocked(
    lens_m: Floats,
    places_m: Floats,
    heights_m: Floats,
    part: Part,
    bottom_m: float,
    top_m: float,
    rise: float = 0.0,
    from_y_m: float = 0.0,
) -> Flags:
    """Return which rays a convex block blocks: those that run below its top and above its bottom.

    Args:
        lens_m: Lenses, (n, 3).
        places_m: Where their rays go in plan, (n, c, 2).
        heights_m: The points there, (n, c, h).
        rise: By how much the top rises per metre towards smaller y, from `from_y_m` on.
    Returns:
        Shape (n, c, h).
    """
    first, last = stretches(lens_m[:, :2], places_m, part)
    is_through = last - first > LEAST_STRETCH
    y0, y1 = lens_m[:, None, 1], places_m[..., 1]
    most_under = np.full(heights_m.shape, -np.inf)
    most_over = np.full(heights_m.shape, -np.inf)
    for at in (first, last):
        t = np.where(is_through, at, 0.0)
        top = top_m + rise * (from_y_m - (y0 + t * (y1 - y0)))
        z = lens_m[:, 2, None, None] + t[..., None] * (heights_m - lens_m[:, 2, None, None])
        most_under = np.maximum(most_under, top[..., None] - z)
        most_over = np.maximum(most_over, z - bottom_m)
    found: Flags = (
        is_through[..., None] & (most_under > LEAST_DEPTH_M) & (most_over > LEAST_DEPTH_M)
    )
    return found


def blocked_by_card(
    lens_m: Floats,
    places_m: Floats,
    heights_m: Floats,
    card: tuple[float, float, float, float, float],
) -> Flags:
    """Return which rays an upright card blocks (x, y, foot, top, width), shape (n, c, h).

    In plan the ray passes the card's place within half its width, between lens and point, and is
    there between foot and top. A point that stands where the card stands is not behind it.
    """
    x, y, foot_m, top_m, width_m = card
    rays = places_m - lens_m[:, None, :2]
    to_card = np.array([x, y]) - lens_m[:, None, :2]
    length2 = np.maximum((rays**2).sum(axis=-1), 1e-18)
    t = (rays * to_card).sum(axis=-1) / length2
    off2 = ((to_card - t[..., None] * rays) ** 2).sum(axis=-1)
    is_between = (t > LEAST_STRETCH) & (t < 1 - LEAST_STRETCH)
    is_near = is_between & (off2 <= (width_m / 2 + EDGE_M) ** 2)
    z = lens_m[:, 2, None, None] + t[..., None] * (heights_m - lens_m[:, 2, None, None])
    found: Flags = is_near[..., None] & (z >= foot_m - EDGE_M) & (z <= top_m + EDGE_M)
    return found


def hulls_of(lens_m: Floats, places_m: Floats) -> NDArray[np.object_]:
    """Return for each lens (n, 2) the convex hull of itself and its places (n, c, 2), in plan."""
    points = np.concatenate([lens_m[:, None, :], places_m], axis=1)
    found: NDArray[np.object_] = shapely.convex_hull(shapely.multipoints(shapely.points(points)))
    return found
