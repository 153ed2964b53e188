"""How much of its target a view sees (docs/model.md, section 2b: who hides whom, points, hidden).

Every point of the target is tried with a ray of its own. Metres; shares of the points.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitplan.plan.verify.blocks import Block, covers, heads, is_blocked, solids
from kitplan.plan.verify.pinhole import Box, Card, across, box_around, pinhole_of
from kitplan.plan.verify.plane import is_inside
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.sight import Vector, View
from kitplan.plan.verify.subjects import (
    PERFORMING,
    Point,
    belong_together,
    body_m,
    figure_m,
    floor_of,
    middle_of,
    outline_of,
    place_of,
)
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Position, Subject

SHARE_SLACK = 1e-9
"""A share is above a limit where it is so by more than this."""
ROWS = 8
"""Heights at which a person or an object is looked at."""
QUARTERS = (-0.25, 0.0, 0.25)
FIFTHS = (-0.4, -0.2, 0.0, 0.2, 0.4)
WIDTHS = (0.1, 0.3, 0.5, 0.7, 0.9)
DEPTHS = (1 / 6, 3 / 6, 5 / 6)
"""Where across and along its bounding box a group is looked at."""
LOW, MIDDLE, HIGH = 0.3, 0.6, 0.95
"""And at which heights, as shares of the figure's."""
WIDEST_PERSON_M = 0.5
"""A person hides no more than this width, whatever the instrument."""


@dataclass(frozen=True)
class Hidden:
    """Share of a target that is hidden, with and without the arms of a standing audience up."""

    share: float
    with_arms_up: float


@dataclass(frozen=True)
class Target:
    """Where a view looks for its target."""

    points: tuple[Vector, ...]
    """The points that count: those in the frame, or all where none is."""
    box: Box | None
    """Around those in the frame, of groups only from the waist up; None without any."""


# -- points ----------------------------------------------------------------------------------------


def target_of(scene: Scene, view: View) -> Target:
    """Return the points of the target of a view."""
    return scene.once(("target", view.key), lambda: _target(scene, view))


def _target(scene: Scene, view: View) -> Target:
    subject, camera = scene.shoot.subjects_by_id[view.key[1]], pinhole_of(scene, view)
    if subject.kind in ("person", "object"):
        points = upper = tuple(_upright_points(scene, view, subject))
    else:
        points = tuple(areal_points(scene, view.eye, subject, (LOW, MIDDLE, HIGH)))
        upper = tuple(areal_points(scene, view.eye, subject, (MIDDLE, HIGH)))
    in_frame = tuple(p for p in points if (spot := camera.spot(p)) and spot.is_in_frame)
    spots = [spot for point in upper if (spot := camera.spot(point)) and spot.is_in_frame]
    return Target(in_frame or points, box_around(spots))


def _upright_points(scene: Scene, view: View, subject: Subject) -> Iterator[Vector]:
    """Points of a person or an object, as far up and down as the frame reaches."""
    floor, aim, half = floor_of(scene, subject), view.aim[2], view.upright_m / 2
    low, high = sorted((max(floor, aim - half), min(floor + body_m(subject), aim + half)))
    for x, y in columns(view.eye, place_of(scene, subject), subject.width_m, QUARTERS):
        for row in range(ROWS):
            yield x, y, low + (row + 0.5) / ROWS * (high - low)


def columns(eye: Vector, at: Point, width_m: float, shares: Sequence[float]) -> Iterator[Point]:
    """Yield places beside a point at shares of a width, square to the ray from a lens."""
    across_x, across_y = across(eye, at)
    for share in shares:
        yield at[0] + share * width_m * across_x, at[1] + share * width_m * across_y


def areal_points(
    scene: Scene, eye: Vector, subject: Subject, shares: Sequence[float]
) -> Iterator[Vector]:
    """Yield the points of a group, stage or audience at shares of its height, in frame or not."""
    floor, figure = floor_of(scene, subject), figure_m(subject)
    for x, y in _areal_places(scene, eye, subject):
        for share in shares:
            yield x, y, floor + share * figure


def _areal_places(scene: Scene, eye: Vector, subject: Subject) -> Sequence[Point]:
    outline = outline_of(scene, subject)
    if outline is None:
        return tuple(columns(eye, place_of(scene, subject), subject.width_m, FIFTHS))
    xs, ys = zip(*outline, strict=True)
    west, south = min(xs), min(ys)
    width, depth = max(xs) - west, max(ys) - south
    grid = [(west + w * width, south + d * depth) for w in WIDTHS for d in DEPTHS]
    return [at for at in grid if is_inside(outline, at)] or [middle_of(outline)]


# -- who hides it ----------------------------------------------------------------------------------


