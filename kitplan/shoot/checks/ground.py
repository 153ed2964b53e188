"""The place makes sense: outlines enclose something, cameras and subjects stand where there is room
for them, nothing stands inside something else.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import dist, radians, tan

from kitplan.shoot.checks.fault import Fault
from kitplan.shoot.checks.outlines import (
    LEAST_AREA_M2,
    contains,
    crossing_edges,
    is_within,
    overlap,
    shape,
    spread_m2,
    without_repeats,
)
from kitplan.shoot.records import Shoot
from kitplan.shoot.scenery import floor_of
from kitplan.shoot.sizes import AREAL, body_m, height_m
from kitplan.shoot.venue import AudienceArea, Obstacle, Outline, Point, Position, Subject, Zone
from kitplan.wording import Place

LEAST_DISTANCE_M = 0.3
"""Nearer than this a lens would stand in the subject. Common practice, no source."""
LEAST_LAMP_DISTANCE_M = 0.1
"""Nearer than this a lamp would stand in the lens. Common practice, no source."""
EPSILON = 1e-9


def wrong_outlines(shoot: Shoot) -> Iterator[Fault]:
    """An outline encloses an area and does not cross itself."""
    for place, name, outline_m in _outlines(shoot):
        corners = without_repeats(outline_m)
        if len(corners) < 3 or spread_m2(corners) < LEAST_AREA_M2:
            right = "Give at least three corners that do not lie in line"
            yield Fault(place, f"the outline of {name} encloses no area", right)
        elif crossing := crossing_edges(corners):
            at = [f"[{corners[i][0]:g}, {corners[i][1]:g}]" for i in crossing]
            wrong = (
                f"the outline of {name} crosses itself: its edges from {at[0]} and {at[1]} touch"
            )
            yield Fault(place, wrong, "List the corners in the order in which one walks round")


def _outlines(shoot: Shoot) -> Iterator[tuple[Place, str, tuple[Point, ...]]]:
    venue = shoot.venue
    yield ("venue", "stage", "outline_m"), "the stage", venue.stage.outline_m
    groups: tuple[tuple[str, str, Sequence[Zone | AudienceArea | Obstacle]], ...] = (
        ("zones", "zone", venue.zones),
        ("audience", "audience area", venue.audience),
        ("obstacles", "obstacle", venue.obstacles),
    )
    for key, what, areas in groups:
        for index, area in enumerate(areas):
            yield ("venue", key, index, "outline_m"), f"{what} '{area.id}'", area.outline_m
    for index, subject in enumerate(shoot.subjects):
        if subject.outline_m is not None:
            place = ("subjects", index, "outline_m")
            yield place, f"subject '{subject.id}'", subject.outline_m


# -- subjects --------------------------------------------------------------------------------------


def subjects_in_obstacles(shoot: Shoot) -> Iterator[Fault]:
    """No subject stands, and none with an outline lies as a whole, inside an obstacle."""
    for index, subject in enumerate(shoot.subjects):
        foot_m = floor_of(shoot, subject)
        for obstacle in shoot.venue.obstacles:
            top_m = obstacle.base_m + obstacle.height_m
            is_level = _meet(foot_m, foot_m + _solid_m(subject), obstacle)
            if is_level and _lies_in(subject, obstacle.outline_m):
                wrong = (
                    f"subject '{subject.id}' is inside obstacle '{obstacle.id}', which reaches "
                    f"from {obstacle.base_m:g} to {top_m:g} m"
                )
                right = (
                    f"Move one of them, set floor_height_m to {top_m:g} if '{subject.id}' is on "
                    f"top, or take the obstacle out if both are the same thing"
                )
                yield Fault(("subjects", index, _place_key(subject)), wrong, right)


def _solid_m(subject: Subject) -> float:
    """Height of what cannot be where something else is: raised arms and jumps do not count."""
    if subject.kind == "object":
        return height_m(subject)
    return min(height_m(subject), body_m(subject))


def _has_outline(subject: Subject) -> bool:
    return subject.kind in AREAL and subject.outline_m is not None


def _place_key(subject: Subject) -> str:
    return "outline_m" if _has_outline(subject) else "at_m"


def _lies_in(subject: Subject, outline_m: Outline) -> bool:
    """Whether the place of a subject, or its whole outline, is inside an outline."""
    if subject.outline_m is not None and _has_outline(subject):
        return is_within(subject.outline_m, outline_m)
    return subject.at_m is not None and contains(outline_m, subject.at_m)


def _reaches_into(subject: Subject, outline_m: Outline) -> bool:
    """Whether the place of a subject, or a part of its outline, is inside an outline."""
    if subject.outline_m is not None and _has_outline(subject):
        return overlap(subject.outline_m, outline_m)
    return subject.at_m is not None and contains(outline_m, subject.at_m)


def subjects_under_stage(shoot: Shoot) -> Iterator[Fault]:
    """A subject inside the stage's outline stands on the stage, or in a zone that is lower."""
    stage = shoot.venue.stage
    for index, subject in enumerate(shoot.subjects):
        if not _lies_in(subject, stage.outline_m):
            continue
        floors_m = [z.height_m for z in shoot.venue.zones if _reaches_into(subject, z.outline_m)]
        lowest_m, floor_m = min([stage.height_m, *floors_m]), floor_of(shoot, subject)
        if floor_m < lowest_m:
            place_key = _place_key(subject)
            wrong = (
                f"subject '{subject.id}' is on the stage, but its floor_height_m {floor_m:g} is "
                f"below the stage's {lowest_m:g}"
            )
            right = f"Set floor_height_m to {lowest_m:g}, or move {place_key} off the stage"
            key = place_key if subject.floor_height_m is None else "floor_height_m"
            yield Fault(("subjects", index, key), wrong, right)


