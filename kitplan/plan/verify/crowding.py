"""Rigs and operators in each other's pictures (docs/model.md, section 2b; rule V of section 3)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import cos, dist, radians, sin
from typing import NamedTuple

from kitplan.plan.verify.blocks import heads, is_blocked, solids
from kitplan.plan.verify.findings import Fault
from kitplan.plan.verify.pinhole import Box, Card, pinhole_of, shared_box
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.seen import SHARE_SLACK, target_of
from kitplan.plan.verify.setups import Setup
from kitplan.plan.verify.sight import View, view_of
from kitplan.plan.verify.subjects import Point
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Position

REFUSED, NOTED, FAINT, UNSEEN = 3, 2, 1, 0
"""Levels at which a rig is in a picture."""
RIG_M, OPERATOR_M, ARM_M = 0.5, 0.6, 0.5
"""Widths of the cards."""
ARM_STEP_DEG = 30.0


@dataclass(frozen=True)
class Shown:
    """What a placement shows to others."""

    cards: tuple[Card, ...]
    """In a picture these cost marks, or refuse it."""
    sweep: tuple[Card, ...] = ()
    """These never refuse it: an arm that is parked while others film."""


# -- what a placement shows ------------------------------------------------------------------------


def shown_by(setup: Setup) -> Shown:
    """Return the cards of a placement's rig, of its operator, and of where its moves take them."""
    position, support = setup.position, setup.stand.support
    at, swing = position.at_m, tuple(_arm(setup, _bearings(position)))
    if support.is_arm:
        base = tuple(_rig_and_operator(setup, at))
        if position.park_deg is None:
            return Shown((*base, *swing))
        return Shown((*base, *_arm(setup, [position.park_deg])), swing)
    reach = _reach_m(setup)
    places = [at, *_ends(at, reach)] if support.moves else [at]
    return Shown(tuple(card for place in places for card in _rig_and_operator(setup, place)))


def _lens(position: Position) -> float:
    return position.lens_at_m[2]


def _rig(position: Position, at: Point) -> Card:
    lens = _lens(position)
    foot, top = {
        "floor": (position.floor_height_m, lens + 0.15),
        "rail": (lens - 0.3, lens + 0.15),
        "bar": (lens - 0.3, lens + 0.3),
    }[position.stands_on]
    return Card(at, foot, top, RIG_M)


def _operator(position: Position, at: Point) -> Card:
    lens, floor = _lens(position), position.floor_height_m
    if position.stands_on == "floor":
        return Card(at, floor, min(lens + 0.2, floor + 1.9), OPERATOR_M)
    return Card(at, lens - 1.3, lens + 0.35, OPERATOR_M)


def _rig_and_operator(setup: Setup, at: Point) -> Iterator[Card]:
    """The rig, and whoever stands at it: a support that moves has somebody, operated or not."""
    support, position = setup.stand.support, setup.position
    yield _rig(position, at)
    has_hands = setup.person is not None or support.is_arm or bool(support.moves)
    if has_hands and not position.is_out_of_reach:
        yield _operator(position, at)


def _ends(at: Point, reach_m: float) -> tuple[Point, ...]:
    """Where a track, boom or walk ends: as far along each axis."""
    x, y = at
    return (x + reach_m, y), (x - reach_m, y), (x, y + reach_m), (x, y - reach_m)


def _reach_m(setup: Setup) -> float:
    support = setup.stand.support
    if support.sweep_m is not None:
        return support.sweep_m
    if support.is_arm:
        return support.footprint_m
    return setup.position.walk_m if "walk" in support.moves else support.footprint_m / 2


def _arm(setup: Setup, bearings_deg: Sequence[float]) -> Iterator[Card]:
    """The end of an arm at its reach and half of it."""
    (x, y), lens, reach = setup.position.at_m, _lens(setup.position), _reach_m(setup)
    for bearing in map(radians, bearings_deg):
        for radius in (reach, reach / 2):
            at = (x + radius * sin(bearing), y + radius * cos(bearing))
            yield Card(at, lens - 0.5, lens + 0.5, ARM_M)


def _bearings(position: Position) -> list[float]:
    """Bearings of an arm in degrees: in steps from the start of its arc, and the end of it.

    A whole turn apart or more is all round, one and the same twice is no swing at all.
    """
    start, end = position.arc_deg or (0.0, 360.0)
    turn = 360.0 if abs(end - start) >= 360 else (end - start) % 360
    steps = [start]
    while steps[-1] + ARM_STEP_DEG < start + turn:
        steps.append(steps[-1] + ARM_STEP_DEG)
    return steps if turn in (0.0, 360.0) else [*steps, start + turn]