def hidden_in(scene: Scene, each: Pass, view: View) -> Hidden:
    """Return how much of the target of a view is hidden in a pass."""
    key = ("hidden", scene.occupied(each), view.key)
    return scene.once(key, lambda: _hidden(scene, each, view))


def _hidden(scene: Scene, each: Pass, view: View) -> Hidden:
    subject, points = scene.shoot.subjects_by_id[view.key[1]], target_of(scene, view).points
    blocks, cards = _others(scene, view, subject)
    fixed = [
        is_blocked(view.eye, point, (*solids(scene), *blocks))
        or any(covers(card, view.eye, point) for card in cards)
        for point in points
    ]
    shares = []
    for have_arms_up in (False, True):
        crowd = () if subject.kind == "audience" else heads(scene, each, have_arms_up=have_arms_up)
        hidden = [
            was or is_blocked(view.eye, at, crowd) for was, at in zip(fixed, points, strict=True)
        ]
        shares.append(sum(hidden) / len(points))
    return Hidden(*shares)


def _others(scene: Scene, view: View, target: Subject) -> tuple[list[Block], list[Card]]:
    """Other performers who may stand in the way: groups as blocks, everybody else as cards."""
    blocks: list[Block] = []
    cards: list[Card] = []
    if target.kind not in PERFORMING:
        return blocks, cards
    for other in scene.shoot.subjects:
        if other.kind in PERFORMING and _may_hide(scene, view, target, other):
            floor, outline = floor_of(scene, other), outline_of(scene, other)
            if other.kind != "group":
                cards.append(card_of(scene, other))
            elif outline is not None:
                blocks.append(Block(outline, floor, floor + figure_m(other)))
    return blocks, cards


def _may_hide(scene: Scene, view: View, target: Subject, other: Subject) -> bool:
    if other.id == target.id or belong_together(scene, target, other):
        return False
    if other.roam_m > scene.shoot.rules.still_roam_m + SHARE_SLACK:
        return False
    outline = other.outline_m
    return outline is None or not (
        is_inside(outline, place_of(scene, target)) or is_inside(outline, view.eye[:2])
    )


def card_of(scene: Scene, subject: Subject) -> Card:
    """Return the card as which a person or an object stands in the way of others."""
    floor, width = floor_of(scene, subject), subject.width_m
    if subject.kind == "person":
        width = min(width, WIDEST_PERSON_M)
    return Card(place_of(scene, subject), floor, floor + body_m(subject), width)


# -- marks and rules -------------------------------------------------------------------------------


def sight_grade(scene: Scene, hidden: Hidden) -> int:
    """Return 3 to 1 for how little is hidden while arms are down, or 0 where too much is."""
    rules = scene.shoot.rules
    limits = (rules.hidden_full, rules.hidden_fair, rules.hidden_most)
    return sum(hidden.share <= limit + SHARE_SLACK for limit in limits)


def sight_mark(scene: Scene, hidden: Hidden) -> int:
    """Return the sight mark: the grade, less one (never the last) where raised arms hide much."""
    grade = sight_grade(scene, hidden)
    most = scene.shoot.rules.hidden_most
    return grade - 1 if hidden.with_arms_up > most + SHARE_SLACK and grade > 1 else grade


def has_view_over_heads(scene: Scene, each: Pass, position: Position) -> bool:
    """Return whether no head of the audience is before any performer, as a safety shot needs."""
    key = ("over-heads", scene.occupied(each), position.id)
    return scene.once(key, lambda: _has_view_over_heads(scene, each, position))


def _has_view_over_heads(scene: Scene, each: Pass, position: Position) -> bool:
    eye, crowd = position.lens_at_m, heads(scene, each)
    return not any(is_blocked(eye, point, crowd) for point in _upper_points(scene, eye))


def _upper_points(scene: Scene, eye: Vector) -> Iterator[Vector]:
    """Points above the waist of all persons and groups; where there are none, of the stage."""
    shown = [s for s in scene.shoot.subjects if s.kind in ("person", "group")]
    for subject in shown or [_stage_of(scene)]:
        if subject.kind == "person":
            floor = floor_of(scene, subject)
            for x, y in columns(eye, place_of(scene, subject), subject.width_m, QUARTERS):
                yield from ((x, y, floor + s * body_m(subject)) for s in (MIDDLE, HIGH))
        else:
            yield from areal_points(scene, eye, subject, (MIDDLE, HIGH))


def _stage_of(scene: Scene) -> Subject:
    """The stage as the shoot lists it, or as it is where nobody films it."""
    listed = (subject for subject in scene.shoot.subjects if subject.kind == "stage")
    return next(listed, Subject(id="stage", kind="stage"))
