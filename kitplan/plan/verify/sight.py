"""Sight: what a subject at a shot size looks like from a position, by scalar rays.

Venue axes in metres (x house right, y upstage, z up). No camera is chosen yet.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, degrees, dist, exp, hypot, log, pi, radians, tan
from typing import get_args

from kitplan.plan.verify.scene import Scene
from kitplan.shoot.venue import PersonSize, Position, Subject
from kitplan.tables import table

SIZES: tuple[str, ...] = get_args(PersonSize)
"""Shot sizes, tightest first."""
AREAL = ("group", "stage", "audience")
OWN_FRAME_SPREAD = 1.2
"""A frame given in metres still carries its name this factor up and down."""
HEAD_ROOM = 1.04
"""Top of the frame over the floor, as a share of stature. Common practice, no source."""
LEAST_COSINE = 0.2
"""Foreshortening counts no further than this."""
WIDEST_CORNER_DEG = 80.0
"""Corners further off the axis, and those behind the camera, are seen at this angle."""
LEAST_DISTANCE_M, LEAST_NEAR_M, LEAST_FRAME_M = 0.1, 0.05, 1e-6
ANGLE_SLACK_DEG, SIZE_SLACK = 1e-7, 1e-9
Point = tuple[float, float]
Vector = tuple[float, float, float]


@dataclass(frozen=True)
class View:
    """A subject at a size from a position: metres, frames square to the line of sight."""

    key: tuple[str, str, str]
    """Ids of position and subject, and the size."""
    direction: Vector
    """Unit vector from the lens to the aim point."""
    distance_m: float
    near_m: float
    far_m: float
    """Nearest and farthest place of the subject, roaming included."""
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
    """Return whether a size is at least as tight as the wanted one."""
    return SIZES.index(size) <= SIZES.index(wanted)


def view_of(scene: Scene, position: Position, subject: Subject, size: str) -> View | None:
    """Return a view; None where the size does not exist or the subject stands in the lens."""
    key = (position.id, subject.id, size)
    return scene.once(("view", *key), lambda: _view(scene, position, subject, size))


def _view(scene: Scene, position: Position, subject: Subject, size: str) -> View | None:
    if size not in sizes_of(subject):
        return None
    aspect = scene.shoot.delivery.aspect
    outline = _outline(scene, subject)
    at = subject.at_m or _middle(outline or scene.shoot.venue.stage.outline_m)
    width = subject.width_m if outline is None else _width_seen(outline, position.at_m, at)
    planned, least, most = _frames(subject, size, width, aspect)
    eye = position.lens_at_m
    aim = (*at, _floor(scene, subject) + _aim_height(subject, planned))
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
        direction=(
            (aim[0] - eye[0]) / distance,
            (aim[1] - eye[1]) / distance,
            rise / distance,
        ),
        distance_m=distance,
        near_m=max(min(reach) - subject.roam_m, LEAST_NEAR_M),
        far_m=max(reach) + subject.roam_m,
        planned_m=max(planned * tilt, LEAST_FRAME_M),
        least_m=least * tilt,
        most_m=most * tilt,
        needed_width_m=2 * subject.roam_m + (width if subject.kind == "object" else 0.0),
    )


# -- the subject -----------------------------------------------------------------------------------


def _floor(scene: Scene, subject: Subject) -> float:
    if subject.floor_height_m is not None:
        return subject.floor_height_m
    return 0.0 if subject.kind == "audience" else scene.shoot.venue.stage.height_m


def _figure_m(subject: Subject) -> float:
    """Height of the whole figure as it may be in the shot."""
    return subject.height_m or float(table("shot_sizes")["figure_m"][subject.posture])


def _stature_m(subject: Subject) -> float:
    """Stature, whatever the posture: a face is as large on a chair as standing."""
    if subject.height_m and subject.posture not in ("seated", "dancer"):
        return subject.height_m
    figures = table("shot_sizes")["figure_m"]
    return float(figures["child" if subject.posture == "child" else "standing"])


def _aim_height(subject: Subject, planned_m: float) -> float:
    """Middle of the frame over the floor: under the head room, not below the waist."""
    if subject.kind != "person":
        return _figure_m(subject) / 2
    stature = min(_figure_m(subject), _stature_m(subject))
    return max(HEAD_ROOM * stature - planned_m / 2, stature / 2)


def _outline(scene: Scene, subject: Subject) -> tuple[Point, ...] | None:
    if subject.outline_m is not None:
        return subject.outline_m
    if subject.at_m is not None or subject.kind not in AREAL:
        return None
    venue = scene.shoot.venue
    if subject.kind == "audience" and venue.audience:
        return venue.audience[0].outline_m
    return venue.stage.outline_m


def _middle(outline: tuple[Point, ...]) -> Point:
    xs, ys = zip(*outline, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _width_seen(outline: tuple[Point, ...], eye: Point, aim: Point) -> float:
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
        extent = max(_figure_m(subject), width_m / aspect)
        return row["of_extent"] * extent, row["least"] * extent, row["most"] * extent
    row = sizes["person"][size]
    is_cut = SIZES.index(size) < SIZES.index(sizes["whole_figure_from"])
    scale = (_stature_m(subject) if is_cut else _figure_m(subject)) / sizes["adult_m"]
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
