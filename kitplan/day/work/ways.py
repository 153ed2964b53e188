"""Ways and loads: how long it takes to carry things from one place of the venue to another.

A load is carried there, and its carrier walks back: so whoever has carried is where the next job
is. Stairs cost by the metre; a bar is reached from the floor below it, and what it takes to get up
there is part of its own minutes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import dist

from kitplan.gear.records import Item
from kitplan.shoot.records import Shoot
from kitplan.shoot.venue import Position
from kitplan.units import limit_g, load_g

Store = None
"""Where things are that stand nowhere: in their cases, beyond the doorway."""
_STAGE_FRONT_M = (0.0, 0.0)


@dataclass(frozen=True)
class Haul:
    """A bundle of things that goes from one place to another."""

    loads: int
    """So many are carried by hand."""
    cart_loads: int | None
    """So many with a cart; None where none can go."""
    load_min: float
    """Minutes of one, there and back."""
    people: int
    """How many people it takes: two where one thing is too heavy for one."""

    @property
    def hand_min(self) -> float:
        """Minutes by hand."""
        return self.loads * self.load_min

    @property
    def cart_min(self) -> float | None:
        """Minutes with a cart, where that is sooner."""
        if self.cart_loads is None or self.cart_loads >= self.loads:
            return None
        return self.cart_loads * self.load_min


def haul(
    shoot: Shoot, origin: Position | None, goal: Position | None, things: Sequence[Item]
) -> Haul:
    """Return what it takes to bring things from one place to another; None is the store."""
    carrying = shoot.carrying
    heaviest = max(load_g(thing.mass_kg) for thing in things)
    people = 1 if heaviest <= limit_g(carrying.person_kg) else 2
    total_g = sum(load_g(thing.mass_kg) for thing in things)
    by_cart = carrying.carts and _climb_m(origin, goal) <= shoot.rules.cart_rise_m + 1e-9
    return Haul(
        loads=_loads(total_g, people * carrying.person_kg),
        cart_loads=_loads(total_g, carrying.cart_kg) if by_cart else None,
        load_min=_load_min(shoot, origin, goal),
        people=people,
    )


def _loads(total_g: int, load_kg: float) -> int:
    return max(-(-total_g // max(limit_g(load_kg), 1)), 1)


def _load_min(shoot: Shoot, origin: Position | None, goal: Position | None) -> float:
    """Door (from or to the store) + 2 x way / pace + climb x minutes per metre."""
    rules = shoot.rules
    way_m = dist(_at_m(origin), _at_m(goal))
    door_min = shoot.venue.people_through_door_min if origin is None or goal is None else 0.0
    climb_min = _climb_m(origin, goal) * rules.climb_min_per_m
    return door_min + 2 * way_m / rules.walk_m_per_min + climb_min


def _at_m(place: Position | None) -> tuple[float, float]:
    """The door to the store is taken to be at the centre of the stage's front edge."""
    return _STAGE_FRONT_M if place is None else place.at_m


def _climb_m(origin: Position | None, goal: Position | None) -> float:
    return abs(_foot_m(origin) - _foot_m(goal))


def _foot_m(place: Position | None) -> float:
    return 0.0 if place is None or place.stands_on == "bar" else place.floor_height_m
