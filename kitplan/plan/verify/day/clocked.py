"""A pass on its clock, from the input alone: songs, gaps, slices, who may touch which camera.

Whole seconds: a song begins at the second before or at its beginning and ends at the one after or
at its end (docs/model.md, Rolls).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import ceil, floor, hypot, inf

from kitplan.gear.records import Body, Media, RecordingMode, Support
from kitplan.plan.day.rolls import Work
from kitplan.plan.day.shots import ShotSheet
from kitplan.plan.records import Placement, Plan
from kitplan.plan.verify.lasting import MEGABITS_PER_GIGABYTE, is_on_mains
from kitplan.plan.verify.scene import THIRDS, Scene, is_unreachable
from kitplan.shoot.records import Pass, Person, Song
from kitplan.shoot.venue import Position

_SLACK = 1e-6


def up(seconds: float) -> int:
    """Return whole seconds, rounded up."""
    return ceil(seconds - _SLACK)


def down(seconds: float) -> int:
    """Return whole seconds, rounded down."""
    return floor(seconds + _SLACK)


@dataclass(frozen=True)
class Clocked:
    """A song with its times."""

    song: Song
    begin: int
    end: int
    gap_end: int
    exact_begin: float


@dataclass(frozen=True)
class Reach:
    """How somebody may touch a camera."""

    walk_s: int
    is_own: bool
    has_to_be_back: bool


@dataclass(frozen=True)
class PassClock:
    """A pass of a plan on its clock."""

    plan: Plan
    scene: Scene
    each: Pass
    pass_id: str

    @cached_property
    def songs(self) -> tuple[Clocked, ...]:
        """The songs that the pass runs, one after the other."""
        found, at = [], 0.0
        for song in self.scene.run_songs(self.each):
            over = at + song.length_s
            found.append(Clocked(song, down(at), up(over), down(over + song.gap_s), at))
            at = over + song.gap_s
        return tuple(found)

    @cached_property
    def placements(self) -> dict[str, Placement]:
        """Cameras of the pass by letter."""
        return {p.letter: p for p in self.plan.placements_in(self.pass_id)}

    def slices(self, row: Clocked) -> list[tuple[int, int, frozenset[str]]]:
        """Return the pieces in which standing still in a song is counted, with whose moments."""
        step = self.scene.shoot.rules.stop_step_s
        spans = [
            (
                max(row.begin, down(row.exact_begin + m.at_s)),
                min(row.end, up(row.exact_begin + m.at_s + m.length_s)),
                m.subject,
            )
            for m in row.song.moments
        ]
        cuts = {row.begin, row.end}
        count = 0
        while row.begin + count * step < row.end:
            cuts.add(row.begin + down(count * step))
            count += 1
        cuts.update(at for a, b, _ in spans for at in (a, b) if row.begin <= at <= row.end)
        order = sorted(cuts)
        return [
            (a, b, frozenset(who for x, y, who in spans if x <= a and b <= y))
            for a, b in pairwise(order)
        ]

    # -- cameras -------------------------------------------------------------------------------

    def position(self, placement: Placement) -> Position:
        """Return where a camera stands."""
        return self.scene.positions_by_id[placement.position]

    def body(self, placement: Placement) -> Body:
        """Return the body of a camera."""
        body = self.scene.kit.items_by_id[self.scene.units_by_id[placement.rig.body].item]
        assert isinstance(body, Body)
        return body

    def mode(self, placement: Placement) -> RecordingMode:
        """Return the mode that a camera records in."""
        return next(m for m in self.body(placement).modes if m.name == placement.rig.mode)

    def clip_s(self, placement: Placement) -> float:
        """Return the seconds after which the body stops a clip."""
        mode = self.mode(placement)
        has_limit = mode.clip_limit_min is not None and mode.at_limit == "stops"
        return down((mode.clip_limit_min or 0) * 60) if has_limit else inf

    def heat_s(self, placement: Placement) -> float:
        """Return the seconds after which the body is too hot."""
        limit = self.body(placement).heat_limit_min
        return inf if limit is None else down(limit * 60)

    def battery_s(self, placement: Placement, unit: str | None) -> float:
        """Return the seconds that are planned on from a battery; None is mains."""
        body = self.body(placement)
        if unit is None or body.battery_min is None:
            return inf
        if unit not in self.scene.units_by_id:
            return 0
        rules = self.scene.shoot.rules
        is_measured = "battery_min" in body.measured
        share = rules.battery_measured if is_measured else rules.battery_assumed
        return down(body.battery_min * 60 * share * self.scene.units_by_id[unit].health)

    def card_s(self, placement: Placement, unit: str | None) -> float:
        """Return the seconds that are planned on from a card."""
        known = None if unit is None else self.scene.units_by_id.get(unit)
        card = None if known is None else self.scene.kit.items_by_id.get(known.item)
        if not isinstance(card, Media):
            return 0
        megabits = card.capacity_gb * MEGABITS_PER_GIGABYTE * self.scene.shoot.rules.card_fill
        return down(megabits / self.mode(placement).bit_rate_mbps)

    def batteries(self, placement: Placement) -> tuple[str | None, ...]:
        """Return the batteries that a camera may have in it; None where it runs on mains."""
        body = self.body(placement)
        if is_on_mains(body, self.position(placement)) or body.battery_min is None:
            return (None,)
        return placement.batteries

    def work_s(self, placement: Placement, does: tuple[Work, ...]) -> int:
        """Return how long a touch takes."""
        rules = self.scene.shoot.rules
        swaps = [
            length
            for work, length in (("battery", rules.battery_swap_s), ("card", rules.card_swap_s))
            if work in does
        ]
        if swaps and self.body(placement).is_door_blocked:
            swaps[0] = rules.blocked_door_s
        seconds = swaps[0] if swaps else rules.restart_s
        seconds += max(0.0, swaps[1] - rules.restart_s) if len(swaps) == 2 else 0.0
        return up(max(seconds, rules.cool_s) if "cool" in does else seconds)

    # -- what it is worth ----------------------------------------------------------------------

    def worth(self, song: Song) -> int:
        """Return what the pass gives the edit of a song, in thirds."""
        return THIRDS[self.scene.worth(self.each, song)]

    def is_safety(self, placement: Placement) -> bool:
        """Return whether a camera is the safety of a pass that needs one."""
        safe = {role.id for role in self.scene.roles if role.is_safety}
        return self.each.needs_safety and bool(safe & set(placement.roles))

    def framed(self, placement: Placement, song: Song) -> frozenset[str]:
        """Return the subjects that a camera frames in a song; nothing where its shot is no use."""
        if placement.shot.grade < 1 or song.id in self._missed(placement):
            return frozenset()
        main = {placement.shot.subject}
        if placement.operator is None:
            return frozenset(main)
        if song.id in self.scene.shoot.crew_by_id[placement.operator].performs_in:
            return frozenset()
        sheet = self._sheet(placement.letter)
        if sheet is not None:
            rows = [row for row in sheet.songs if row.song == song.id]
            held = {row.shot.subject for row in rows}
            return frozenset(held | {cue.shot.subject for row in rows for cue in row.cues})
        return frozenset(main | {shot.subject for shot in placement.menu})

    def _missed(self, placement: Placement) -> frozenset[str]:
        """Return the songs that a camera of a pass that is over has not got."""
        return frozenset(
            song
            for stood in self.scene.shoot.past.stood
            if stood.in_pass == self.each.id and stood.body == placement.rig.body
            for song in stood.missed
        )

    def _sheet(self, letter: str) -> ShotSheet | None:
        sheets = None if self.plan.day is None else self.plan.day.shots
        if sheets is None:
            return None
        return next(
            (s for s in sheets.sheets if (s.pass_id, s.letter) == (self.pass_id, letter)), None
        )

    # -- people --------------------------------------------------------------------------------

    def is_shut_in(self, placement: Placement) -> bool:
        """Return whether the audience keeps people from coming and going."""
        return self.position(placement).is_shut_in_by_audience and self.each.has_audience

    def is_alone(self, placement: Placement) -> bool:
        """Return whether nobody can touch a camera while the pass runs."""
        position = self.position(placement)
        if not is_unreachable(position, self.each):
            return False
        return position.is_out_of_reach or placement.operator is None

    @cached_property
    def floaters(self) -> tuple[Person, ...]:
        """People on hand who neither operate nor help, in the order of the crew."""
        operators = {p.operator for p in self.placements.values()}
        rest = [p for p in self.scene.people(self.each) if p.id not in operators]
        songs = {row.song.id for row in self.songs}
        helpers = 0
        for placement in self.placements.values():
            support = self.scene.kit.items_by_id[self.scene.units_by_id[placement.rig.support].item]
            helpers += support.people - 1 if isinstance(support, Support) else 0
        for person in reversed(list(rest)):
            if helpers > 0 and not songs & set(person.performs_in):
                rest.remove(person)
                helpers -= 1
        return tuple(rest)

    @cached_property
    def floaters_wait_at(self) -> tuple[float, float] | None:
        """Where floaters wait: at the camera from which those that they may touch are nearest."""
        own = [
            p for p in self.placements.values() if not is_unreachable(self.position(p), self.each)
        ]
        locked = [p for p in own if p.operator is None]
        places = [self.position(p).at_m for p in locked or own]
        sums = [sum(hypot(a[0] - b[0], a[1] - b[1]) for b in places) for a in places]
        return places[sums.index(min(sums))] if places else None

    def reach(self, placement: Placement, person_id: str) -> Reach | None:
        """Return how somebody may touch a camera while the pass runs; None where not at all."""
        if self.is_alone(placement):
            return None
        if person_id == placement.operator:
            return Reach(0, True, False)
        person = self.scene.shoot.crew_by_id.get(person_id)
        there = self.position(placement)
        if person is None or self.is_shut_in(placement) or not self._may_go(person, there):
            return None
        if person in self.floaters and self.floaters_wait_at is not None:
            return Reach(self._walk_s(self.floaters_wait_at, there), False, False)
        beside = [p for p in self.placements.values() if p.operator == person_id]
        if placement.operator is not None or not beside:
            return None
        here = self.position(beside[0])
        if is_unreachable(here, self.each):
            return None
        return Reach(self._walk_s(here.at_m, there), False, True)

    def _may_go(self, person: Person, there: Position) -> bool:
        on_stage = there.is_on_stage and (self.each.has_audience or not person.may_be_on_stage)
        return not on_stage and (there.only_people is None or person.id in there.only_people)

    def _walk_s(self, here: tuple[float, float], there: Position) -> int:
        metres = hypot(here[0] - there.at_m[0], here[1] - there.at_m[1])
        return up(60 * metres / self.scene.shoot.rules.walk_m_per_min)