# -- audience and lamps ----------------------------------------------------------------------------


def audience_in_stage(shoot: Shoot) -> Iterator[Fault]:
    """No audience area lies inside the block of the stage; round it, on it or in a pit it may."""
    stage = shoot.venue.stage
    for index, area in enumerate(shoot.venue.audience):
        common = shape(area.outline_m).intersection(shape(stage.outline_m))
        for zone in shoot.venue.zones:
            if zone.height_m <= area.height_m:
                common = common.difference(shape(zone.outline_m))
        if common.area <= LEAST_AREA_M2:
            continue
        # the floor is lowest at the largest y: rakes rise away from the stage
        behind_m = max(y for _, y in area.outline_m) - common.bounds[3]
        floor_m = area.height_m + tan(radians(area.rake_deg)) * behind_m
        if floor_m < stage.height_m - EPSILON:
            shared_m2 = max(common.area, 0.01)
            wrong = (
                f"audience area '{area.id}' shares {shared_m2:.2f} m2 with the stage, but its "
                f"floor there, {floor_m:.2f} m, is below the stage's {stage.height_m:g}"
            )
            right = (
                f"Let outline_m end at the stage's edge, or set height_m to {stage.height_m:g} if "
                f"the audience is on the stage"
            )
            yield Fault(("venue", "audience", index, "outline_m"), wrong, right)


def lamps_in_lenses(shoot: Shoot) -> Iterator[Fault]:
    """No lamp is within 0.1 m of a lens."""
    for index, lamp in enumerate(shoot.venue.lamps):
        for position in shoot.venue.positions:
            distance_m = dist(position.lens_at_m, (*lamp.at_m, lamp.height_m))
            if distance_m < LEAST_LAMP_DISTANCE_M - EPSILON:
                wrong = (
                    f"lamp '{lamp.id}' is {distance_m:.2f} m from the lens at position "
                    f"'{position.id}'"
                )
                right = (
                    f"Correct at_m or height_m (over the house floor): at least "
                    f"{LEAST_LAMP_DISTANCE_M:g} m must lie between"
                )
                yield Fault(("venue", "lamps", index, "at_m"), wrong, right)


# -- cameras ---------------------------------------------------------------------------------------