# -- levels ----------------------------------------------------------------------------------------


class Glimpse(NamedTuple):
    """How a placement is in a picture."""

    level: int
    """3 refused, 2, 1, 0 not at all."""
    height: float
    """Largest height that a part of it takes, as a share of the frame's."""


NOTHING = Glimpse(UNSEEN, 0.0)


def level_in_picture(scene: Scene, view: View, shown: Setup) -> int:
    """Return at which level a placement is in a view in its pass: 3 refused, 2, 1, 0 not at all."""
    return glimpse_of(scene, view, shown).level


def glimpse_of(scene: Scene, view: View, shown: Setup) -> Glimpse:
    """Return how a placement is in a view in its pass."""
    position, support = shown.position, shown.stand.support
    if view.key[0] == position.id:
        return NOTHING  # two rigs at one position do not see each other
    by_hand = shown.person is not None
    key = ("glimpse", scene.occupied(shown.each), view.key, position.id, support.id, by_hand)
    return scene.once(key, lambda: _glimpse(scene, view, shown))


def _glimpse(scene: Scene, view: View, setup: Setup) -> Glimpse:
    shown = shown_by(setup)
    firm = [_glimpse_of_card(scene, setup.each, view, card) for card in shown.cards]
    sweep = [_glimpse_of_card(scene, setup.each, view, card) for card in shown.sweep]
    levels = (*(each.level for each in firm), *(min(each.level, NOTED) for each in sweep))
    return Glimpse(max(levels), max(each.height for each in (*firm, *sweep)))


def _glimpse_of_card(scene: Scene, each: Pass, view: View, card: Card) -> Glimpse:
    rules, box = scene.shoot.rules, pinhole_of(scene, view).box(card)
    if box is None or box.height <= rules.rig_least_share + SHARE_SLACK:
        return NOTHING
    in_the_way = (*solids(scene), *heads(scene, each))
    heights = (card.foot, (card.foot + card.top) / 2, card.top)
    if all(is_blocked(view.eye, (*card.at, z), in_the_way) for z in heights):
        return NOTHING
    refused = rules.rig_refused_share[scene.shoot.performance]
    if box.height > refused + SHARE_SLACK or _is_across(scene, view, card, box):
        return Glimpse(REFUSED, box.height)
    is_noted = box.height > rules.rig_noted_share + SHARE_SLACK
    return Glimpse(NOTED if is_noted else FAINT, box.height)


def _is_across(scene: Scene, view: View, card: Card, box: Box) -> bool:
    """Whether a card stands before the target and over part of it in the picture."""
    eye, target = view.eye[:2], target_of(scene, view).box
    if target is None or dist(eye, card.at) >= dist(eye, view.aim[:2]) - SHARE_SLACK:
        return False
    return shared_box(box, target) is not None


# -- rule ------------------------------------------------------------------------------------------


def picture_faults(scene: Scene, each: Pass, setups: Sequence[Setup]) -> Iterator[Fault]:
    """Pictures (V): no main or menu shot of a pass has another placement at level 3 in it."""
    for setup in setups:
        for subject, size in ((setup.subject.id, setup.size), *setup.menu):
            for other in in_the_way_of(scene, setup, subject, size, setups):
                wrong = f"{other.position.id} is in the picture of {subject} {size}"
                right = f"Film it from elsewhere than {setup.position.id}, or use one of the two"
                yield Fault("pictures", f"{wrong} in {each.id}", right)


def in_the_way_of(
    scene: Scene, setup: Setup, subject_id: str, size: str, setups: Sequence[Setup]
) -> list[Setup]:
    """Return the other setups of its pass that are at level 3 in a view from a setup's position."""
    subject = scene.shoot.subjects_by_id.get(subject_id)
    view = None if subject is None else view_of(scene, setup.position, subject, size)
    if view is None:
        return []
    return [
        other
        for other in setups
        if other.each.id == setup.each.id and level_in_picture(scene, view, other) == REFUSED
    ]


def levels_seen(scene: Scene, setup: Setup, setups: Sequence[Setup]) -> int:
    """Return the sum of the levels of all others of its pass in a setup's main shot."""
    view = view_of(scene, setup.position, setup.subject, setup.size)
    if view is None:
        return 0
    others = [other for other in setups if other.each.id == setup.each.id]
    return sum(level_in_picture(scene, view, other) for other in others)
