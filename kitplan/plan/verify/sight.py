"""Sight: what a subject at a shot size looks like from a position, by scalar rays.

Venue axes in metres (x house right, y upstage, z up). No camera is chosen yet.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, degrees, dist, exp, hypot, log, pi, radians, tan
from typing import get_args

from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.subjects import (
    AREAL,
    Outline,
    Point,
    body_m,
    figure_m,
    floor_of,
    outline_of,
    place_of,
    stature_m,
)
from kitplan.shoot.venue import PersonSize, Position, Subject
from kitplan.tables import table

SIZES: tuple[str, ...] = get_args(PersonSize)
"""Shot sizes, tightest first."""
OWN_FRAME_SPREAD = 1.2
"""A frame given in metres still carries its name this factor up and down."""
LEAST_COSINE = 0.2
"""Foreshortening counts no further than this."""
WIDEST_CORNER_DEG = 80.0
"""Corners further off the axis, and those behind the camera, are seen at this angle."""
LEAST_DISTANCE_M, LEAST_NEAR_M, LEAST_FRAME_M = 0.1, 0.05, 1e-6
ANGLE_SLACK_DEG, SIZE_SLACK = 1e-7, 1e-9
Vector = tuple[float, float, float]


@dataclass(frozen=True)
class View:
    """A subject at a size from a position: metres, frames square to the line of sight."""

    key: tuple[str, str, str]
    """Ids of position and subject, and the size."""
    eye: Vector
    """Where the lens is."""
    aim: Vector
    """What the middle of the frame shows."""
    direction: Vector
    """Unit vector from the lens to the aim point."""
    distance_m: float
    near_m: float
    far_m: float
    """Nearest and farthest place of the subject, roaming included."""
    upright_m: float
    """Frame height as planned before the tilt is taken into account."""
    planned_m: float
    least_m: float
    most_m: float
    """Frame heights: planned, and the limits within which the size keeps its name."""
    needed_width_m: float
    """Frame width that a locked-off camera needs."""


def sizes_of(subject: Subject) -> tuple[str, ...]:
    """Return the shot sizes that exist for a subject and may be filmed, tightest first."""
    rows = table("shot_sizes")["group" if subject.kind in AREAL else subject.kind]
    tightest = 0 if subject.closest is None else SIZES.index(subject.closest)
    return tuple(s for s in SIZES[tightest:] if s in rows or s in subject.frames_m)


def is_as_tight(size: str, wanted: str) -> bool:
    """Return whether a size is at least as tight as the wanted one; what is no size is not."""
    return size in SIZES and SIZES.index(size) <= SIZES.index(wanted)


def view_of(scene: Scene, position: Position, subject: Subject, size: str) -> View | None:
    """Return a view; None where the size does not exist or the subject stands in the lens."""
    key = (position.id, subject.id, size)
    return scene.once(("view", *key), lambda: _view(scene, position, subject, size))


def _view(scene: Scene, position: Position, subject: Subject, size: str) -> View | None:
    if size not in sizes_of(subject):
        return None
    aspect = scene.shoot.delivery.aspect
    outline, at = outline_of(scene, subject), place_of(scene, subject)
    width = subject.width_m if outline is None else _width_seen(outline, position.at_m, at)
    planned, least, most = _frames(subject, size, width, aspect)
    eye = position.lens_at_m
    aim = (*at, floor_of(scene, subject) + _aim_height(subject, size, planned))
    distance = dist(eye, aim)
    if distance < LEAST_DISTANCE_M:
        return None
    flat, rise = hypot(aim[0] - eye[0], aim[1] - eye[1]), aim[2] - eye[2]
    tilt = 1.0 if subject.kind in AREAL else max(flat / distance, LEAST_COSINE)
    reach = [distance]
    if outline is not None:
        reach = [hypot(x - eye[0], y - eye[1], rise) for x, y in outline]
    return View(
        key=(position.id, subject.id, size),
        eye=eye,
        aim=aim,
        direction=(
            (aim[0] - eye[0]) / distance,
            (aim[1] - eye[1]) / distance,
            rise / distance,
        ),
        distance_m=distance,
        near_m=max(min(reach) - subject.roam_m, LEAST_NEAR_M),
        far_m=max(reach) + subject.roam_m,
        upright_m=planned,
        planned_m=max(planned * tilt, LEAST_FRAME_M),
        least_m=least * tilt,
        most_m=most * tilt,
        needed_width_m=2 * subject.roam_m + (width if subject.kind == "object" else 0.0),
    )


# -- frames ----------------------------------------------------------------------------------------


def _cuts_body(size: str) -> bool:
    """Whether a size of a person shows less than the whole figure."""
    return SIZES.index(size) < SIZES.index(table("shot_sizes")["whole_figure_from"])


def _aim_height(subject: Subject, size: str, upright_m: float) -> float:
    """Middle of the frame over the floor: head room above what has it, foot room at the least."""
    sizes = table("shot_sizes")
    top = body_m(subject) if _cuts_body(size) else figure_m(subject)
    head, foot = float(sizes["head_room"][size]), float(sizes["foot_room"][size])
    return max(top + (head - 0.5) * upright_m, (0.5 - foot) * upright_m)


def _width_seen(outline: Outline, eye: Point, aim: Point) -> float:
    """Width in metres at the aim point that holds every corner; the wider half counts twice."""
    distance = dist(eye, aim)
    if distance < 1e-9:  # straight above: seen in full size
        return 2 * max(max(abs(x - aim[0]), abs(y - aim[1])) for x, y in outline)
    axis = atan2(aim[1] - eye[1], aim[0] - eye[0])
    widest = max(
        abs((atan2(y - eye[1], x - eye[0]) - axis + pi) % (2 * pi) - pi) if (x, y) != eye else 0.0
        for x, y in outline
    )
    return 2 * distance * tan(min(widest, radians(WIDEST_CORNER_DEG)))


def _frames(
    subject: Subject, size: str, width_m: float, aspect: float
) -> tuple[float, float, float]:
    """Frame heights without tilt: planned, least, most."""
    if size in subject.frames_m:
        own = subject.frames_m[size]
        return own, own / OWN_FRAME_SPREAD, own * OWN_FRAME_SPREAD
    sizes = table("shot_sizes")
    if subject.kind != "person":
        row = sizes["object" if subject.kind == "object" else "group"][size]
        extent = max(figure_m(subject), width_m / aspect)
        return row["of_extent"] * extent, row["least"] * extent, row["most"] * extent
    row = sizes["person"][size]
    is_cut = _cuts_body(size)
    scale = (stature_m(subject) if is_cut else figure_m(subject)) / sizes["adult_m"]
    if not is_cut:
        scale = max(scale, subject.width_m / (row["least_m"] * aspect))
    return row["frame_m"] * scale, row["least_m"] * scale, row["most_m"] * scale


# -- how views differ ------------------------------------------------------------------------------


def angle_deg(one: View, other: View) -> float:
    """Return the angle in degrees between two directions, by the chord between unit vectors."""
    return degrees(2 * asin(min(dist(one.direction, other.direction) / 2, 1.0)))


def size_factor(one: View, other: View) -> float:
    """Return by which factor (>= 1) the planned frame heights differ."""
    return exp(abs(log(one.planned_m / other.planned_m)))


def are_alike(scene: Scene, one: View, other: View) -> bool:
    """Return whether two views are one viewpoint; at the thresholds they differ."""
    if one.key == other.key:
        return True
    rules = scene.shoot.rules
    return (
        angle_deg(one, other) < rules.angle_deg - ANGLE_SLACK_DEG
        and size_factor(one, other) < rules.size_factor - SIZE_SLACK
    )


def are_clearly_distinct(scene: Scene, one: View, other: View) -> bool:
    """Return whether two views differ at a glance."""
    rules, angle = scene.shoot.rules, angle_deg(one, other) + ANGLE_SLACK_DEG
    is_other_size = size_factor(one, other) >= rules.clear_size_factor - SIZE_SLACK
    return angle >= rules.clear_angle_deg or (
        is_other_size and angle >= rules.clear_angle_with_size_deg
    )
