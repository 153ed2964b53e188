"""What stands in the way of a ray from the lens to a point: blocks over an outline, and cards.

docs/model.md, section 2b: Block, Who hides whom. One ray at a time, in metres.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from math import radians, tan

from kitplan.plan.verify.pinhole import Card
from kitplan.plan.verify.plane import stretches
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.sight import Vector
from kitplan.plan.verify.subjects import Outline
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import AudienceArea

GRAZE_M = 1e-6
"""A ray no deeper than this below a top, or above a bottom, passes."""
CARD_SLACK_M = 1e-9
END_SHARE = 1e-9
"""A card that is no further than this share of a ray from its ends is not between them."""


@dataclass(frozen=True)
class Block:
    """What fills the space over an outline from a bottom to a top, which may be raked."""

    outline: Outline
    bottom: float
    top: float
    """Height at the largest y of the outline."""
    rise: float = 0.0
    """How much higher the top is for every metre towards smaller y."""

    @cached_property
    def around(self) -> tuple[float, float, float, float]:
        """Least and largest x, least and largest y."""
        xs, ys = zip(*self.outline, strict=True)
        return min(xs), max(xs), min(ys), max(ys)

    @cached_property
    def highest(self) -> float:
        """Height of the top where it is highest."""
        return self.top_at(self.around[2])

    def top_at(self, y: float) -> float:
        """Return the height of the top."""
        return self.top + self.rise * (self.around[3] - y)

    def is_in_the_way(self, eye: Vector, point: Vector) -> bool:
        """Return whether it blocks the ray from a lens to a point."""
        if self._is_missed(eye, point):
            return False
        for ends in stretches(eye[:2], point[:2], self.outline):
            places = [_along(eye, point, share) for share in ends]
            dips = any(z < self.top_at(y) - GRAZE_M for _, y, z in places)
            if dips and any(z > self.bottom + GRAZE_M for _, _, z in places):
                return True
        return False

    def _is_missed(self, eye: Vector, point: Vector) -> bool:
        """Whether the ray passes the box around it: no more than a cheap first look."""
        west, east, south, north = self.around
        return (
            min(eye[2], point[2]) >= self.highest - GRAZE_M
            or max(eye[2], point[2]) <= self.bottom + GRAZE_M
            or max(eye[0], point[0]) < west
            or min(eye[0], point[0]) > east
            or max(eye[1], point[1]) < south
            or min(eye[1], point[1]) > north
        )


def _along(eye: Vector, point: Vector, share: float) -> Vector:
    x, y, z = (e + share * (p - e) for e, p in zip(eye, point, strict=True))
    return x, y, z


def is_blocked(eye: Vector, point: Vector, blocks: Iterable[Block]) -> bool:
    """Return whether any block is in the way of a ray."""
    return any(block.is_in_the_way(eye, point) for block in blocks)


def covers(card: Card, eye: Vector, point: Vector) -> bool:
    """Return whether a card is in the way of a ray: it crosses the card's middle line, or nearly.

    In plan the ray passes that line within half the card's width, between lens and point, and is
    between foot and top there. A ray straight up or down passes nothing.
    """
    dx, dy = point[0] - eye[0], point[1] - eye[1]
    length2 = dx * dx + dy * dy
    if length2 == 0:
        return False
    to_x, to_y = card.at[0] - eye[0], card.at[1] - eye[1]
    share = (to_x * dx + to_y * dy) / length2
    if not END_SHARE < share < 1 - END_SHARE:
        return False
    half = card.width / 2 + CARD_SLACK_M
    if (to_x - share * dx) ** 2 + (to_y - share * dy) ** 2 > half * half:
        return False
    height = eye[2] + share * (point[2] - eye[2])
    return card.foot - CARD_SLACK_M <= height <= card.top + CARD_SLACK_M


# -- what there is ---------------------------------------------------------------------------------


def solids(scene: Scene) -> tuple[Block, ...]:
    """Return what stands there in every pass: obstacles and the stage."""
    return scene.once(("solids",), lambda: _solids(scene))


def _solids(scene: Scene) -> tuple[Block, ...]:
    venue = scene.shoot.venue
    things = [Block(o.outline_m, o.base_m, o.base_m + o.height_m) for o in venue.obstacles]
    return (*things, Block(venue.stage.outline_m, 0.0, venue.stage.height_m))


def heads(scene: Scene, each: Pass, *, have_arms_up: bool = False) -> tuple[Block, ...]:
    """Return the heads of the audience in a pass, with the arms of who stands up or not."""
    key = ("heads", scene.occupied(each), have_arms_up)
    return scene.once(key, lambda: _heads(scene, each, have_arms_up))


def _heads(scene: Scene, each: Pass, have_arms_up: bool) -> tuple[Block, ...]:
    rules, people = scene.shoot.rules, scene.occupied(each)
    standing = rules.heads_arms_up_m if have_arms_up else rules.heads_standing_m

    def block(area: AudienceArea) -> Block:
        over = standing if area.state == "standing" else rules.heads_seated_m
        rise = tan(radians(area.rake_deg))
        return Block(area.outline_m, area.height_m, area.height_m + over, rise)

    return tuple(block(area) for area in scene.shoot.venue.audience if area.id in people)
