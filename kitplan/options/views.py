"""Views: what can be framed from a position, before any camera is chosen.

A view is a position, a subject and a shot size: from where, in which direction, how far, how tall
the frame. The geometry of a view does not depend on the pass, so alike views are found once.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot

import numpy as np

from kitplan.shoot.brief import Brief
from kitplan.shoot.scenery import aim_height_m, floor_of, outline_of, place_of
from kitplan.shoot.sizes import AREAL, FrameRange, frame_range, sizes_for
from kitplan.shoot.venue import Position, Subject
from kitplan.stage.angles import Floats, alike, directions
from kitplan.stage.outline import width_seen_m


@dataclass(frozen=True)
class View:
    """A subject at a shot size seen from a position."""

    position: Position
    subject: Subject
    size: str
    lens_at_m: tuple[float, float, float]
    aim_m: tuple[float, float, float]
    distance_m: float
    near_m: float
    far_m: float
    """Nearest and farthest place of the subject, its extent and roaming included."""
    frame: FrameRange
    """Frame heights square to the line of sight."""
    untilted_m: float
    """Planned frame height before the tilt foreshortens the subject."""
    floor_m: float
    """Height of what the subject stands on."""
    needed_width_m: float
    """Width that holds the subject wherever it roams."""

    @property
    def key(self) -> tuple[str, str, str]:
        """Position, subject and size by id."""
        return (self.position.id, self.subject.id, self.size)


def list_views(brief: Brief) -> tuple[View, ...]:
    """Return every view of the shoot, by position, subject and size in the order of the file."""
    return tuple(
        view
        for position in brief.shoot.venue.positions
        for subject in brief.shoot.subjects
        for view in _views(brief, position, subject)
    )


def alike_views(
    brief: Brief, views: tuple[View, ...]
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Return for every pair of views whether they are one viewpoint, shape (n, n)."""
    units, frames_m = units_and_frames(views)
    rules = brief.shoot.rules
    return alike(units, frames_m, rules.angle_deg, rules.size_factor)


def units_and_frames(views: tuple[View, ...]) -> tuple[Floats, Floats]:
    """Return the viewing directions (n, 3) and planned frame heights in metres (n)."""
    units = directions(
        np.array([view.lens_at_m for view in views]), np.array([view.aim_m for view in views])
    )
    return units, np.array([view.frame.frame_m for view in views])


def _views(brief: Brief, position: Position, subject: Subject) -> list[View]:
    floor_m = floor_of(brief.shoot, subject)
    outline = outline_of(brief.shoot, subject)
    at_m = place_of(brief.shoot, subject)
    width_m = subject.width_m
    if outline is not None:
        width_m = width_seen_m(outline, position.at_m, at_m)
    aspect = brief.shoot.delivery.aspect
    return [
        view
        for size in sizes_for(subject)
        if (view := _view(position, subject, size, floor_m, at_m, width_m, outline, aspect))
    ]


def _view(
    position: Position,
    subject: Subject,
    size: str,
    floor_m: float,
    at_m: tuple[float, float],
    width_m: float,
    outline: tuple[tuple[float, float], ...] | None,
    aspect: float,
) -> View | None:
    frame = frame_range(subject, size, width_m, aspect)
    lens = position.lens_at_m
    aim = (*at_m, floor_m + aim_height_m(subject, size, frame.frame_m))
    untilted_m = frame.frame_m
    flat_m, rise_m = hypot(aim[0] - lens[0], aim[1] - lens[1]), aim[2] - lens[2]
    distance_m = hypot(flat_m, rise_m)
    if distance_m < 0.1:
        return None  # the subject stands in the lens
    if subject.kind not in AREAL:  # a standing figure seen from above or below is foreshortened
        frame = frame.scaled(max(cos(np.arctan2(rise_m, flat_m)), 0.2))
    depths = [distance_m]
    if outline is not None:
        depths = [hypot(x - lens[0], y - lens[1], rise_m) for x, y in outline]
    return View(
        position=position,
        subject=subject,
        size=size,
        lens_at_m=lens,
        aim_m=aim,
        distance_m=distance_m,
        near_m=max(min(depths) - subject.roam_m, 0.05),
        far_m=max(depths) + subject.roam_m,
        frame=frame,
        untilted_m=untilted_m,
        floor_m=floor_m,
        needed_width_m=2 * subject.roam_m + (width_m if subject.kind == "object" else 0.0),
    )
