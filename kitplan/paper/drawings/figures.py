"""People as plain outlines: head, trunk, arms, legs; upright as a camera sees them, or from above.

Upright figures lie on a card that is turned to the lens: across to the right and up from the floor,
in metres. They face the house, so a camera upstage sees backs: hair shows which way a head looks.
All proportions are shares of stature after a drawing-school figure of seven and a half heads;
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, cached_property
from math import atan2, cos, degrees, radians, sin
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from kitplan.paper.drawings.outlines import Flat, block, limb, oval

Shade = Literal["skin", "hair", "top", "legs", "line"]
SOFT_M = 0.005
CHILD_TOP_M = 1.45
"""Smaller people have larger heads."""
TURN_STEP_DEG = 5
"""Figures are drawn as turned by whole steps: nobody sees less, and each is worked out once."""


@dataclass(frozen=True)
class Facing:
    """Which way somebody looks, as the lens sees it."""

    front: float
    """1 towards the lens, -1 away from it."""
    side: float
    """1 to the right of the picture, -1 to the left."""


@dataclass(frozen=True)
class Part:
    """One piece of a figure; later pieces lie over earlier ones."""

    points: tuple[Flat, ...]
    shade: Shade
    is_closed: bool = True
    is_face: bool = False
    """Left out where the head is small."""

    @cached_property
    def flat(self) -> NDArray[np.float64]:
        """Its points as an array (k, 2)."""
        return np.array(self.points, dtype=np.float64)


def figure(posture: str, stature_m: float, head_top_m: float, facing: Facing) -> list[Part]:
    """Return somebody upright.

    Args:
        stature_m: Standing height, which sets the proportions.
        head_top_m: How high the head reaches over the floor: less for those who sit.
    """
    turn = round(degrees(atan2(facing.side, facing.front)) / TURN_STEP_DEG) * TURN_STEP_DEG
    return list(_figure(posture, stature_m, head_top_m, turn))


@cache
def _figure(posture: str, stature_m: float, head_top_m: float, turn_deg: int) -> tuple[Part, ...]:
    if turn_deg < 0:
        return tuple(map(_mirrored, _figure(posture, stature_m, head_top_m, -turn_deg)))
    facing = Facing(cos(radians(turn_deg)), sin(radians(turn_deg)))
    return _looking(posture, stature_m, head_top_m, facing)


def _mirrored(part: Part) -> Part:
    points = tuple((-x, z) for x, z in part.points)
    return Part(points, part.shade, part.is_closed, part.is_face)


def _looking(posture: str, stature_m: float, head_top_m: float, facing: Facing) -> tuple[Part, ...]:
    body = _Body(stature_m, facing)
    if posture == "seated" or head_top_m < 0.9 * stature_m:
        return tuple(_seated(body, head_top_m - stature_m))
    if posture == "dancer":
        return tuple(_dancer(body))
    legs = _joined(_legs(body, spread=0.035))
    return (*legs, _neck(body, 0.0), *_standing_top(body.as_broad), *_head(body, 0.0))


@dataclass(frozen=True)
class _Body:
    """Measures of a body in metres."""

    stature: float
    facing: Facing

    @property
    def head_half(self) -> float:
        """Half the height of the head."""
        return self.stature * (0.081 if self.stature < CHILD_TOP_M else 0.066)

    @property
    def shoulder(self) -> float:
        """Height of the shoulders."""
        return self.stature - 2 * self.head_half - 0.032 * self.stature

    @property
    def as_broad(self) -> _Body:
        """Somebody who looks as broad, facing the lens: arms and trunk are the same."""
        return _Body(self.stature, Facing(abs(self.facing.front), 0.0))

    def at(self, across: float, up: float) -> Flat:
        """A point of the body: across is narrower from the side."""
        return across * self.stature * (0.58 + 0.42 * abs(self.facing.front)), up * self.stature


def _legs(body: _Body, *, spread: float) -> Iterable[Part]:
    for way in (-1, 1):
        hip, foot = body.at(way * 0.05, 0.47), body.at(way * (0.045 + spread), 0.022)
        knee = body.at(way * (0.05 + spread * 0.5), 0.26)
        scale = body.stature
        yield Part(limb(hip, knee, 0.056 * scale, 0.038 * scale), "legs")
        yield Part(limb(knee, foot, 0.038 * scale, 0.024 * scale), "legs")
        toe = (foot[0] + way * 0.02 * scale + body.facing.side * 0.05 * scale, 0.016 * scale)
        yield Part(limb(foot, toe, 0.022 * scale, 0.017 * scale), "legs")


def _arms_down(body: _Body) -> Iterable[Part]:
    top = body.shoulder / body.stature - 0.047
    for way in (-1, 1):
        yield from _arm(body, way, (0.1, top), (0.139, 0.625), (0.134, 0.48))


def _arm(body: _Body, way: int, joint: Flat, elbow: Flat, hand: Flat) -> Iterable[Part]:
    scale = body.stature
    spots = [body.at(way * across, up) for across, up in (joint, elbow, hand)]
    yield Part(limb(spots[0], spots[1], 0.029 * scale, 0.025 * scale), "top")
    yield Part(limb(spots[1], spots[2], 0.025 * scale, 0.019 * scale), "top")
    yield Part(oval(spots[2], 0.021 * scale, 0.026 * scale), "skin")


def _trunk(body: _Body, lift_m: float) -> list[Part]:
    top = body.shoulder / body.stature
    profile = (
        (0.036, top + 0.018),
        (0.062, top + 0.004),
        (0.100, top - 0.022),
        (0.104, top - 0.07),
        (0.094, top - 0.14),
        (0.079, 0.615),
        (0.086, 0.53),
        (0.091, 0.475),
        (0.07, 0.452),
    )
    right = [body.at(across, up) for across, up in profile]
    ring = [*right, *((-x, z) for x, z in reversed(right))]
    return [Part(tuple((x, z + lift_m) for x, z in ring), "top")]


def _head(body: _Body, lift_m: float) -> list[Part]:
    """Head, hair and, on large pictures of those who look our way, a face."""
    half, facing = body.head_half, body.facing
    wide = half * 0.74
    middle = (facing.side * 0.02 * body.stature, body.stature - half + lift_m)
    ring = oval(middle, wide, half)
    return [
        Part(ring, "skin"),
        *_hair(ring, middle, (wide, half), facing),
        *_face(middle, wide, half, facing),
    ]


def _neck(body: _Body, lift_m: float) -> Part:
    wide = body.head_half * 0.4
    head = (body.facing.side * 0.02 * body.stature, body.stature - body.head_half + lift_m)
    return Part(limb((0.0, body.shoulder - 0.02 * body.stature + lift_m), head, wide, wide), "skin")


def _hair(ring: tuple[Flat, ...], middle: Flat, half: Flat, facing: Facing) -> Iterable[Part]:
    """The head without its face: an oval that lies towards where somebody looks."""
    away = max(-facing.front, 0.0)
    face = oval(
        (middle[0] + facing.side * 0.5 * half[0], middle[1] - (0.26 + 1.7 * away) * half[1]),
        half[0] * 0.93,
        half[1] * 0.9,
    )
    left = shapely.Polygon(ring).difference(shapely.Polygon(face))
    for part in getattr(left, "geoms", [left]):
        if part.geom_type == "Polygon" and part.area > 1e-6:
            yield Part(_corners(part), "hair")


def _joined(parts: Iterable[Part]) -> list[Part]:
    """Return parts of one shade as one outline, hands under their sleeves."""
    parts = list(parts)
    cloth = [part for part in parts if part.shade != "skin"]
    whole = shapely.union_all([shapely.Polygon(part.points) for part in cloth])
    soft = SOFT_M  # rounds corners off, outward ones and inward ones
    whole = whole.buffer(-soft, 3).buffer(2 * soft, 3).buffer(-soft, 3)
    pieces = [
        p for p in getattr(whole, "geoms", [whole]) if p.geom_type == "Polygon" and not p.is_empty
    ]
    shade = cloth[0].shade
    return [
        *(part for part in parts if part.shade == "skin"),
        *(Part(_corners(piece), shade) for piece in pieces),
    ]


def _corners(ring: shapely.Polygon) -> tuple[Flat, ...]:
    """The outer corners of a polygon."""
    return tuple((float(x), float(y)) for x, y in ring.exterior.coords[:-1])


def _face(middle: Flat, wide: float, half: float, facing: Facing) -> Iterable[Part]:
    if facing.front < 0.08:
        return

    def spot(across: float, up: float) -> Flat:
        turned = across * max(facing.front, 0.0) + facing.side * 0.6
        return middle[0] + max(-0.97, min(0.97, turned)) * wide, middle[1] + up * half

    for way in (-1, 1):
        if facing.front > 0.35 or way * facing.side >= 0:
            eye = spot(way * 0.4, -0.02)
            yield Part(oval(eye, wide * 0.075, half * 0.075), "hair", is_face=True)
    nose = (spot(0.0, -0.06), spot(0.0 + facing.side * 0.3, -0.32), spot(0.0, -0.36))
    yield Part(nose, "line", is_closed=False, is_face=True)
    mouth = (spot(-0.26, -0.58), spot(0.0, -0.63), spot(0.26, -0.58))
    yield Part(mouth, "line", is_closed=False, is_face=True)


def _seated(body: _Body, lift_m: float) -> list[Part]:
    """The upper body lowered onto a seat, thighs towards the viewer or to the side."""
    scale, facing = body.stature, body.facing
    seat = 0.47 * scale + lift_m
    half = 0.125 * scale
    legs: list[Part] = []
    for way in (-1, 1):
        hip = (way * 0.05 * scale, seat + 0.03 * scale)
        knee = (way * 0.072 * scale * abs(facing.front) + facing.side * 0.22 * scale, seat)
        foot = (knee[0] + way * 0.004 * scale, 0.022 * scale)
        legs.append(Part(limb(knee, foot, 0.036 * scale, 0.024 * scale), "legs"))
        legs.append(Part(limb(hip, knee, 0.055 * scale, 0.042 * scale), "legs"))
    stool = [
        Part(((way * half, seat - 0.03 * scale), (way * half * 1.1, 0.0)), "line", is_closed=False)
        for way in (-1, 1)
    ]
    plate = Part(block(-half, half, seat - 0.045 * scale, seat - 0.015 * scale), "skin")
    arms = _seated_arms(body.as_broad, lift_m)
    back = Part(block(-half, half, seat + 0.07 * scale, seat + 0.24 * scale), "skin")
    trunk = [_neck(body, lift_m), *_seated_trunk(body.as_broad, lift_m)]
    head = _head(body, lift_m)
    if facing.front < -0.2:  # from behind the back of the chair is in front
        return [*stool, *legs, plate, *arms, *trunk, back, *head]
    return [*stool, plate, *trunk, *legs, *arms, *head]


def _dancer(body: _Body) -> list[Part]:
    """Arms in a ring over the head, legs apart."""
    legs = _joined(_legs(body, spread=0.085))
    return [*legs, _neck(body, 0.0), *_dancing_top(body.as_broad), *_head(body, 0.0)]


# -- arms and trunks: slow to join, and the same for all who look as broad -------------------------


@cache
def _standing_top(body: _Body) -> tuple[Part, ...]:
    return tuple(_joined([*_arms_down(body), *_trunk(body, 0.0)]))


@cache
def _dancing_top(body: _Body) -> tuple[Part, ...]:
    top = body.shoulder / body.stature - 0.02
    arms = [
        part
        for way in (-1, 1)
        for part in _arm(body, way, (0.105, top), (0.168, top + 0.145), (0.05, top + 0.285))
    ]
    return tuple(_joined([*arms, *_trunk(body, 0.0)]))


@cache
def _seated_trunk(body: _Body, lift_m: float) -> tuple[Part, ...]:
    return tuple(_joined(_trunk(body, lift_m)))


@cache
def _seated_arms(body: _Body, lift_m: float) -> tuple[Part, ...]:
    top = body.shoulder / body.stature - 0.045
    return tuple(
        part
        for way in (-1, 1)
        for part in _joined(
            _lifted(piece, lift_m)
            for piece in _arm(body, way, (0.100, top), (0.132, 0.63), (0.062, 0.555))
        )
    )


def _lifted(part: Part, lift_m: float) -> Part:
    points = tuple((x, z + lift_m) for x, z in part.points)
    return Part(points, part.shade, part.is_closed, part.is_face)
