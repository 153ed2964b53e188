"""Every rule that an option breaks, not only the first: for asking why, never for planning.

An option is a pass, a position, a camera, a stand, a shot and a manner. Parts that do not go
together are options as well, taken as if they did: a lens that no adapter puts on a body is tried
bare. The rules an option breaks are the bits of one number, in the order of the pipeline.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from kitplan.options.cameras import Camera
from kitplan.options.endurance import Endurance, Supplies, cannot_be_reached, endurance
from kitplan.options.parts import MANNERS, Parts, Scope
from kitplan.options.refusals import Refusal
from kitplan.options.shot_rules import Floats, fails, figures_of, lasting_fails, locked_fails
from kitplan.options.spots import Options, person_rules, position_refusals
from kitplan.options.stands import Stand, stand_refusals
from kitplan.options.steadiness import Manner, steady_marks, support_row, tremors_deg
from kitplan.options.views import View
from kitplan.shoot.records import Pass, Person
from kitplan.shoot.venue import Position

Masks = NDArray[np.uint64]
Figures = tuple[Floats, Floats]
"""What is there and what the rule asks for, as (views, cameras) or what broadcasts to it."""
PIPELINE: dict[str, tuple[str, ...]] = {
    "position": ("closed", "permission", "overhead", "nobody-rigs"),
    "camera": ("no-unit", "mount", "flange", "image-circle", "mode", "shutter"),
    "stand": (
        *("fitting", "stands-on", "height", "room", "payload", "mains", "skill", "hands"),
        *("needs-hand", "needs-rest"),
    ),
    "people": (
        *("not-operator", "not-on-hand", "performs", "on-stage", "not-allowed-there", "shut-in"),
        "no-operator",
    ),
    "shot": (
        *("no-audience", "no-light-row", "light", "too-long", "too-short", "closest-focus"),
        *("hidden", "over-heads", "empty-seats", "consent", "laser", "steadiness"),
        *("focus", "roam", "automatic"),
    ),
    "endurance": ("endurance", "no-card", "stops"),
}
RULES = tuple(chain.from_iterable(PIPELINE.values()))
BIT = {rule: 1 << number for number, rule in enumerate(RULES)}
STAGE = {rule: stage for stage, rules in PIPELINE.items() for rule in rules}


@dataclass(frozen=True)
class Block:
    """All shots with all cameras on stands that are alike to every rule, in one manner."""

    stands: tuple[Stand, ...]
    manner: Manner
    masks: Masks
    """Broken rules of each option, (views, cameras)."""
    figures: Mapping[str, Figures]
    """Of the rules that have any."""


@dataclass(frozen=True)
class Failing:
    """All options at one position in one pass."""

    each: Pass
    position: Position
    views: tuple[View, ...]
    cameras: tuple[Camera, ...]
    people: tuple[Person, ...]
    """Who may operate there, or the person asked about."""
    blocks: tuple[Block, ...]


def find_failing(options: Options, parts: Parts, scope: Scope) -> Iterator[Failing]:
    """Yield the options that are asked about, by pass and position."""
    own = parts.some(scope)
    for each in options.brief.shoot.passes:
        if scope.passes is not None and each.id not in scope.passes:
            continue
        for position in options.brief.shoot.venue.positions:
            if scope.positions is None or position.id in scope.positions:
                yield _failing(options, each, position, own, scope)


# -- one position in one pass ----------------------------------------------------------------------


def _failing(
    options: Options, each: Pass, position: Position, parts: Parts, scope: Scope
) -> Failing:
    brief = options.brief
    numbers = [
        number
        for number, view in enumerate(options.views)
        if view.position.id == position.id and scope.takes_view(view)
    ]
    views = tuple(options.views[number] for number in numbers)
    cameras = tuple(camera for camera, _ in parts.cameras)
    people = tuple(
        person
        for person in brief.shoot.crew
        if next(person_rules(brief, each, position, person), None) is None
    )
    found = Failing(each, position, views, cameras, people, ())
    if not views or not cameras:
        return found
    blocks = tuple(_Here(options, found, parts, scope, numbers).blocks())
    if scope.person is not None:
        people = (brief.shoot.crew_by_id[scope.person],)
    return Failing(each, position, views, cameras, people, blocks)


class _Here:
    """Works out the broken rules of one position in one pass."""

    def __init__(
        self, options: Options, at: Failing, parts: Parts, scope: Scope, numbers: list[int]
    ) -> None:
        self.options, self.brief, self.at, self.scope = options, options.brief, at, scope
        self.parts, self.numbers = parts, numbers
        self.on_hand = self.brief.people(at.each)
        self.figures: dict[str, Figures] = {}
        supplies = Supplies(self.brief, at.each)
        lasting = [endurance(supplies, at.position, camera) for camera in at.cameras]
        self.cameras = self._of_position() | self._of_cameras(lasting)
        self.shots, self.view_deg = self._of_shots(lasting)
        self.masses = np.array([[camera.mass_kg for camera in at.cameras]])

    def blocks(self) -> Iterator[Block]:
        """Yield the options of like stands together."""
        position, like = self.at.position, dict[tuple[object, ...], list[Stand]]()
        refusals: dict[str, list[Refusal]] = {}
        for stand, own in self.parts.stands:
            refusals[stand.key] = [*own, *self._of_stand(stand)]
            key = (
                tuple(str(replaced) for replaced in map(_unnamed, refusals[stand.key])),
                support_row(stand, position),
                stand.can_be_operated(position),
                stand.can_be_locked_off,
                stand.support.skill,
                stand.capacity_kg,
            )
            like.setdefault(key, []).append(stand)
        for stands in like.values():
            for manner in self.scope.manners:
                yield self._block(stands, manner, refusals[stands[0].key])

    def _block(self, stands: list[Stand], manner: Manner, own: list[Refusal]) -> Block:
        stand = stands[0]
        figures = dict(self.figures)
        masks = self.shots[manner] | self.cameras
        carried = np.array([[stand.carries(camera.mass_kg) for camera in self.at.cameras]])
        masks = masks | np.where(carried, 0, BIT["payload"]).astype(np.uint64)
        figures["payload"] = self.masses, np.full_like(self.masses, stand.capacity_kg)
        steady, figures["steadiness"] = self._steadiness(stand, manner)
        figures |= {each.rule: (np.array(each.value), np.array(each.limit)) for each in own}
        rules = {each.rule for each in own} | set(self._of_hands(stand, manner))
        bits = np.uint64(sum(BIT[rule] for rule in rules))
        return Block(tuple(stands), manner, masks | steady | bits, figures)

    def _of_position(self) -> np.uint64:
        at = self.at
        rules = {each.rule for each in position_refusals(self.brief, at.each, at.position)}
        if self.scope.is_safety:
            lookout = self.options.lookout
            if not lookout.is_clear_over_heads(at.each, at.position.lens_at_m):
                rules.add("over-heads")
        return np.uint64(sum(BIT[rule] for rule in rules))

    def _of_cameras(self, lasting: list[Endurance]) -> Masks:
        """Broken rules of each camera, (1, cameras)."""
        found, nan = [], float("nan")
        figures: dict[str, list[tuple[float, float]]] = {}
        for (camera, own), lasts in zip(self.parts.cameras, lasting, strict=True):
            rules = {each.rule for each in own}
            if not all(self.brief.free_units(item, self.at.each) for item in camera.items):
                rules.add("no-unit")
            if not lasts.card_choice:
                rules.add("no-card")
            if self.scope.rolls_throughout and not lasts.rolls_throughout:
                rules.add("stops")
            if self.scope.is_safety and not camera.body.has_manual_control:
                rules.add("automatic")
            found.append(sum(BIT[rule] for rule in rules))
            known = {each.rule: (each.value, each.limit) for each in own}
            for rule in ("flange", "image-circle"):
                figures.setdefault(rule, []).append(known.get(rule, (nan, nan)))
        for rule, pairs in figures.items():
            values = np.array(pairs).T[:, None, :]
            self.figures[rule] = values[0], values[1]
        return np.array([found], dtype=np.uint64)

    def _of_shots(self, lasting: list[Endurance]) -> tuple[dict[Manner, Masks], Floats]:
        """Broken rules of each view with each camera, by manner; vertical angles of view."""
        at, brief = self.at, self.brief
        figures = figures_of(brief, at.each, at.views, at.cameras)
        lasts_min = np.array([each.untouched_min for each in lasting])
        unreachable = cannot_be_reached(at.position, at.each)
        must_last_min = brief.roll_min(at.each) if unreachable else 0.0
        sights = self.options.lookout.sights(at.each).of(self.numbers)
        masks = np.zeros((len(at.views), len(at.cameras)), dtype=np.uint64)
        made: dict[Manner, Masks] = {}
        either, locked = fails(brief, figures, sights), locked_fails(brief, figures)
        has_no_hands = at.position.is_out_of_reach
        (either if has_no_hands else locked).append(lasting_fails(lasts_min, must_last_min))
        for manner, failures in zip(MANNERS, (either, locked), strict=True):
            for rule, failed, value, limit in failures:
                masks = masks | np.where(failed, BIT[rule], 0).astype(np.uint64)
                self.figures[rule] = value, limit
            made[manner] = masks
        return made, figures.view_deg

    def _steadiness(self, stand: Stand, manner: Manner) -> tuple[Masks, Figures]:
        at, rules = self.at, self.brief.shoot.rules
        row = support_row(stand, at.position)
        tremor = tremors_deg(self.brief, at.each, at.position, row, manner, at.cameras)
        marks = steady_marks(self.brief, tremor, self.view_deg, manner)
        limit = rules.steady_operated if manner == "operated" else rules.steady_locked
        share = 100 * tremor[None, :] / self.view_deg
        masks = np.where(marks > 0, 0, BIT["steadiness"]).astype(np.uint64)
        return masks, (share, np.full_like(share, limit))

    def _of_stand(self, stand: Stand) -> Iterator[Refusal]:
        brief, at = self.brief, self.at
        yield from stand_refusals(stand, at.position, brief.shoot.rules.height_slack_m)
        if not all(brief.free_units(item, at.each) for item in stand.items):
            yield Refusal(stand.key, "no-unit")
        if stand.support.people > len(self.on_hand):
            yield Refusal(stand.key, "hands", len(self.on_hand), stand.support.people)

    def _of_hands(self, stand: Stand, manner: Manner) -> Iterator[str]:
        """Rules of the people, and of working by hand or without."""
        at, skill = self.at, stand.support.skill
        if skill and not any(skill in person.skills for person in at.people):
            yield "skill"
        if manner == "locked-off":
            if not stand.can_be_locked_off:
                yield "needs-rest"
            return
        if not stand.can_be_operated(at.position):
            yield "needs-hand"
        if self.scope.person is not None:
            person = self.brief.shoot.crew_by_id[self.scope.person]
            yield from person_rules(self.brief, at.each, at.position, person)
            able = [person]
        else:
            able = [p for p in at.people if not self._sings_on_safety(p)]
            if not able:
                yield "no-operator"
        if skill and able and not any(skill in person.skills for person in able):
            yield "skill"

    def _sings_on_safety(self, person: Person) -> bool:
        return self.scope.is_safety and bool(self.brief.sings_during(person, self.at.each))


def _unnamed(refusal: Refusal) -> Refusal:
    """A refusal without the name of what it is about, to tell like stands."""
    return Refusal("", refusal.rule, refusal.value, refusal.limit)
