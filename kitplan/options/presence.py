"""What a placement shows to other cameras: rig, operator, the sweep of a move; as upright cards.

A kind of presence holds for every stand of its row: a still rig without and with its operator, and
for each reach the sweep of a support that moves (docs/model.md, section 2b).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Literal, NamedTuple

from kitplan.gear.records import Support
from kitplan.shoot.venue import Position

RIG_WIDTH_M, OPERATOR_WIDTH_M, ARM_END_M = 0.5, 0.6, 0.5
TALLEST_OPERATOR_M = 1.9
ARM_STEP_DEG = 30.0
Move = Literal["still", "line", "arm"]


class Kind(NamedTuple):
    """A kind of presence."""

    has_operator: bool
    move: Move = "still"
    reach_m: float = 0.0


class CardAt(NamedTuple):
    """A card at a place: where, from where to where, how wide, and whether only a sweep brings it
    there while the arm can be parked elsewhere."""

    x: float
    y: float
    foot_m: float
    top_m: float
    width_m: float
    is_avoidable: bool = False


@dataclass(frozen=True)
class Presence:
    """What a kind of presence at a position shows."""

    position: Position
    kind: Kind

    @property
    def cards(self) -> tuple[CardAt, ...]:
        """The cards that others may see."""
        x, y = self.position.at_m
        still = _still(self.position, x, y, self.kind.has_operator)
        if self.kind.move == "still":
            return still
        if self.kind.move == "arm":
            return (*still, *_arm(self.position, self.kind.reach_m))
        reach = self.kind.reach_m
        steps = ((reach, 0.0), (-reach, 0.0), (0.0, reach), (0.0, -reach))
        moved = (_still(self.position, x + dx, y + dy, self.kind.has_operator) for dx, dy in steps)
        return (*still, *(card for cards in moved for card in cards))


def kind_of(support: Support, position: Position, *, is_operated: bool) -> Kind:
    """Return the kind of presence of a support at a position; a sweep counts whoever works it."""
    has_operator = is_operated and not position.is_out_of_reach
    move, reach_m = move_of(support, position)
    if move == "still":
        return Kind(has_operator)
    return Kind(not position.is_out_of_reach, move, reach_m)


def move_of(support: Support, position: Position) -> tuple[Move, float]:
    """Return how a support moves from its home point, and how far in metres."""
    if support.is_arm:
        own = support.sweep_m
        return "arm", support.footprint_m if own is None else own
    if "walk" in support.moves:
        return "line", position.walk_m if support.sweep_m is None else support.sweep_m
    if support.moves:
        own = support.sweep_m
        return "line", support.footprint_m / 2 if own is None else own
    return "still", 0.0


def _still(position: Position, x: float, y: float, has_operator: bool) -> tuple[CardAt, ...]:
    floor_m, lens_m = position.floor_height_m, position.lens_at_m[2]
    low_m, high_m = {
        "floor": (floor_m, lens_m + 0.15),
        "rail": (lens_m - 0.3, lens_m + 0.15),
        "bar": (lens_m - 0.3, lens_m + 0.3),
    }[position.stands_on]
    rig = CardAt(x, y, low_m, high_m, RIG_WIDTH_M)
    if not has_operator:
        return (rig,)
    foot_m, top_m = lens_m - 1.3, lens_m + 0.35
    if position.stands_on == "floor":
        foot_m, top_m = floor_m, min(lens_m + 0.2, floor_m + TALLEST_OPERATOR_M)
    return (rig, CardAt(x, y, foot_m, top_m, OPERATOR_WIDTH_M))


def _arm(position: Position, reach_m: float) -> tuple[CardAt, ...]:
    """The end of an arm over its whole arc; parked, only the parked pose cannot be avoided."""
    swept = tuple(
        card
        for bearing in arc_bearings_deg(position)
        for card in _arm_at(position, reach_m, bearing, is_avoidable=position.park_deg is not None)
    )
    if position.park_deg is None:
        return swept
    return (*_arm_at(position, reach_m, position.park_deg, is_avoidable=False), *swept)


def arc_bearings_deg(position: Position) -> tuple[float, ...]:
    """Return the bearings at which an arm is judged: every 30 degrees of its arc, and its end."""
    first, last = position.arc_deg or (0.0, 360.0)
    if last - first >= 360 or last - first <= -360:
        return tuple(first + ARM_STEP_DEG * step for step in range(12))
    width = (last - first) % 360
    steps = int((width + 1e-9) // ARM_STEP_DEG)
    bearings = [first + ARM_STEP_DEG * step for step in range(steps + 1)]
    return (*bearings, first + width)


def _arm_at(
    position: Position, reach_m: float, bearing_deg: float, *, is_avoidable: bool
) -> tuple[CardAt, ...]:
    x, y, lens_m = position.lens_at_m
    east, north = sin(radians(bearing_deg)), cos(radians(bearing_deg))
    return tuple(
        CardAt(
            x + east * out_m,
            y + north * out_m,
            lens_m - ARM_END_M,
            lens_m + ARM_END_M,
            ARM_END_M,
            is_avoidable,
        )
        for out_m in (reach_m, reach_m / 2)
    )
