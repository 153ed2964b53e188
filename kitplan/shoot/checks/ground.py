"""The place makes sense: outlines enclose something, cameras stand where there is room for them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import dist

from kitplan.shoot.checks.fault import Fault
from kitplan.shoot.checks.outlines import contains, crossing_edges, spread_m2, without_repeats
from kitplan.shoot.records import Shoot
from kitplan.shoot.sizes import AREAL, height_m
from kitplan.shoot.venue import AudienceArea, Obstacle, Point, Position, Subject, Zone
from kitplan.wording import Place

LEAST_AREA_M2 = 1e-4
LEAST_DISTANCE_M = 0.3
"""Nearer than this a lens would stand in the subject. Common practice, no source."""


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


def positions_in_obstacles(shoot: Shoot) -> Iterator[Fault]:
    """Nothing stands where a camera stands."""
    for index, position in enumerate(shoot.venue.positions):
        for obstacle in shoot.venue.obstacles:
            if contains(obstacle.outline_m, position.at_m) and _meet(position, obstacle):
                top_m = obstacle.base_m + obstacle.height_m
                wrong = (
                    f"position '{position.id}' is inside obstacle '{obstacle.id}', which reaches "
                    f"from {obstacle.base_m:g} to {top_m:g} m"
                )
                right = f"Move at_m, or set floor_height_m to {top_m:g} if it stands on top"
                yield Fault(("venue", "positions", index, "at_m"), wrong, right)


def _meet(position: Position, obstacle: Obstacle) -> bool:
    """Whether rig and obstacle share some height."""
    low_m, high_m = position.floor_height_m, position.lens_at_m[2]
    return low_m < obstacle.base_m + obstacle.height_m and high_m > obstacle.base_m


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
    """Distance of a lens from the axis of a figure; None for groups and areas."""
    if subject.at_m is None or subject.kind in AREAL:
        return None
    floor_m = subject.floor_height_m
    foot_m = shoot.venue.stage.height_m if floor_m is None else floor_m
    lens_z_m = position.lens_at_m[2]
    nearest_z_m = min(max(lens_z_m, foot_m), foot_m + height_m(subject))
    return dist(position.lens_at_m, (*subject.at_m, nearest_z_m))
