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
STRAIGHT_ABOVE_M = 1e-9


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


def card_corners(cameras: Pinhole, cards: Floats) -> Floats:
    """Return the four corners (n, 4, 3) of upright cards that are turned to their camera.

    Args:
        cards: One row per camera: x, y, foot and top over the house floor, width; shape (n, 5).
    """
    x, y, foot, top, width = cards.T
    ray = np.stack([x, y], axis=-1) - cameras.place_m[:, :2]
    reach = np.linalg.norm(ray, axis=-1)
    flat = np.maximum(reach, STRAIGHT_ABOVE_M)
    square = np.stack([-ray[:, 1], ray[:, 0]], axis=-1) / flat[:, None]
    square = np.where(reach[:, None] < STRAIGHT_ABOVE_M, [1.0, 0.0], square)
    half = square * width[:, None] / 2
    sides = np.stack([cards[:, :2] - half, cards[:, :2] + half], axis=1)
    low = np.concatenate([sides, np.broadcast_to(foot[:, None, None], (len(x), 2, 1))], axis=-1)
    high = np.concatenate([sides, np.broadcast_to(top[:, None, None], (len(x), 2, 1))], axis=-1)
    found: Floats = np.concatenate([low, high], axis=1)
    return found


def card_boxes(cameras: Pinhole, cards: Floats) -> Floats:
    """Return the boxes of cards in the frame: least u, least v, most u, most v, shape (n, 4).

    The bounding box of the corners, cut to the frame; not a number where a corner lies behind the
    lens. A box without width or height is not in the picture.
    """
    u, v, _ = project(cameras, card_corners(cameras, cards))
    unseen = np.isnan(u).any(axis=1)
    found = np.stack([u.min(axis=1), v.min(axis=1), u.max(axis=1), v.max(axis=1)], axis=-1)
    cut: Floats = np.clip(found, 0.0, 1.0)
    cut[unseen] = np.nan
    return cut


class Taken(NamedTuple):
    """What a flat outline takes of each frame: share 0 to 1, and the depths of its visible part in
    metres along the axis (not a number where none of it is visible), each of shape (n).
    """

    share: Floats
    near_m: Floats
    far_m: Floats


def taken_by(cameras: Pinhole, outline_m: Floats) -> Taken:
    """Return what a flat outline (k, 3) takes of each frame.

    The outline is cut at the near plane and the four sides of the frame (Sutherland and Hodgman,
    Communications of the ACM 17, 1974), for all cameras at once; then its area is taken. The sides
    are planes through the lens: cutting comes before dividing. An outline may be concave.
    """
    rings = in_camera(cameras, outline_m)
    counts = np.full(len(rings), rings.shape[1])
    zero, one = np.zeros_like(cameras.half_width), np.ones_like(cameras.half_width)
    width, height = cameras.half_width, cameras.half_height
    planes = (
        (np.stack([zero, zero, one], axis=-1), -NEAR_M),
        (np.stack([one, zero, width], axis=-1), 0.0),
        (np.stack([-one, zero, width], axis=-1), 0.0),
        (np.stack([zero, one, height], axis=-1), 0.0),
        (np.stack([zero, -one, height], axis=-1), 0.0),
    )
    for normals, offset in planes:
        rings, counts = _cut(rings, counts, normals, offset)
    return _taken(cameras, rings, counts)


def share_of_frame(cameras: Pinhole, outline_m: Floats) -> Floats:
    """Return the share of each frame that a flat outline (k, 3) takes, 0 to 1, shape (n)."""
    return taken_by(cameras, outline_m).share


def _taken(cameras: Pinhole, rings: Floats, counts: NDArray[np.int64]) -> Taken:
    is_corner = np.arange(rings.shape[1])[None, :] < counts[:, None]
    depth = np.where(is_corner, rings[..., 2], 1.0)
    u = rings[..., 0] / depth / cameras.half_width[:, None]
    v = rings[..., 1] / depth / cameras.half_height[:, None]
    following = _following(counts, rings.shape[1])
    turn = u * np.take_along_axis(v, following, 1) - np.take_along_axis(u, following, 1) * v
    share = np.abs(np.where(is_corner, turn, 0.0).sum(axis=1)) / 8
    near = np.where(is_corner, depth, np.inf).min(axis=1, initial=np.inf)
    far = np.where(is_corner, depth, -np.inf).max(axis=1, initial=-np.inf)
    seen = counts >= 3
    return Taken(
        np.where(seen, share, 0.0), np.where(seen, near, np.nan), np.where(seen, far, np.nan)
    )


def _following(counts: NDArray[np.int64], width: int) -> NDArray[np.int64]:
    """The place of the next corner of each ring; rings have different numbers of corners."""
    places = np.arange(width)[None, :] + 1
    return np.where(places < counts[:, None], places, 0)


def _cut(
    rings: Floats, counts: NDArray[np.int64], normals: Floats, offset: float
) -> tuple[Floats, NDArray[np.int64]]:
    """Return the parts of rings (n, k, 3) on the positive side of a plane each, and their corners.

    An edge gives its first corner if that is inside, and its crossing if it crosses.
    """
    n, k, _ = rings.shape
    is_corner = np.arange(k)[None, :] < counts[:, None]
    side = np.einsum("nkj,nj->nk", rings, normals) + offset
    following = _following(counts, k)
    next_side = np.take_along_axis(side, following, 1)
    if (side >= 0)[is_corner].all():
        return rings, counts
    next_ring = np.take_along_axis(rings, following[..., None], 1)
    inside, crosses = is_corner & (side >= 0), is_corner & ((side >= 0) != (next_side >= 0))
    step = np.where(crosses, side / np.where(crosses, side - next_side, 1.0), 0.0)
    crossing = rings + (next_ring - rings) * step[..., None]
    kept = np.stack([inside, crosses], axis=2).reshape(n, 2 * k)
    corners = np.stack([rings, crossing], axis=2).reshape(n, 2 * k, 3)
    order = np.argsort(~kept, axis=1, kind="stable")
    new_counts = kept.sum(axis=1)
    order = order[:, : max(int(new_counts.max(initial=0)), 1)]
    return np.take_along_axis(corners, order[..., None], 1), new_counts
