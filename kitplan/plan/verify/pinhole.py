"""The pinhole camera of a view: where points, cards and outlines lie in its picture.

docs/model.md, section 2b: Pinhole, Card. Venue axes in metres. In the picture u and v run from 0 to
1, from the left and from the top; areas are shares of the frame.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import hypot
from typing import NamedTuple

from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.sight import Vector, View
from kitplan.plan.verify.subjects import Point

NEAR_M = 0.05
"""Nearer than this along the axis nothing is seen."""
STRAIGHT_M = 1e-9
"""A lens no further than this from a point in plan is straight above or below it."""
FRAME_SLACK = 1e-9
"""What is no further than this, as a share of the frame, outside of it is in it."""


class Spot(NamedTuple):
    """A point of the picture."""

    u: float
    v: float

    @property
    def is_in_frame(self) -> bool:
        """Whether the frame shows it."""
        return all(-FRAME_SLACK <= side <= 1 + FRAME_SLACK for side in self)


class Box(NamedTuple):
    """A rectangle of the picture, with an area."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def height(self) -> float:
        """Height as a share of the frame's."""
        return self.bottom - self.top


def box_around(spots: Sequence[Spot]) -> Box | None:
    """Return the bounding box of some points of the picture; None without any."""
    if not spots:
        return None
    us, vs = [spot.u for spot in spots], [spot.v for spot in spots]
    return Box(min(us), min(vs), max(us), max(vs))


def shared_box(one: Box, other: Box) -> Box | None:
    """Return what two boxes share; None where that has no area."""
    shared = Box(
        max(one.left, other.left),
        max(one.top, other.top),
        min(one.right, other.right),
        min(one.bottom, other.bottom),
    )
    return shared if shared.right > shared.left and shared.bottom > shared.top else None


WHOLE_FRAME = Box(0.0, 0.0, 1.0, 1.0)


@dataclass(frozen=True)
class Card:
    """An upright rectangle over a point, turned to whoever looks: metres over the house floor."""

    at: Point
    foot: float
    top: float
    width: float

    def corners(self, eye: Vector) -> tuple[Vector, ...]:
        """Return the corners as they are turned to a lens."""
        x, y = self.at
        across_x, across_y = across(eye, self.at)
        sides = (-self.width / 2, self.width / 2)
        return tuple(
            (x + side * across_x, y + side * across_y, z)
            for side in sides
            for z in (self.foot, self.top)
        )


def across(eye: Vector, at: Point) -> Point:
    """Return the horizontal unit vector square to the ray to a point; x where that is upright."""
    x, y = at[0] - eye[0], at[1] - eye[1]
    reach = hypot(x, y)
    return (1.0, 0.0) if reach <= STRAIGHT_M else (y / reach, -x / reach)


@dataclass(frozen=True)
class Pinhole:
    """A level pinhole camera."""

    eye: Vector
    right: Vector
    up: Vector
    ahead: Vector
    """Unit vectors."""
    wide: float
    tall: float
    """Width and height of the frame at one metre ahead."""

    def seen_from(self, point: Vector) -> Vector:
        """Return a point as the camera has it: metres to its right, up, ahead along the axis."""
        eye = self.eye
        ray = (point[0] - eye[0], point[1] - eye[1], point[2] - eye[2])
        return _dot(ray, self.right), _dot(ray, self.up), _dot(ray, self.ahead)

    def placed(self, seen: Vector) -> Vector:
        """Return where in the venue a point is that the camera has there."""
        axes = zip(self.eye, self.right, self.up, self.ahead, strict=True)
        x, y, z = (e + seen[0] * r + seen[1] * u + seen[2] * a for e, r, u, a in axes)
        return x, y, z

    def spot(self, point: Vector) -> Spot | None:
        """Return where a point is in the picture, in the frame or not; None if it is not seen."""
        return self.project(self.seen_from(point))

    def project(self, seen: Vector) -> Spot | None:
        """Return the same of a point as the camera has it."""
        right, up, ahead = seen
        if ahead < NEAR_M:
            return None
        return Spot(0.5 + right / (ahead * self.wide), 0.5 - up / (ahead * self.tall))

    def box(self, card: Card) -> Box | None:
        """Return the box of a card in the frame; None where it shows no area there."""
        spots = [self.spot(corner) for corner in card.corners(self.eye)]
        around = box_around([spot for spot in spots if spot is not None])
        if around is None or None in spots:
            return None
        return shared_box(around, WHOLE_FRAME)

    def cut(self, points: Sequence[Vector]) -> list[Vector]:
        """Return the part of a flat outline that the frame shows, as the camera has it.

        Cut at the near plane and at the four sides of the frame, one after the other.
        """
        limits: tuple[Callable[[Vector], float], ...] = (
            lambda p: p[2] - NEAR_M,
            lambda p: p[2] * self.wide / 2 + p[0],
            lambda p: p[2] * self.wide / 2 - p[0],
            lambda p: p[2] * self.tall / 2 + p[1],
            lambda p: p[2] * self.tall / 2 - p[1],
        )
        left = [self.seen_from(point) for point in points]
        for limit in limits:
            left = _cut_once(left, limit)
        return left

    def share(self, cut: Sequence[Vector]) -> float:
        """Return the area of what `cut` gave, as a share of the frame."""
        doubled = 0.0
        for (x1, y1, z1), (x2, y2, z2) in zip(cut, (*cut[1:], *cut[:1]), strict=True):
            u1, v1, u2, v2 = x1 / z1, y1 / z1, x2 / z2, y2 / z2
            doubled += u1 * v2 - u2 * v1
        return abs(doubled) / 2 / (self.wide * self.tall)


def _dot(one: Vector, other: Vector) -> float:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def _cut_once(points: Sequence[Vector], limit: Callable[[Vector], float]) -> list[Vector]:
    """Return the part of an outline on which a limit is not negative."""
    kept: list[Vector] = []
    for this, following in zip(points, (*points[1:], *points[:1]), strict=True):
        here, there = limit(this), limit(following)
        if here >= 0:
            kept.append(this)
        if (here < 0) != (there < 0):
            share = here / (here - there)
            x, y, z = (a + share * (b - a) for a, b in zip(this, following, strict=True))
            kept.append((x, y, z))
    return kept


def pinhole_of(scene: Scene, view: View) -> Pinhole:
    """Return the camera of a view at its planned frame height."""
    return scene.once(("pinhole", view.key), lambda: _pinhole(scene, view))


def _pinhole(scene: Scene, view: View) -> Pinhole:
    x, y, z = view.direction
    flat = hypot(x, y)
    right = (1.0, 0.0, 0.0) if flat <= STRAIGHT_M else (y / flat, -x / flat, 0.0)
    up = (  # right x ahead
        right[1] * z,
        -right[0] * z,
        right[0] * y - right[1] * x,
    )
    tall = view.planned_m / view.distance_m
    return Pinhole(view.eye, right, up, view.direction, tall * scene.shoot.delivery.aspect, tall)
