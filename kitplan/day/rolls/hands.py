"""Whose hands can touch which recorder, and how far they walk for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import dist

from kitplan.day.rolls.timeline import Stretch, whole_up
from kitplan.gear.records import Support
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Person
from kitplan.shoot.venue import Position


@dataclass(frozen=True)
class Hand:
    """Somebody who can touch a recorder."""

    person: str
    walk_s: int
    """To get there, and as long to get back."""
    is_own: bool
    """Operates this very camera."""
    is_back: bool
    """Operates another one, so has to be back there when the next song begins."""
    performs_in: tuple[str, ...]

    def can_work(self, before: Stretch, after: Stretch, off_stage_s: float) -> bool:
        """Whether this person has hands free in the gap between two songs."""
        if before.gap_s >= off_stage_s:
            return True
        return not {before.song.id, after.song.id} & set(self.performs_in)


@dataclass(frozen=True)
class Crew:
    """Who is on hand in a pass, and where."""

    brief: Brief
    each: Pass
    placements: tuple[Placement, ...]

    def position(self, placement: Placement) -> Position:
        """Return the position of a placement."""
        positions = self.brief.shoot.venue.positions
        return next(p for p in positions if p.id == placement.position)

    def is_shut_in(self, placement: Placement) -> bool:
        """Whether the audience keeps whoever is there from coming and going."""
        return self.position(placement).is_shut_in_by_audience and self.each.has_audience

    def is_alone(self, placement: Placement) -> bool:
        """Whether nobody can touch a camera while the pass runs."""
        if self.position(placement).is_out_of_reach:
            return True
        return self.is_shut_in(placement) and placement.operator is None

    def floaters(self) -> tuple[Person, ...]:
        """People on hand who neither operate nor help at a rig, in the order of the crew."""
        busy = {p.operator for p in self.placements}
        free = [p for p in self.brief.people(self.each) if p.id not in busy]
        units = {unit.id: unit.item for unit in self.brief.kit.units}
        helpers = 0
        for placement in self.placements:
            support = self.brief.kit.items_by_id[units[placement.rig.support]]
            helpers += support.people - 1 if isinstance(support, Support) else 0
        able = [p for p in free if not self.brief.sings_during(p, self.each)]
        helping = {p.id for p in able[len(able) - min(helpers, len(able)) :]}
        return tuple(p for p in free if p.id not in helping)

    def base(self) -> Position | None:
        """Where floaters wait: at the camera from which all that they may touch are nearest."""
        open_ = [p for p in self.placements if not self.is_alone(p) and not self.is_shut_in(p)]
        watched = [p for p in open_ if p.operator is None] or open_
        if not watched:
            return None
        places = [self.position(p) for p in watched]
        return min(places, key=lambda here: sum(dist(here.at_m, p.at_m) for p in places))

    def hands(self, placement: Placement) -> tuple[Hand, ...]:
        """Return who can touch a camera while the pass runs; its own operator first."""
        if self.is_alone(placement):
            return ()
        people = {person.id: person for person in self.brief.shoot.crew}
        found = []
        if placement.operator is not None:
            own = people[placement.operator]
            found.append(Hand(own.id, 0, True, False, own.performs_in))
        if self.is_shut_in(placement):
            return tuple(found)
        base, there = self.base(), self.position(placement)
        for person in self.floaters():
            if base is not None and self._may_go(person, there):
                walk_s = self._walk_s(base, there)
                found.append(Hand(person.id, walk_s, False, False, person.performs_in))
        if placement.operator is None:
            found.extend(self._neighbours(people, there))
        return tuple(found)

    def _neighbours(self, people: dict[str, Person], there: Position) -> Sequence[Hand]:
        """Operators who can leave their camera for a moment."""
        found = []
        for other in self.placements:
            here = self.position(other)
            if other.operator is None or here.is_out_of_reach or self.is_shut_in(other):
                continue
            person = people[other.operator]
            if self._may_go(person, there):
                walk_s = self._walk_s(here, there)
                found.append(Hand(person.id, walk_s, False, True, person.performs_in))
        return found

    def _may_go(self, person: Person, there: Position) -> bool:
        """Whether somebody may walk to a position in a gap; with the audience in nobody walks on
        stage.
        """
        if there.is_on_stage and (self.each.has_audience or not person.may_be_on_stage):
            return False
        return there.only_people is None or person.id in there.only_people

    def _walk_s(self, here: Position, there: Position) -> int:
        metres = dist(here.at_m, there.at_m)
        return whole_up(metres / self.brief.shoot.rules.walk_m_per_min * 60)
