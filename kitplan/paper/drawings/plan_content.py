"""What a floor plan of a pass shows, in metres: the venue, who performs, cameras, free places."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import TypeVar, cast

from kitplan.gear.records import Support
from kitplan.paper.drawings.cast import performing
from kitplan.paper.drawings.ground import Point, arc_points
from kitplan.paper.drawings.looks import Look, looks_of
from kitplan.paper.drawings.sheet import ON_A4, Print
from kitplan.paper.names import Names
from kitplan.shoot.records import Pass, Shoot
from kitplan.shoot.scenery import outline_of, place_of
from kitplan.shoot.venue import Lamp, Outline, Position, Subject, Venue

T = TypeVar("T")


@dataclass(frozen=True)
class Sweep:
    """What a moving support may reach from its home point."""

    position: Position
    is_arm: bool
    reach_m: float

    @property
    def rim_m(self) -> list[Point]:
        """Points along the rim of what it reaches."""
        return arc_points(
            self.position.at_m, self.reach_m, self.position.arc_deg if self.is_arm else None
        )


@dataclass(frozen=True)
class Content:
    """A pass of a plan, as its floor plan shows it."""

    names: Names
    pass_id: str
    printed: Print = ON_A4
    _known: dict[str, object] = field(default_factory=dict, repr=False, compare=False)

    def once(self, key: str, make: Callable[[], T]) -> T:
        """Return what `make` returns, computed the first time that the key is asked for: what does
        not depend on the lens that looks.
        """
        if key not in self._known:
            self._known[key] = make()
        return cast(T, self._known[key])

    @cached_property
    def shoot(self) -> Shoot:
        """The shoot."""
        return self.names.plan.pass_of(self.pass_id)[0]

    @cached_property
    def each(self) -> Pass:
        """The pass."""
        return self.names.plan.pass_of(self.pass_id)[1]

    @cached_property
    def looks(self) -> tuple[Look, ...]:
        """Main shots by camera letter."""
        placements = self.names.plan.placements_in(self.pass_id)
        return tuple(looks_of(self.names, placement)[0] for placement in placements)

    @cached_property
    def free(self) -> tuple[Position, ...]:
        """Positions that may be used in the pass, or are still asked for, and are not."""
        used = {look.position.id for look in self.looks}
        return tuple(
            position
            for position in self.shoot.venue.positions
            if position.id not in used and is_open(position, self.each)
        )

    @cached_property
    def lamps(self) -> tuple[Lamp, ...]:
        """Lamps, windows and lasers that are on."""
        return tuple(
            lamp
            for lamp in self.shoot.venue.lamps
            if lamp.passes is None or self.each.id in lamp.passes
        )

    @cached_property
    def people(self) -> tuple[Subject, ...]:
        """Subjects with a place of their own: not the stage, not the audience."""
        return performing(self.shoot)

    @cached_property
    def sweeps(self) -> tuple[Sweep, ...]:
        """What the moving supports of the pass reach."""
        found = []
        for look in self.looks:
            support = self.names.item_of(look.placement.rig.support)
            assert isinstance(support, Support)  # a whole plan names supports as supports
            is_arm, reach_m = reach_of(support, look.position)
            if reach_m > 0:
                found.append(Sweep(look.position, is_arm, reach_m))
        return tuple(found)

    def points_m(self) -> list[Point]:
        """Every point that has to be on the sheet."""
        return list(self._points())

    def _points(self) -> Iterator[Point]:
        venue = self.shoot.venue
        for outline in outlines_of(venue):
            yield from outline
        for look in self.looks:
            yield look.position.at_m
        for position in self.free:
            yield position.at_m
        for lamp in self.lamps:
            yield lamp.at_m
        for subject in self.people:
            yield from outline_of(self.shoot, subject) or (place_of(self.shoot, subject),)
        for sweep in self.sweeps:
            yield from sweep.rim_m


def outlines_of(venue: Venue) -> list[Outline]:
    """Return the outlines of stage, zones, audience areas and obstacles."""
    return [
        venue.stage.outline_m,
        *(zone.outline_m for zone in venue.zones),
        *(area.outline_m for area in venue.audience),
        *(obstacle.outline_m for obstacle in venue.obstacles),
    ]


def is_open(position: Position, each: Pass) -> bool:
    """Whether a position may be used in a pass, as far as place and permission go."""
    if position.open_in is not None and each.id not in position.open_in:
        return False
    return position.permission is None or position.permission.state != "refused"


def reach_of(support: Support, position: Position) -> tuple[bool, float]:
    """Return whether a support is an arm, and how far it moves from its home point in metres.

    An arm or a track without a length of its own reaches as far as, or half as far as, its
    footprint is wide; who walks stays within `walk_m` (docs/model.md, section 2b).
    """
    if support.is_arm:
        return True, support.footprint_m if support.sweep_m is None else support.sweep_m
    if not support.moves:
        return False, 0.0
    if support.sweep_m is not None:
        return False, support.sweep_m
    return False, position.walk_m if "walk" in support.moves else support.footprint_m / 2
