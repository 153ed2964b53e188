"""How large a thing looks from a place: extents across and along the line of sight.

Venue axes in metres (x house right, y upstage, z up).
"""

from __future__ import annotations

from math import hypot

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
MOST_OFF_AXIS_DEG = 80.0


def centre_of(outline_m: tuple[tuple[float, float], ...]) -> tuple[float, float]:
    """Return the middle of an outline's bounding box, in metres."""
    points = np.asarray(outline_m, dtype=np.float64)
    low, high = points.min(axis=0), points.max(axis=0)
    return float((low[0] + high[0]) / 2), float((low[1] + high[1]) / 2)


def width_seen_m(
    outline_m: tuple[tuple[float, float], ...],
    camera_m: tuple[float, float],
    aim_m: tuple[float, float],
) -> float:
    """Return the width in metres, at the distance of the aim point, that holds a flat outline.

    Every corner is projected from the camera onto the plane through the aim point square to the
    line of sight; the frame is centred on the aim point, so the wider half counts twice. Corners
    level with the camera or behind it are seen at 80 degrees off the axis: no frame holds them.
    """
    forward = (aim_m[0] - camera_m[0], aim_m[1] - camera_m[1])
    distance = hypot(*forward)
    if distance < 1e-9:  # straight above: the outline is seen in full size
        points = np.asarray(outline_m, dtype=np.float64) - np.asarray(aim_m)
        return float(2 * np.abs(points).max())
    along = np.asarray(forward) / distance
    across = np.array([along[1], -along[0]])
    rays = np.asarray(outline_m, dtype=np.float64) - np.asarray(camera_m)
    depth, side = rays @ along, rays @ across
    steepest = np.tan(np.radians(MOST_OFF_AXIS_DEG))
    is_ahead = np.abs(side) <= depth * steepest
    offset = np.where(is_ahead, np.abs(side) / np.maximum(depth, 1e-9), steepest) * distance
    return float(2 * offset.max())
