"""The views of cameras on a floor plan: wedges to scale, discs with letters, sweeps of arms."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from math import atan2, cos, hypot, radians, sin

import numpy as np

from kitplan.paper.drawings.boxes import Box, around
from kitplan.paper.drawings.ground import Ground, towards
from kitplan.paper.drawings.looks import Look, is_steep
from kitplan.paper.drawings.plan_content import Sweep
from kitplan.paper.drawings.plan_marks import DISC_MM, SOFT, camera_disc
from kitplan.paper.drawings.svg import INK, Pen, Spot, Style
from kitplan.stage.frame import pinhole

DASHES = "1.7 1.1"
APEX_MM = 0.55
_STEM_MM = (1.6, 4.5, 7.5, 11.0, 15.0, 20.0, 26.0)
_TURNS_DEG = (0, 25, -25, 50, -50, 75, -75, 100, -100, 130, -130, 160, -160, 180)


def wedge_m(look: Look) -> list[tuple[float, float]]:
    """Return a view in plan, in metres: the lens, then the ends of the frame at the aim point.

    A view from far above is the piece of ground (at the height of the aim point) that fills the
    frame; then the lens is not a corner.
    """
    if look.distance_m < 1e-6:
        return [look.lens_m[:2]]
    camera = pinhole(
        np.array([look.lens_m]), np.array([look.aim_m]), np.array([look.view_deg]), look.aspect
    )
    right, down, forward = camera.right[0], camera.down[0], camera.forward[0]
    if is_steep(look):
        ground = [
            _on_level(
                look, forward + a * camera.half_width[0] * right + b * camera.half_height[0] * down
            )
            for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
        ]
        if all(point is not None for point in ground):
            return [point for point in ground if point is not None]
    ends = [np.array(look.aim_m) + side * look.half_width_m * right for side in (-1, 1)]
    return [look.lens_m[:2], *((float(end[0]), float(end[1])) for end in ends)]


def _on_level(
    look: Look, ray: np.ndarray[tuple[int, ...], np.dtype[np.float64]]
) -> tuple[float, float] | None:
    """Where a ray from the lens meets the level of the aim point; None where it never does."""
    drop = look.aim_m[2] - look.lens_m[2]
    if ray[2] * drop <= 1e-6:
        return None
    t = drop / ray[2]
    return float(look.lens_m[0] + t * ray[0]), float(look.lens_m[1] + t * ray[1])


def draw_wedge(pen: Pen, ground: Ground, look: Look, shade: float) -> None:
    """Draw a view: full lines where somebody operates, dashed locked off.

    Args:
        shade: How dark it is filled, 0 to 1; overlapping views add up.
    """
    corners = ground.spots(wedge_m(look))
    if len(corners) < 3:
        return
    dash = "" if look.placement.operator is not None else DASHES
    pen.ring(corners, Style(stroke="none", fill=INK, fill_opacity=shade))
    edge = Style(stroke="#222", width=0.24, dash=dash)
    if len(corners) == 4:
        pen.ring(corners, edge)
        return
    lens, left, right = corners
    pen.trail((left, lens, right), edge)
    pen.line(left, right, Style(stroke="#222", width=0.4, dash=dash))


def wedge_lines(ground: Ground, look: Look) -> list[tuple[float, float, float, float]]:
    """Return the edges of a view on the sheet."""
    corners = ground.spots(wedge_m(look))
    if len(corners) < 3:
        return []
    return [(*a, *b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]


# -- discs -----------------------------------------------------------------------------------------


def disc_spots(
    ground: Ground, looks: Sequence[Look], area: Box, marks: Sequence[Box]
) -> list[Spot]:
    """Return where the discs of the cameras go: behind the lens, clear of each other and of marks.

    Where everything near is taken, a disc may lie over marks, but never over another disc.
    """
    apexes = [ground.spot(look.lens_m) for look in looks]
    lenses = [around(*apex, APEX_MM) for apex in apexes]
    taken: list[Box] = []
    found: list[Spot] = []
    for number, look in enumerate(looks):
        others = [*lenses[:number], *lenses[number + 1 :]]
        spots = _disc_candidates(ground, look, area)
        free = [s for s in spots if not _hits(s, taken)]
        clear = (s for s in free if not _hits(s, [*marks, *others]))
        spot = next(chain(clear, free, spots), apexes[number])
        taken.append(around(*spot, DISC_MM + 0.4))
        found.append(spot)
    return found


def _disc_candidates(ground: Ground, look: Look, area: Box) -> list[Spot]:
    apex, aim = ground.spot(look.lens_m), ground.spot(look.aim_m)
    back = atan2(apex[1] - aim[1], apex[0] - aim[0])
    if hypot(apex[0] - aim[0], apex[1] - aim[1]) < 1.0:
        back = radians(60)
    room = area.grown(-DISC_MM - 0.3)
    spots = [
        (
            apex[0] + (DISC_MM + stem) * cos(back + radians(turn)),
            apex[1] + (DISC_MM + stem) * sin(back + radians(turn)),
        )
        for stem in _STEM_MM
        for turn in _TURNS_DEG
    ]
    return [s for s in spots if room.left <= s[0] <= room.right and room.top <= s[1] <= room.bottom]


def _hits(spot: Spot, boxes: Sequence[Box]) -> bool:
    own = around(*spot, DISC_MM)
    return any(own.overlaps(box) for box in boxes)


def draw_camera(pen: Pen, ground: Ground, look: Look, disc: Spot) -> None:
    """Draw the place of the lens, the disc with the letter, and the stem between them."""
    apex = ground.spot(look.lens_m)
    pen.line(apex, disc, Style(width=0.4))
    pen.circle(apex, APEX_MM, Style(stroke="none", fill=INK))
    placement = look.placement
    camera_disc(pen, disc, placement.letter, is_operated=placement.operator is not None)


# -- sweeps ----------------------------------------------------------------------------------------


def draw_sweep(pen: Pen, ground: Ground, sweep: Sweep) -> None:
    """Draw what a moving support reaches: an arm's arc with its parked pose, else a dotted ring."""
    rim = ground.spots(sweep.rim_m)
    home = ground.spot(sweep.position.at_m)
    thin = Style(stroke=SOFT, width=0.25, dash="0.3 0.9", is_round=True)
    if not sweep.is_arm:
        pen.ring(rim, thin)
        return
    limits = sweep.position.arc_deg
    if limits is None:
        pen.ring(rim, thin)
    else:
        pen.trail((home, *rim, home), thin)
    if sweep.position.park_deg is not None:
        end = ground.spot(park_end_m(sweep))
        pen.line(home, end, Style(width=0.9))
        pen.circle(end, 0.75, Style(width=0.3, fill="#fff"))


def park_end_m(sweep: Sweep) -> tuple[float, float]:
    """Return where the end of an arm rests."""
    return towards(sweep.position.at_m, sweep.position.park_deg or 0.0, sweep.reach_m)


def arm_boxes(ground: Ground, sweep: Sweep) -> list[Box]:
    """Return what a parked arm covers, in small squares along it."""
    if not sweep.is_arm or sweep.position.park_deg is None:
        return []
    (x, y), (end_x, end_y) = ground.spot(sweep.position.at_m), ground.spot(park_end_m(sweep))
    steps = max(int(hypot(end_x - x, end_y - y) / 1.5), 1)
    return [
        around(x + (end_x - x) * n / steps, y + (end_y - y) * n / steps, 0.8)
        for n in range(steps + 1)
    ]
