"""A pinhole camera: where points of the venue fall in its frame, and how much of it a thing takes.

Venue axes in metres (x house right, y upstage, z up). In the frame u runs from 0 at the left edge
to 1 at the right, v from 0 at the top to 1 at the bottom. The camera is level: its right-hand axis
lies in the horizontal plane. Arrays go over many cameras at once.

Source: the pinhole projection of any textbook of computer vision; tests hold it against OpenCV.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
NEAR_M = 0.05
"""Nearer than this a thing lies in the lens; behind it is not seen at all."""


class Pinhole(NamedTuple):
    """Cameras: places (n, 3), axes (n, 3) each, half the width and height of the frame at 1 m."""

    place_m: Floats
    right: Floats
    down: Floats
    forward: Floats
    half_width: Floats
    half_height: Floats


def pinhole(place_m: Floats, aim_m: Floats, view_deg: Floats, aspect: float) -> Pinhole:
    """Return cameras at places (n, 3) that aim at points (n, 3) with vertical angles of view (n).

    A camera that looks straight up or down keeps house right to its right.
    """
    rays = np.asarray(aim_m, dtype=np.float64) - place_m
    forward = rays / np.linalg.norm(rays, axis=-1, keepdims=True)
    right = np.stack([forward[:, 1], -forward[:, 0], np.zeros(len(forward))], axis=-1)
    flat = np.linalg.norm(right, axis=-1, keepdims=True)
    right = np.where(flat > 1e-9, right / np.maximum(flat, 1e-9), [1.0, 0.0, 0.0])
    down = np.cross(forward, right)
    half = np.tan(np.radians(np.asarray(view_deg, dtype=np.float64)) / 2)
    return Pinhole(np.asarray(place_m), right, down, forward, half * aspect, half)


def in_camera(cameras: Pinhole, points_m: Floats) -> Floats:
    """Return points (k, 3) or (n, k, 3) in camera axes: right, down, forward in m, (n, k, 3)."""
    rays = np.asarray(points_m, dtype=np.float64) - cameras.place_m[:, None, :]
    axes = np.stack([cameras.right, cameras.down, cameras.forward], axis=1)
    found: Floats = np.einsum("nkj,nij->nki", rays, axes)
    return found


def project(cameras: Pinhole, points_m: Floats) -> tuple[Floats, Floats, Floats]:
    """Return u, v and depth in metres of points, each (n, k). Points with a depth below NEAR_M are
    behind the lens: their u and v are not a number, so that nobody takes them for seen.
    """
    x, y, z = np.moveaxis(in_camera(cameras, points_m), -1, 0)
    ahead = np.where(z >= NEAR_M, z, np.nan)
    u = 0.5 + x / ahead / (2 * cameras.half_width[:, None])
    v = 0.5 + y / ahead / (2 * cameras.half_height[:, None])
    return u, v, z


def share_of_frame(cameras: Pinhole, outline_m: Floats) -> Floats:
    """Return the share of each frame that a flat outline (k, 3) takes, 0 to 1, shape (n).

    The outline is cut at the near plane and the four sides of the frame (Sutherland and Hodgman,
    Communications of the ACM 17, 1974), then its area is taken. An outline may be concave.
    """
    corners = in_camera(cameras, outline_m)
    scale = np.stack([cameras.half_width, cameras.half_height], axis=-1)
    return np.array([_share(ring, half) for ring, half in zip(corners, scale, strict=True)])


def _share(ring: Floats, half: Floats) -> float:
    """Share of one frame. The sides are planes through the lens: cutting comes before dividing."""
    planes = (
        np.array([0.0, 0.0, 1.0, -NEAR_M]),
        np.array([1.0, 0.0, half[0], 0.0]),
        np.array([-1.0, 0.0, half[0], 0.0]),
        np.array([0.0, 1.0, half[1], 0.0]),
        np.array([0.0, -1.0, half[1], 0.0]),
    )
    for plane in planes:
        ring = _cut(ring, plane)
        if len(ring) < 3:
            return 0.0
    u, v = ring[:, 0] / ring[:, 2] / half[0], ring[:, 1] / ring[:, 2] / half[1]
    return float(abs(np.sum(u * np.roll(v, -1) - np.roll(u, -1) * v)) / 8)


def _cut(ring: Floats, plane: Floats) -> Floats:
    """Return the part of a ring on the positive side of a plane."""
    side = ring @ plane[:3] + plane[3]
    if (side >= 0).all():
        return ring
    kept = []
    for here, there, a, b in zip(
        ring, np.roll(ring, -1, axis=0), side, np.roll(side, -1), strict=True
    ):
        if a >= 0:
            kept.append(here)
        if (a >= 0) != (b >= 0):
            kept.append(here + (there - here) * (a / (a - b)))
    return np.array(kept).reshape(-1, 3)
