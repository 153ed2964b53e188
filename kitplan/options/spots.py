"""Spots: a position in a pass, with everything that can be done there and why the rest cannot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kitplan.options.cameras import Camera, list_cameras
from kitplan.options.crowding import Crowding
from kitplan.options.endurance import Endurance, Supplies, cannot_be_reached, endurance
from kitplan.options.likeness import Likeness
from kitplan.options.refusals import Refusal
from kitplan.options.shots import Shots, find_shots
from kitplan.options.sights import Lookout
from kitplan.options.stands import Stand, list_stands, stand_refusal
from kitplan.options.steadiness import Manner, Tremors, support_row, tremors_deg
from kitplan.options.views import View, list_views
from kitplan.shoot.brief import Brief
from kitplan.shoot.gaps import gaps_in_vain
from kitplan.shoot.records import Pass, Person
from kitplan.shoot.venue import Position


@dataclass(frozen=True)
class Spot:
    """One position in one pass."""

    each: Pass
    position: Position
    cameras: tuple[Camera, ...]
    """Cameras that some stand there carries."""
    stands: tuple[Stand, ...]
    people: tuple[Person, ...]
    """Who may operate there."""
    views: tuple[View, ...]
    view_numbers: tuple[int, ...]
    """Places of the views in `Options.views`."""
    shots: Shots
    endurance: tuple[Endurance, ...]
    """Of each camera."""
    refusals: tuple[Refusal, ...]
    """Of cameras, stands and people; those of shots are looked up in `shots`."""

    @property
    def key(self) -> tuple[str, str]:
        """Pass and position by id."""
        return (self.each.id, self.position.id)

    @property
    def is_unreachable(self) -> bool:
        """Whether nobody can get to a camera there while the pass runs."""
        return cannot_be_reached(self.position, self.each)


@dataclass(frozen=True)
class Options:
    """Everything that is possible in a brief."""

    brief: Brief
    cameras: tuple[Camera, ...]
    stands: tuple[Stand, ...]
    views: tuple[View, ...]
    spots: tuple[Spot, ...]
    closed: tuple[tuple[tuple[str, str], Refusal], ...]
    """Positions that cannot be used in a pass, with the reason."""
    lookout: Lookout
    crowding: Crowding
    refusals: tuple[Refusal, ...]
    """Of items that do not go together anywhere."""

    @cached_property
    def spots_by_key(self) -> dict[tuple[str, str], Spot]:
        """Spots by pass id and position id."""
        return {spot.key: spot for spot in self.spots}

    @cached_property
    def _likeness(self) -> dict[tuple[int, ...], Likeness]:
        return {}

    def likeness(self, numbers: Sequence[int]) -> Likeness:
        """Return which of some views are one viewpoint, by their place among these numbers."""
        key = tuple(numbers)
        if key not in self._likeness:
            views = [self.views[number] for number in key]
            self._likeness[key] = Likeness.of(self.brief, views)
        return self._likeness[key]

    def shot_refusals(self) -> Iterator[tuple[tuple[str, str], Refusal]]:
        """Yield every refused shot with its spot: many; meant for counting and looking up."""
        for spot in self.spots:
            for row in range(len(spot.views)):
                for column in range(len(spot.cameras)):
                    for manner in ("operated", "locked-off"):
                        refusal = spot.shots.refusal(row, column, manner)
                        if refusal is not None:
                            yield spot.key, refusal


def find_options(brief: Brief) -> Options:
    """Return everything that is possible, and the reason for everything that is not."""
    cameras, camera_refusals = list_cameras(brief)
    stands, stand_refusals = list_stands(brief)
    views = list_views(brief)
    lookout = Lookout(brief.shoot, views)
    spots: list[Spot] = []
    closed: list[tuple[tuple[str, str], Refusal]] = []
    for each in brief.shoot.passes:
        supplies = Supplies(brief, each)
        for position in brief.shoot.venue.positions:
            refusal = next(position_refusals(brief, each, position), None)
            if refusal is not None:
                closed.append(((each.id, position.id), refusal))
                continue
            spots.append(_spot(supplies, position, cameras, stands, views, lookout))
    return Options(
        brief,
        cameras,
        stands,
        views,
        tuple(spots),
        tuple(closed),
        lookout,
        Crowding(brief, lookout, stands),
        (*camera_refusals, *stand_refusals),
    )


def position_refusals(brief: Brief, each: Pass, position: Position) -> Iterator[Refusal]:
    """Yield every rule by which a position cannot be used in a pass."""
    if position.open_in is not None and each.id not in position.open_in:
        yield Refusal(position.id, "closed")
    permission = position.permission
    if permission is not None and permission.state != "given":
        yield Refusal(position.id, "permission")
    if position.is_overhead:
        riggers = [p for p in brief.people(each) if "rigging" in p.skills]
        said_yes = permission is not None and permission.by
        if not said_yes or len(brief.people(each)) < 2 or not riggers:
            yield Refusal(position.id, "overhead")
    is_over = brief.shoot.past.is_over(each.id)
    if not is_over and any(gaps_in_vain(brief.shoot, each, position)):
        yield Refusal(position.id, "nobody-rigs")


def _spot(
    supplies: Supplies,
    position: Position,
    all_cameras: tuple[Camera, ...],
    all_stands: tuple[Stand, ...],
    all_views: tuple[View, ...],
    lookout: Lookout,
) -> Spot:
    refusals: list[Refusal] = []
    brief, each = supplies.brief, supplies.each
    people = _allowed_people(brief, each, position, refusals)
    stands = _allowed_stands(supplies, position, all_stands, people, refusals)
    cameras = _carried_cameras(supplies, all_cameras, stands, refusals)
    numbers = tuple(n for n, view in enumerate(all_views) if view.position.id == position.id)
    views = tuple(all_views[n] for n in numbers)
    lasting = tuple(endurance(supplies, position, camera) for camera in cameras)
    lasts_min = np.array([each_lasts.untouched_min for each_lasts in lasting])
    must_last_min = brief.roll_min(each) if cannot_be_reached(position, each) else 0.0
    sights = lookout.sights(each).of(numbers)
    tremors = _tremors(brief, each, position, cameras, stands)
    shots = find_shots(
        brief,
        each,
        views,
        cameras,
        lasts_min,
        must_last_min,
        sights,
        tremors,
        has_no_hands=position.is_out_of_reach,
    )
    refusals.extend(_partly_refused(position, stands, cameras, lasting))
    return Spot(
        each, position, cameras, stands, people, views, numbers, shots, lasting, tuple(refusals)
    )


def _tremors(
    brief: Brief,
    each: Pass,
    position: Position,
    cameras: tuple[Camera, ...],
    stands: tuple[Stand, ...],
) -> Tremors:
    """Return the tremor of every camera on every kind of stand there, in each manner it allows."""
    ways: set[tuple[str, Manner]] = set()
    for stand in stands:
        row = support_row(stand, position)
        if stand.can_be_operated(position):
            ways.add((row, "operated"))
        if stand.can_be_locked_off:
            ways.add((row, "locked-off"))
    return {
        (row, manner): tremors_deg(brief, each, position, row, manner, cameras)
        for row, manner in sorted(ways)
    }


def _allowed_people(
    brief: Brief, each: Pass, position: Position, refusals: list[Refusal]
) -> tuple[Person, ...]:
    allowed = []
    for person in brief.shoot.crew:
        rule = next(person_rules(brief, each, position, person), None)
        if rule is None:
            allowed.append(person)
        else:
            refusals.append(Refusal(person.id, rule))
    return tuple(allowed)


def person_rules(brief: Brief, each: Pass, position: Position, person: Person) -> Iterator[str]:
    """Yield every rule by which a person may not operate at a position in a pass."""
    performed = brief.sings_during(person, each)
    if not person.is_operator:
        yield "not-operator"
    if all(person.id != other.id for other in brief.people(each)):
        yield "not-on-hand"
    if len(performed) == len(brief.shoot.run_songs(each)):
        yield "performs"
    if position.is_on_stage and not person.may_be_on_stage:
        yield "on-stage"
    if position.only_people is not None and person.id not in position.only_people:
        yield "not-allowed-there"
    if position.is_shut_in_by_audience and each.has_audience and performed:
        yield "shut-in"


def _allowed_stands(
    supplies: Supplies,
    position: Position,
    all_stands: tuple[Stand, ...],
    people: tuple[Person, ...],
    refusals: list[Refusal],
) -> tuple[Stand, ...]:
    allowed = []
    brief = supplies.brief
    on_hand = len(brief.people(supplies.each))
    for stand in all_stands:
        skill = stand.support.skill
        refusal = stand_refusal(stand, position, brief.shoot.rules.height_slack_m)
        if refusal is None and not all(map(supplies.has_unit, stand.items)):
            refusal = Refusal(stand.key, "no-unit")
        if refusal is None and skill and not any(skill in p.skills for p in people):
            refusal = Refusal(stand.key, "skill")
        if refusal is None and stand.support.people > on_hand:
            refusal = Refusal(stand.key, "hands", on_hand, stand.support.people)
        if refusal is None:
            allowed.append(stand)
        else:
            refusals.append(refusal)
    return tuple(allowed)


def _carried_cameras(
    supplies: Supplies,
    all_cameras: tuple[Camera, ...],
    stands: tuple[Stand, ...],
    refusals: list[Refusal],
) -> tuple[Camera, ...]:
    strongest = max((stand.capacity_kg for stand in stands), default=0.0)
    carried = []
    for camera in all_cameras:
        if not all(map(supplies.has_unit, camera.items)):
            refusals.append(Refusal(camera.key, "no-unit"))
        elif not any(stand.carries(camera.mass_kg) for stand in stands):
            refusals.append(Refusal(camera.key, "payload", camera.mass_kg, strongest))
        else:
            carried.append(camera)
    return tuple(carried)


def _partly_refused(
    position: Position,
    stands: tuple[Stand, ...],
    cameras: tuple[Camera, ...],
    lasting: tuple[Endurance, ...],
) -> Iterator[Refusal]:
    """Yield what rules out one manner of working, or leaves a camera without a card."""
    for stand in stands:
        if not stand.can_be_operated(position):
            yield Refusal(stand.key, "needs-hand")
        if not stand.can_be_locked_off:
            yield Refusal(stand.key, "needs-rest")
    for camera, lasts in zip(cameras, lasting, strict=True):
        if not lasts.card_choice:
            yield Refusal(camera.key, "no-card")