def positions_in_obstacles(shoot: Shoot) -> Iterator[Fault]:
    """Nothing stands where a camera stands."""
    for index, position in enumerate(shoot.venue.positions):
        for obstacle in shoot.venue.obstacles:
            low_m, high_m = position.floor_height_m, position.lens_at_m[2]
            is_level = _meet(low_m, high_m, obstacle)
            if is_level and contains(obstacle.outline_m, position.at_m):
                top_m = obstacle.base_m + obstacle.height_m
                wrong = (
                    f"position '{position.id}' is inside obstacle '{obstacle.id}', which reaches "
                    f"from {obstacle.base_m:g} to {top_m:g} m"
                )
                right = f"Move at_m, or set floor_height_m to {top_m:g} if it stands on top"
                yield Fault(("venue", "positions", index, "at_m"), wrong, right)


def _meet(low_m: float, high_m: float, obstacle: Obstacle) -> bool:
    """Whether something from foot to top and an obstacle share some height."""
    top_m = obstacle.base_m + obstacle.height_m  # 0.6 + 1.1 is a hair above 1.7
    return low_m < top_m - EPSILON and high_m > obstacle.base_m + EPSILON


def positions_under_stage(shoot: Shoot) -> Iterator[Fault]:
    """A camera inside the stage's outline stands on the stage, or in a zone that is lower."""
    stage = shoot.venue.stage
    for index, position in enumerate(shoot.venue.positions):
        if not contains(stage.outline_m, position.at_m):
            continue
        floors_m = [z.height_m for z in shoot.venue.zones if contains(z.outline_m, position.at_m)]
        floor_m = min([stage.height_m, *floors_m])
        if position.floor_height_m < floor_m:
            wrong = (
                f"position '{position.id}' is on the stage, but its floor_height_m "
                f"{position.floor_height_m:g} is below the stage's {floor_m:g}"
            )
            right = f"Set floor_height_m to {floor_m:g}, or move at_m off the stage"
            key = "floor_height_m" if "floor_height_m" in position.model_fields_set else "at_m"
            yield Fault(("venue", "positions", index, key), wrong, right)


def cameras_in_subjects(shoot: Shoot) -> Iterator[Fault]:
    """No lens is within 0.3 m of a person or object."""
    for index, position in enumerate(shoot.venue.positions):
        for subject in shoot.subjects:
            distance_m = _distance_m(shoot, position, subject)
            if distance_m is not None and distance_m < LEAST_DISTANCE_M:
                wrong = (
                    f"the lens at position '{position.id}' is {distance_m:.2f} m from subject "
                    f"'{subject.id}'"
                )
                right = f"Move one of them: at least {LEAST_DISTANCE_M:g} m must lie between"
                yield Fault(("venue", "positions", index, "at_m"), wrong, right)


def _distance_m(shoot: Shoot, position: Position, subject: Subject) -> float | None:
    """Distance of a lens from the axis of a figure; None for areas and for groups, among whose
    players a camera may stand."""
    if subject.at_m is None or subject.kind in AREAL:
        return None
    foot_m = floor_of(shoot, subject)
    lens_z_m = position.lens_at_m[2]
    nearest_z_m = min(max(lens_z_m, foot_m), foot_m + height_m(subject))
    return dist(position.lens_at_m, (*subject.at_m, nearest_z_m))


def parks_outside_arcs(shoot: Shoot) -> Iterator[Fault]:
    """An arm rests where it may swing."""
    for index, position in enumerate(shoot.venue.positions):
        arc_deg, park_deg = position.arc_deg, position.park_deg
        if arc_deg is None or park_deg is None or _is_in_arc(park_deg, arc_deg):
            continue
        wrong = (
            f"position '{position.id}' has park_deg {park_deg:g}, outside its arc_deg, which goes "
            f"clockwise from {arc_deg[0]:g} to {arc_deg[1]:g}"
        )
        right = (
            f"Give a bearing in it, or write arc_deg: [{arc_deg[1]:g}, {arc_deg[0]:g}] if the arm "
            f"swings on the other side"
        )
        yield Fault(("venue", "positions", index, "park_deg"), wrong, right)


def _is_in_arc(bearing_deg: float, arc_deg: tuple[float, float]) -> bool:
    """Whether a bearing lies on the way clockwise from one to another; 0 to 360 is all round."""
    first_deg, last_deg = arc_deg
    width_deg = (last_deg - first_deg) % 360
    if width_deg == 0 and first_deg != last_deg:
        return True
    return (bearing_deg - first_deg + EPSILON) % 360 <= width_deg + 2 * EPSILON
