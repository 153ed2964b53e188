"""The venue on a floor plan: stage, zones, audience, obstacles, and who performs where."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import numpy as np

from kitplan.paper.drawings.boxes import Box, around, meet, rows_of
from kitplan.paper.drawings.cast import cast_of
from kitplan.paper.drawings.ground import Ground
from kitplan.paper.drawings.plan_content import Content, outlines_of
from kitplan.paper.drawings.plan_marks import (
    SOFT,
    bounds_of,
    dots,
    free_mark,
    lamp_mark,
    person_box,
    person_mark,
    person_mm,
)
from kitplan.paper.drawings.rows import Outline, is_inside, rows_in
from kitplan.paper.drawings.svg import PAPER, Pen, Style
from kitplan.shoot.scenery import SHOULDERS_M, is_occupied, outline_of, place_of
from kitplan.shoot.venue import AudienceArea, Subject
from kitplan.stage.outline import centre_of

SEAT_ACROSS_M, SEAT_DEEP_M = 0.6, 0.95
STANDING_ACROSS_M, STANDING_DEEP_M = 0.8, 0.7
LEAST_DOTS_MM = 2.4
MOST_DOTS = 900
KEPT_CLEAR_MM = 25.0
"""Labels keep off obstacles that are smaller than this on paper."""
STAGE = Style(width=0.7, fill=PAPER)
ZONE = Style(width=0.22, dash="0.9 0.6")
AREA = Style(stroke=SOFT, width=0.2)
OBSTACLE = Style(width=0.3, fill="#c9c9c9")


def draw_ground(pen: Pen, ground: Ground, content: Content, kept_clear: Sequence[Box]) -> None:
    """Draw all that is not a camera or a person.

    Args:
        kept_clear: Texts and marks; the dots of the audience stay off them.
    """
    venue = content.shoot.venue
    for area in venue.audience:
        corners = ground.spots(area.outline_m)
        pen.ring(corners, AREA)
        draw_audience(pen, ground, area, is_occupied(area, content.each), kept_clear)
    low = [zone for zone in venue.zones if not _on_stage(content, zone.outline_m)]
    for zone in low:
        pen.ring(ground.spots(zone.outline_m), ZONE)
    pen.ring(ground.spots(venue.stage.outline_m), STAGE)
    for zone in venue.zones:
        if zone not in low:
            pen.ring(ground.spots(zone.outline_m), ZONE)
    for obstacle in venue.obstacles:
        pen.ring(ground.spots(obstacle.outline_m), OBSTACLE)


def _on_stage(content: Content, outline_m: Outline) -> bool:
    return is_inside(content.shoot.venue.stage.outline_m, centre_of(tuple(outline_m)))


def draw_audience(
    pen: Pen, ground: Ground, area: AudienceArea, is_full: bool, kept_clear: Sequence[Box]
) -> None:
    """Draw rows of seats or of people standing, hollow where nobody is; not single seats."""
    is_seat = area.state == "seated"
    across = SEAT_ACROSS_M if is_seat else STANDING_ACROSS_M
    deep = SEAT_DEEP_M if is_seat else STANDING_DEEP_M
    grown = max(1.0, LEAST_DOTS_MM / (sqrt(across * deep) * ground.mm_per_m))
    places = rows_in(
        area.outline_m, across * grown, deep * grown, is_staggered=not is_seat, most=MOST_DOTS
    )
    spots = ground.spots(places)
    if kept_clear:
        is_shut = meet(rows_of([around(*spot, 0.6) for spot in spots]), rows_of(list(kept_clear)))
        spots = [spots[number] for number in np.flatnonzero(~is_shut.any(axis=1)).tolist()]
    dots(pen, spots, 0.85 if is_seat else 0.95, is_seat=is_seat, is_full=is_full)


def people_boxes(ground: Ground, content: Content) -> list[Box]:
    """Return what the marks of performers cover."""
    wide = person_mm(SHOULDERS_M, ground.mm_per_m)
    cast = _cast(ground, content)
    return [
        _object_box(ground, content, subject)
        if subject.kind == "object"
        else person_box(ground.spot(at), wide)
        for subject in content.people
        for at in cast[subject.id]
    ]


def draw_people(pen: Pen, ground: Ground, content: Content) -> None:
    """Draw performers: persons, groups as rows over their outline, objects as boxes."""
    for subject in content.people:
        outline = outline_of(content.shoot, subject)
        if subject.kind == "group" and outline is not None:
            pen.ring(ground.spots(outline), Style(width=0.2, dash="0.3 0.8", is_round=True))
        if subject.kind == "person" and subject.roam_m > 0.3:
            radius = subject.roam_m * ground.mm_per_m
            spot = ground.spot(place_of(content.shoot, subject))
            pen.circle(spot, radius, Style(stroke=SOFT, width=0.15, dash="0.2 0.9", is_round=True))
    wide, cast = person_mm(SHOULDERS_M, ground.mm_per_m), _cast(ground, content)
    for subject in content.people:
        if subject.kind == "object":
            box = _object_box(ground, content, subject)
            pen.box(box.left, box.top, box.width, box.height, Style(width=0.3, fill=PAPER))
            pen.line((box.left, box.top), (box.right, box.bottom), Style(width=0.15))
            continue
        for at in cast[subject.id]:
            person_mark(pen, ground.spot(at), wide, subject.posture)


def _object_box(ground: Ground, content: Content, subject: Subject) -> Box:
    half = max(subject.width_m * ground.mm_per_m, 2.0) / 2
    return around(*ground.spot(place_of(content.shoot, subject)), half)


def _cast(ground: Ground, content: Content) -> dict[str, list[tuple[float, float]]]:
    """Where all figures stand, far enough apart for their marks."""
    step = person_mm(SHOULDERS_M, ground.mm_per_m) * 1.3 / ground.mm_per_m
    return cast_of(content.shoot, step, step)


def draw_small(pen: Pen, ground: Ground, content: Content) -> None:
    """Draw lamps and free positions."""
    for lamp in content.lamps:
        lamp_mark(pen, ground.spot(lamp.at_m), lamp.kind, lamp.faces_deg)
    for position in content.free:
        free_mark(pen, ground.spot(position.at_m))


def small_boxes(ground: Ground, content: Content) -> list[Box]:
    """Return what lamps, free positions and small obstacles cover."""
    boxes = [around(*ground.spot(lamp.at_m), 1.7) for lamp in content.lamps]
    boxes += [around(*ground.spot(position.at_m), 1.2) for position in content.free]
    for obstacle in content.shoot.venue.obstacles:
        box = bounds_of(ground.spots(obstacle.outline_m))
        if max(box.width, box.height) < KEPT_CLEAR_MM:
            boxes.append(box)
    return boxes


def venue_lines(ground: Ground, content: Content) -> list[tuple[float, float, float, float]]:
    """Return the outlines of stage, zones and obstacles; the stage's twice, for it weighs more."""
    found = []
    for outline in (content.shoot.venue.stage.outline_m, *outlines_of(content.shoot.venue)):
        corners = ground.spots(outline)
        found += [(*a, *b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
    return found
