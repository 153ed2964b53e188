"""The venue as a lens sees it: floors, stage, risers, obstacles, lamps, audience or seats."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from math import cos, hypot, pi, radians, sin, tan

import numpy as np

from kitplan.paper.drawings.onlookers import onlooker, seat
from kitplan.paper.drawings.plan_content import Content
from kitplan.paper.drawings.rows import is_inside, rows_in
from kitplan.paper.drawings.scene import (
    CROWD,
    CROWD_AS_TARGET,
    GROUND,
    OBSTACLE,
    SEATS,
    SLAB_M,
    TALLEST_STEP_M,
    TOP,
    WALL,
    Eye,
    Piece,
    Shape,
    block,
    floor,
    uprights,
)
from kitplan.paper.drawings.svg import INK, PAPER, Style
from kitplan.shoot.scenery import is_occupied
from kitplan.shoot.venue import AudienceArea, Lamp
from kitplan.stage.outline import centre_of

WING_HEIGHT_M = 4.0
ROW_ACROSS_M, ROW_DEEP_M = 0.58, 0.95
STANDING_ACROSS_M, STANDING_DEEP_M = 0.72, 0.72
MOST_HEADS = 1100
CLEAR_M = 0.9
"""Nobody stands nearer than this to a lens."""
FAR_M = 400.0
LAMP_M = 0.25


def grounds(eye: Eye, content: Content) -> list[Shape]:
    """Return what lies under everything: the house floor, bare audience areas, the stage."""
    venue = content.shoot.venue
    x, y, _ = eye.lens_m
    around = [
        (x - FAR_M, y - FAR_M),
        (x + FAR_M, y - FAR_M),
        (x + FAR_M, y + FAR_M),
        (x - FAR_M, y + FAR_M),
    ]
    found = []
    if eye.lens_m[2] > 0:
        ring = np.array([(*corner, min(0.0, eye.lens_m[2] - 0.01)) for corner in around])
        found.append(Shape(ring, Style(stroke="none", fill=GROUND)))
    thin = Style(stroke="#8a8a8a", width=0.18, dash="1 0.8")
    for area in venue.audience:
        ring = np.array([(*corner, floor_m(area, corner[1])) for corner in area.outline_m])
        found.append(Shape(ring, thin))
    stage = floor(eye, venue.stage.outline_m, venue.stage.height_m, TOP)
    return found if stage is None else [*found, stage]


def solid_pieces(eye: Eye, content: Content) -> Iterator[Piece]:
    """Yield stage sides, risers, galleries, obstacles."""
    venue = content.shoot.venue
    stage = venue.stage
    if stage.height_m > 0:
        for piece in block(eye, stage.outline_m, 0.0, stage.height_m, WALL, TOP):
            if len(piece.shapes) > 1 or eye.lens_m[2] <= stage.height_m:
                yield piece  # its floor is under everything
    for zone in venue.zones:
        is_on_stage = is_inside(stage.outline_m, centre_of(zone.outline_m))
        under = stage.height_m if is_on_stage else 0.0
        if zone.height_m - under < 0.05:
            continue
        is_step = zone.height_m - under <= TALLEST_STEP_M
        low = under if is_step else zone.height_m - SLAB_M
        yield from block(eye, zone.outline_m, low, zone.height_m, WALL, TOP)
    for obstacle in venue.obstacles:
        if is_inside(obstacle.outline_m, eye.lens_m[:2]):
            continue
        high = obstacle.base_m + obstacle.height_m
        yield from block(eye, obstacle.outline_m, obstacle.base_m, high, OBSTACLE, "#cfcfcf")


def wing_lines(content: Content) -> list[Shape]:
    """Return the upright edges of the openings at the sides, where one sees off stage."""
    stage = content.shoot.venue.stage
    if stage.form != "end" or not stage.has_wings:
        return []
    low, high = stage.height_m, stage.height_m + WING_HEIGHT_M
    dotted = Style(stroke="#777", width=0.2, dash="0.3 1", is_round=True)
    return [
        Shape(np.array([(x, y, low), (x, y, high)]), dotted, is_closed=False)
        for x, y in stage.outline_m
    ]


# -- audience --------------------------------------------------------------------------------------


def floor_m(area: AudienceArea, y: float) -> float:
    """Return the height of the floor of an audience area: it rises from its largest y on."""
    front = max(corner[1] for corner in area.outline_m)
    return area.height_m + (front - y) * tan(radians(area.rake_deg))


def crowd_pieces(eye: Eye, content: Content) -> Iterator[Piece]:
    """Yield heads where people are, backs of seats where they are not; rows, not single seats."""
    rules = content.shoot.rules
    is_target = eye.look.subject.kind == "audience"
    for area in content.shoot.venue.audience:
        is_full, is_seated = is_occupied(area, content.each), area.state == "seated"
        if not is_full and not is_seated:
            continue
        if is_full:
            top_m = rules.heads_seated_m if is_seated else rules.heads_standing_m
            parts, palette = onlooker(top_m), CROWD_AS_TARGET if is_target else CROWD
        else:
            parts, palette = seat(rules.seat_m), SEATS
        places = content.once(f"places/{area.id}", partial(_places_with_feet, area))
        feet = np.array([(x, y, foot + 1.0) for (x, y), foot in places]).reshape(-1, 3)
        seen = [
            (at, foot)
            for (at, foot), is_seen in zip(places, eye.sees(feet, 1.2), strict=True)
            if is_seen and hypot(at[0] - eye.lens_m[0], at[1] - eye.lens_m[1]) > CLEAR_M
        ]
        yield from uprights(eye, [at for at, _ in seen], [foot for _, foot in seen], parts, palette)


def _places_with_feet(area: AudienceArea) -> list[tuple[tuple[float, float], float]]:
    return [(at, floor_m(area, at[1])) for at in places_in(area)]


def places_in(area: AudienceArea) -> list[tuple[float, float]]:
    """Return places in an audience area."""
    if area.state == "seated":
        return rows_in(area.outline_m, ROW_ACROSS_M, ROW_DEEP_M, is_staggered=True, most=MOST_HEADS)
    return rows_in(
        area.outline_m, STANDING_ACROSS_M, STANDING_DEEP_M, is_staggered=True, most=MOST_HEADS
    )


# -- lamps -----------------------------------------------------------------------------------------


def lamp_pieces(eye: Eye, content: Content) -> Iterator[Piece]:
    """Yield lamps that shine towards the lens, with rays, and others without."""
    for lamp in content.lamps:
        distance = eye.distance_m((*lamp.at_m, lamp.height_m))
        if distance < LAMP_M:
            continue
        flat = list(_lamp_rings(lamp, 0.5 if lamp.kind == "window" else LAMP_M / 2))
        pen = Style(width=0.3, fill=PAPER)
        shapes = [Shape(eye.on_card(lamp.at_m, lamp.height_m, ring), pen) for ring in flat]
        if shines_at(lamp, eye):
            shapes += [
                Shape(
                    eye.on_card(lamp.at_m, lamp.height_m, ray),
                    Style(stroke=INK, width=0.3),
                    is_closed=False,
                )
                for ray in _rays(0.62 if lamp.kind == "window" else LAMP_M * 0.75, 0.3)
            ]
        yield Piece(distance, tuple(shapes))


def shines_at(lamp: Lamp, eye: Eye) -> bool:
    """Return whether a lamp faces the lens: less than 90 degrees off it in plan."""
    if lamp.faces_deg is None:
        return True
    way = (sin(radians(lamp.faces_deg)), cos(radians(lamp.faces_deg)))
    ray = (eye.lens_m[0] - lamp.at_m[0], eye.lens_m[1] - lamp.at_m[1])
    return way[0] * ray[0] + way[1] * ray[1] > 0


def _lamp_rings(lamp: Lamp, half_m: float) -> Iterator[list[tuple[float, float]]]:
    if lamp.kind == "window":
        yield [(-half_m, -half_m), (half_m, -half_m), (half_m, half_m), (-half_m, half_m)]
        yield [(0.0, -half_m), (0.0, half_m)]
        return
    yield [(half_m * sin(pi * n / 8), half_m * cos(pi * n / 8)) for n in range(16)]


def _rays(inner_m: float, long_m: float) -> Iterator[list[tuple[float, float]]]:
    for step in range(8):
        angle = pi * step / 4
        yield [(radius * sin(angle), radius * cos(angle)) for radius in (inner_m, inner_m + long_m)]
