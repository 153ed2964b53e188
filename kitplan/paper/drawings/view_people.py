"""Who is before a lens: performers with the subject stressed, and the crew with its rigs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from math import cos, hypot, radians, sin

import numpy as np

from kitplan.gear.records import Support
from kitplan.paper.drawings.cast import cast_of
from kitplan.paper.drawings.figures import Facing, Part, figure
from kitplan.paper.drawings.looks import Look
from kitplan.paper.drawings.onlookers import from_above
from kitplan.paper.drawings.plan_content import Content, reach_of
from kitplan.paper.drawings.scene import (
    CREW,
    OTHERS,
    TARGET,
    Eye,
    Palette,
    Piece,
    Shape,
    level,
    upright,
)
from kitplan.paper.drawings.svg import Style
from kitplan.shoot.scenery import family_of, floor_of, head_m, place_of
from kitplan.shoot.sizes import body_m, height_m
from kitplan.shoot.venue import Position, Subject

TALLEST_OPERATOR_M, ADULT_M = 1.9, 1.75
RIG_HALF_M, BOX_HALF_M = 0.25, 0.09
Point = tuple[float, float]


def performer_pieces(eye: Eye, content: Content) -> Iterator[Piece]:
    """Yield all persons, groups and objects that may show; those of the subject stand out."""
    shoot, target = content.shoot, eye.look.subject
    cast = content.once("cast", partial(cast_of, shoot))
    stressed = parts_of(content, target)
    for subject in content.people:
        palette = TARGET if subject.id in stressed else OTHERS
        foot = floor_of(shoot, subject)
        places, (middle, around) = cast[subject.id], reach_around_m(subject)
        middles = np.array([(*at, foot + middle) for at in places]).reshape(-1, 3)
        for at, is_seen in zip(places, eye.sees(middles, around), strict=True):
            if not is_seen:
                continue
            if subject.kind == "object":
                yield upright(eye, at, foot, object_parts(subject), palette)
            else:
                yield person_piece(eye, at, foot, subject, palette)
    yield from _extent(eye, content)


def reach_around_m(subject: Subject) -> tuple[float, float]:
    """Return how high over its floor the middle of a figure is, and a distance from there within
    which all of it lies, raised arms included.
    """
    stature = stature_of(subject)
    high = max(1.35 * stature, height_m(subject), head_top_m(subject))
    wide = max(subject.width_m / 2, 0.35 * stature, 0.6)
    return high / 2, hypot(high / 2, wide) + 0.1


def parts_of(content: Content, target: Subject) -> frozenset[str]:
    """Return the ids of a subject and of all that is part of it; of the stage, everybody."""
    shoot = content.shoot
    if target.kind == "stage":
        return frozenset(subject.id for subject in content.people)
    own = {target.id}
    for other in shoot.subjects:
        if target.id in family_of(shoot, other) and _is_within(content, other, target):
            own.add(other.id)
    return frozenset(own)


def _is_within(content: Content, subject: Subject, whole: Subject) -> bool:
    """Whether a subject is part of another, at any depth."""
    seen: set[str] = set()
    above: str | None = subject.part_of
    while above is not None and above not in seen:
        if above == whole.id:
            return True
        seen.add(above)
        above = content.shoot.subjects_by_id[above].part_of
    return False


def person_piece(eye: Eye, at: Point, foot_m: float, subject: Subject, palette: Palette) -> Piece:
    """Return one figure of a person or group at a place."""
    stature, top = stature_of(subject), head_top_m(subject)
    if eye.is_above:
        return level(eye, at, foot_m, from_above(subject.posture, stature, top), palette)
    looks = facing(eye, at, subject.faces_deg)
    return upright(eye, at, foot_m, figure(subject.posture, stature, top, looks), palette)


def stature_of(subject: Subject) -> float:
    """Return the standing height of somebody, which sets the proportions."""
    if subject.kind == "group" and subject.height_m is not None:
        is_upright = subject.posture in ("standing", "child")
        return subject.height_m if is_upright else body_m(subject)
    return body_m(subject)


def head_top_m(subject: Subject) -> float:
    """Return how high the head of a figure is over its floor; raised arms reach higher."""
    if subject.kind == "person":
        return head_m(subject)
    return min(height_m(subject), stature_of(subject))


def facing(eye: Eye, at: Point, faces_deg: float = 180.0) -> Facing:
    """Return how the lens sees somebody at a place.

    Args:
        faces_deg: Where somebody looks, clockwise from upstage; 180 is to the house.
    """
    x, y = at[0] - eye.lens_m[0], at[1] - eye.lens_m[1]
    flat = hypot(x, y)
    if flat < 1e-9:
        return Facing(1.0, 0.0)
    right = eye.right_at(at)
    east, north = sin(radians(faces_deg)), cos(radians(faces_deg))
    return Facing(front=-(east * x + north * y) / flat, side=east * right[0] + north * right[1])


def object_parts(subject: Subject) -> list[Part]:
    """Return an object as a box with a lid."""
    half, high = subject.width_m / 2, height_m(subject)
    lid = high * 0.88
    return [
        Part(((-half, 0), (half, 0), (half, high), (-half, high)), "top"),
        Part(((-half, lid), (half, lid)), "line", is_closed=False),
    ]


def _extent(eye: Eye, content: Content) -> Iterator[Piece]:
    """The card that a person's shot is planned to hold, where it is larger than the figure: an
    instrument, a jump, raised arms.
    """
    subject = eye.look.subject
    if subject.kind != "person" or eye.is_above:
        return
    high, wide = height_m(subject), subject.width_m
    if wide <= 0.85 and high <= head_top_m(subject) * 1.05:
        return
    half = max(wide, 0.5) / 2
    at, foot = place_of(content.shoot, subject), floor_of(content.shoot, subject)
    ring = eye.on_card(at, foot, ((-half, 0), (half, 0), (half, high), (-half, high)))
    pen = Style(stroke="#777", width=0.2, dash="0.9 0.9")
    yield Piece(eye.distance_m((*at, foot + high / 2)) - 0.01, (Shape(ring, pen),))


# -- crew ------------------------------------------------------------------------------------------


def crew_pieces(eye: Eye, content: Content) -> Iterator[tuple[Piece, Look]]:
    """Yield rigs and operators at other positions in the same pass, dark."""
    for other in content.looks:
        if other.position.id == eye.look.position.id:
            continue
        for piece in _rig(eye, content, other):
            yield piece, other


def _rig(eye: Eye, content: Content, other: Look) -> Iterator[Piece]:
    position, at = other.position, other.position.at_m
    lens = position.lens_at_m[2]
    is_operated = other.placement.operator is not None and not position.is_out_of_reach
    if is_operated:
        foot, top = operator_span_m(position)
        parts = figure("standing", top - foot, top - foot, Facing(-1.0, 0.0))
        yield upright(eye, at, foot, [p for p in parts if not p.is_face], CREW)
    support = content.names.item_of(other.placement.rig.support)
    reach = reach_of(support, position) if isinstance(support, Support) else (False, 0.0)
    parts = list(rig_parts(position))
    piece = upright(eye, at, lens, parts, CREW)
    yield Piece(piece.distance_m - 0.02, piece.shapes)
    if reach[0] and position.park_deg is not None:
        yield _beam(eye, position, reach[1])


def operator_span_m(position: Position) -> tuple[float, float]:
    """Return from where to where an operator reaches, over the house floor."""
    lens = position.lens_at_m[2]
    if position.stands_on != "floor":
        return lens - 1.3, lens + 0.35
    floor = position.floor_height_m
    return floor, max(min(lens + 0.2, floor + TALLEST_OPERATOR_M), floor + 0.6)


def rig_parts(position: Position) -> Iterable[Part]:
    """Return camera and stand around the lens (height 0): legs, a clamp, or what hangs."""
    low = -position.lens_height_m if position.stands_on == "floor" else -0.3
    high = 0.3 if position.stands_on == "bar" else 0.15
    box = BOX_HALF_M
    if position.stands_on == "floor":
        for foot in (-RIG_HALF_M, 0.0, RIG_HALF_M):
            yield _strut((0.0, -box), (foot, low))
    elif position.stands_on == "rail":
        yield _strut((0.0, -box), (0.0, low))
        yield Part(((-0.12, low), (0.12, low), (0.12, low + 0.06), (-0.12, low + 0.06)), "top")
    else:
        yield _strut((0.0, box), (0.0, high))
    yield Part(((-0.11, -box), (0.11, -box), (0.11, box), (-0.11, box)), "top")
    yield Part(((-0.05, box), (0.05, box), (0.05, high - 0.02), (-0.05, high - 0.02)), "top")


def _strut(top: Point, foot: Point) -> Part:
    half = 0.014
    return Part(
        (
            (top[0] - half, top[1]),
            (top[0] + half, top[1]),
            (foot[0] + half, foot[1]),
            (foot[0] - half, foot[1]),
        ),
        "top",
    )


def _beam(eye: Eye, position: Position, reach_m: float) -> Piece:
    """An arm in its parked pose."""
    x, y, z = position.lens_at_m
    angle = radians(position.park_deg or 0.0)
    end = (x + reach_m * sin(angle), y + reach_m * cos(angle))
    points = np.array([(x, y, z), (*end, z)])
    beam = Shape(points, Style(stroke="#3c3c3c", width=0.9), is_closed=False)
    head = upright(
        eye, end, z, [Part(((-0.15, -0.2), (0.15, -0.2), (0.15, 0.2), (-0.15, 0.2)), "top")], CREW
    )
    middle = ((x + end[0]) / 2, (y + end[1]) / 2, z)
    return Piece(eye.distance_m(middle), (beam, *head.shapes))
