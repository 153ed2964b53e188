"""Views: what can be framed from a position, before any camera is chosen.

A view is a position, a subject and a shot size: from where, in which direction, how far, how tall
the frame. The geometry of a view does not depend on the pass, so alike views are found once.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, hypot

import numpy as np

from kitplan.shoot.brief import Brief
from kitplan.shoot.sizes import AREAL, FrameRange, body_m, frame_range, height_m, sizes_for
from kitplan.shoot.venue import Position, Subject
from kitplan.stage.angles import Floats, alike, directions
from kitplan.stage.outline import centre_of, width_seen_m

HEAD_ROOM = 1.04
"""Top of the frame over the top of the head, as a share of stature. Common practice, no source."""


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


def floor_of(brief: Brief, subject: Subject) -> float:
    """Return the height of what a subject stands on: its own, the house floor, or the stage."""
    if subject.floor_height_m is not None:
        return subject.floor_height_m
    return 0.0 if subject.kind == "audience" else brief.shoot.venue.stage.height_m


def _views(brief: Brief, position: Position, subject: Subject) -> list[View]:
    stage = brief.shoot.venue.stage
    floor_m = floor_of(brief, subject)
    outline = _outline(brief, subject)
    at_m = subject.at_m or centre_of(outline or stage.outline_m)
    width_m = subject.width_m
    if outline is not None:
        width_m = width_seen_m(outline, position.at_m, at_m)
    aspect = brief.shoot.delivery.aspect
    return [
        view
        for size in sizes_for(subject)
        if (view := _view(position, subject, size, floor_m, at_m, width_m, outline, aspect))
    ]


def _outline(brief: Brief, subject: Subject) -> tuple[tuple[float, float], ...] | None:
    """The outline of an areal subject: its own, the stage's, or the audience's."""
    if subject.outline_m is not None or subject.kind not in AREAL or subject.at_m is not None:
        return subject.outline_m
    if subject.kind == "audience" and brief.shoot.venue.audience:
        return brief.shoot.venue.audience[0].outline_m
    return brief.shoot.venue.stage.outline_m


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
    aim = (*at_m, floor_m + _aim_height_m(subject, frame.frame_m))
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
        needed_width_m=2 * subject.roam_m + (width_m if subject.kind == "object" else 0.0),
    )


def _aim_height_m(subject: Subject, frame_m: float) -> float:
    """Height of the middle of the frame over the floor: head room kept, never below the waist."""
    if subject.kind == "person":
        stature = min(height_m(subject), body_m(subject))
        return max(HEAD_ROOM * stature - frame_m / 2, stature / 2)
    return height_m(subject) / 2
