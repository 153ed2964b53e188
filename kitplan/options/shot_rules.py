"""Rules of the single shot: where each fails, all views with all cameras at once.

Views are rows, cameras columns. `shots` keeps the first rule that a pair fails, `failing` all.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kitplan.optics.lens import view_of_frame_deg
from kitplan.options.cameras import Camera
from kitplan.options.pictures import (
    SLACK,
    CameraFacts,
    Exposure,
    Reach,
    ViewFacts,
    blur_share,
    exposure_of,
    focus_of,
    reach_of,
)
from kitplan.options.sights import Sights
from kitplan.options.views import View
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Failure = tuple[str, Flags, Floats, Floats]
"""A rule, where it fails, and the two figures that clash."""


class Figures(NamedTuple):
    """Of every view through every camera."""

    rows: ViewFacts
    look: CameraFacts
    reach: Reach
    light: Exposure
    holds: Flags
    depth_m: Floats
    low_m: Floats
    """Does one focus hold the whole depth; the depth of field; the near limit of that focus."""

    @property
    def view_deg(self) -> Floats:
        """Vertical angles of view."""
        return view_of_frame_deg(self.reach.frame, self.rows.distance)


def figures_of(
    brief: Brief, each: Pass, views: Sequence[View], cameras: Sequence[Camera]
) -> Figures:
    """Return the figures that the rules ask about."""
    rows, look = ViewFacts(brief, each, views), CameraFacts(cameras)
    reach = reach_of(rows, look)
    light = exposure_of(brief, rows, look, reach.focal)
    return Figures(rows, look, reach, light, *focus_of(rows, look, reach.focal, light.stop))


def fails(brief: Brief, figures: Figures, sights: Sights) -> list[Failure]:
    """What refuses a shot in either manner."""
    rows, look, reach, light, *_ = figures
    seats, allowed = _seats(
        brief, rows, sights, lambda depth: blur_share(rows, look, reach.focal, light.stop, depth)
    )
    return [
        ("no-audience", rows.has_no_audience, rows.planned, rows.planned),
        ("no-light-row", rows.has_no_light, rows.planned, rows.planned),
        *_sight_fails(brief, rows, sights),
        ("too-long", reach.widest < rows.least * (1 - SLACK), reach.widest, rows.least),
        ("too-short", reach.tightest > rows.most * (1 + SLACK), reach.tightest, rows.most),
        ("closest-focus", rows.distance < look.closest, rows.distance, look.closest),
        ("light", light.spare < -SLACK, light.iso_open, look.max_iso),
        ("empty-seats", seats > allowed + SLACK, 100 * seats, 100 * allowed),
    ]


def lasting_fails(lasts_min: Floats, must_last_min: float) -> Failure:
    """What refuses a shot where nobody can touch the camera.

    Args:
        lasts_min: For each camera the minutes it lasts untouched.
        must_last_min: Minutes that it must last there, 0 where it can be reached.
    """
    lasts = lasts_min[None, :]
    return "endurance", lasts < must_last_min - SLACK, lasts, 0 * lasts + must_last_min


def locked_fails(brief: Brief, figures: Figures) -> list[Failure]:
    """What refuses a shot with nobody on the camera, beside what refuses it in either manner."""
    rows, look, reach = figures.rows, figures.look, figures.reach
    width = reach.frame * brief.shoot.delivery.aspect
    return [
        ("roam", width < rows.needed_width * (1 - SLACK), width, rows.needed_width),
        ("focus", ~figures.holds, figures.low_m, rows.near),
        ("automatic", look.automatic, rows.planned, rows.planned),
    ]


def _sight_fails(brief: Brief, rows: ViewFacts, sights: Sights) -> list[Failure]:
    """What a view refuses whatever the camera: lasers, people without consent, hidden subjects."""
    rules = brief.shoot.rules
    wide = rules.consent_wide_m
    lacking = np.array([bool(ids) for ids in sights.unconsenting], dtype=np.bool_).reshape(-1, 1)
    hidden = sights.hidden.reshape(-1, 1)
    return [
        ("laser", sights.has_laser.reshape(-1, 1), rows.planned, rows.planned),
        ("consent", lacking & (rows.planned < wide - SLACK), rows.planned, 0 * rows.planned + wide),
        (
            "hidden",
            hidden > rules.hidden_most + SLACK,
            100 * hidden,
            0 * hidden + 100 * rules.hidden_most,
        ),
    ]


def _seats(
    brief: Brief, rows: ViewFacts, sights: Sights, blur: Callable[[Floats], Floats]
) -> tuple[Floats, Floats]:
    """Return the share of the frame that empty seats take and how much they may: more where they
    are dark and soft.
    """
    rules = brief.shoot.rules
    seats = sights.seats.reshape(-1, 1)
    if not (seats > rules.seats_share_plain).any():
        return seats, np.full_like(seats, rules.seats_share_plain)
    near, far = sights.seats_near_m.reshape(-1, 1), sights.seats_far_m.reshape(-1, 1)
    depth = np.where(np.isnan(near), rows.distance, np.clip(rows.distance, near, far))
    is_soft = blur(depth) >= rules.seats_soft_share - SLACK
    is_dark = rows.house_stops >= rules.seats_dark_stops - SLACK
    allowed = np.where(is_soft & is_dark, rules.seats_share_soft, rules.seats_share_plain)
    return seats, allowed
