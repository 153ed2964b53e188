"""Figures of every view through every camera: frame, focal length, light, focus. Pure numpy.

Views are rows, cameras columns.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from kitplan.optics.focus import circle_of_confusion_mm, focus_for_span_m, focus_limits_m
from kitplan.optics.lens import focal_for_frame_mm, frame_height_m, stop_at_focal
from kitplan.optics.light import iso_needed, t_stop
from kitplan.options.cameras import Camera
from kitplan.options.views import View
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.units import MM_PER_M

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
SLACK = 1e-9
"""Keeps inclusive limits inclusive after rounding."""
DARK_HOUSE_STOPS = 5.0
"""How far under the subject the seats are taken to be in show light. Common practice, no source."""


class ViewFacts:
    """Facts of the views as columns of one entry each, to meet the cameras in a row."""

    def __init__(self, brief: Brief, each: Pass, views: Sequence[View]) -> None:
        lights = [brief.light_on(view.subject, each) for view in views]
        usual = brief.shoot.rules.light_headroom_stops
        own = [row.headroom_stops if row else None for row in lights]
        self.distance = _rows([view.distance_m for view in views])
        self.planned = _rows([view.frame.frame_m for view in views])
        self.least = _rows([view.frame.least_m for view in views])
        self.most = _rows([view.frame.most_m for view in views])
        self.near = _rows([view.near_m for view in views])
        self.far = _rows([view.far_m for view in views])
        self.needed_width = _rows([view.needed_width_m for view in views])
        self.dim_lux = _rows([row.dim_lux if row else 1.0 for row in lights])
        self.headroom = _rows([usual if stops is None else stops for stops in own])
        self.has_no_light = _rows([row is None for row in lights]).astype(np.bool_)
        dim = np.maximum(self.dim_lux, 1e-9)
        house = dim / 2**DARK_HOUSE_STOPS if each.is_in_show_light else dim
        if each.house_lux is not None:
            house = np.full_like(dim, max(each.house_lux, 1e-9))
        self.house_stops = np.log2(dim / house)
        """How many stops the seats are under the subject."""
        is_audience = _rows([view.subject.kind == "audience" for view in views])
        self.has_no_audience = is_audience.astype(np.bool_) & (not each.has_audience)


class CameraFacts:
    """Facts of the cameras as rows of one line, to meet the views in a column."""

    def __init__(self, cameras: Sequence[Camera]) -> None:
        def line(values: list[float]) -> Floats:
            return np.array([values], dtype=np.float64)

        self.height = line([c.height_mm for c in cameras])
        self.focal_min = line([c.focal_min_mm for c in cameras])
        self.focal_max = line([c.focal_max_mm for c in cameras])
        self.stop_wide = line([c.stop_wide for c in cameras])
        self.stop_tele = line([c.stop_tele for c in cameras])
        self.t_loss = line([c.t_loss_stops for c in cameras])
        self.max_iso = line([c.body.max_iso for c in cameras])
        self.closest = line([c.optic.closest_focus_m for c in cameras])
        self.blur = line([circle_of_confusion_mm(c.width_mm, c.height_mm) for c in cameras])
        self.least_stop = line([c.optic.least_stop for c in cameras])
        self.fixed_stop = np.array([[c.has_fixed_stop for c in cameras]], dtype=np.bool_)
        self.automatic = np.array(
            [[not c.body.has_manual_control for c in cameras]], dtype=np.bool_
        )


class Reach(NamedTuple):
    tightest: Floats
    widest: Floats
    """Frame heights in metres at the long and the short end."""
    frame: Floats
    """The planned frame, or as near as the lens gets."""
    focal: Floats


class Exposure(NamedTuple):
    spare: Floats
    """Stops to spare below the highest accepted ISO, wide open."""
    iso_open: Floats
    stop: Floats
    iso: Floats


def reach_of(rows: ViewFacts, look: CameraFacts) -> Reach:
    distance = _before_the_lens(rows.distance, look.focal_max)
    tightest = frame_height_m(look.focal_max, distance, look.height)
    widest = frame_height_m(look.focal_min, distance, look.height)
    frame = np.clip(rows.planned, tightest, widest)
    return Reach(tightest, widest, frame, focal_for_frame_mm(frame, distance, look.height))


def _before_the_lens(distance_m: Floats, focal_mm: Floats) -> Floats:
    """Keep a subject out of the focal length, where no lens formula holds; closest focus, which is
    always longer, refuses it anyway.
    """
    return np.maximum(distance_m, 1.05 * focal_mm / MM_PER_M)


def exposure_of(brief: Brief, rows: ViewFacts, look: CameraFacts, focal: Floats) -> Exposure:
    rules = brief.shoot.rules
    open_stop = stop_at_focal(focal, look.focal_min, look.focal_max, look.stop_wide, look.stop_tele)
    open_t_stop = t_stop(open_stop, look.t_loss)
    iso_open = iso_needed(open_t_stop, brief.shutter.shutter_s, rows.dim_lux, rows.headroom)
    spare = np.log2(look.max_iso / iso_open)
    most_stop = np.minimum(rules.most_stop, look.least_stop)
    stop = _stop_down(most_stop, rules.good_light_stops, open_stop, spare, look.fixed_stop)
    return Exposure(spare, iso_open, stop, iso_open * (stop / open_stop) ** 2)


def focus_of(
    rows: ViewFacts, look: CameraFacts, focal: Floats, stop: Floats
) -> tuple[Flags, Floats, Floats]:
    """Return whether one focus holds the subject's whole depth, the depth of field around the aim
    point in metres, and the near limit of that one focus.
    """
    near, far = _before_the_lens(rows.near, focal), _before_the_lens(rows.far, focal)
    low, high = focus_limits_m(focal, stop, look.blur, focus_for_span_m(near, far))
    holds = (low <= rows.near * (1 + SLACK)) & (high >= rows.far * (1 - SLACK))
    aimed = _before_the_lens(rows.distance, focal)
    own_low, own_high = focus_limits_m(focal, stop, look.blur, aimed)
    return holds, own_high - own_low, low


def _rows(values: Sequence[float]) -> Floats:
    return np.array(values, dtype=np.float64).reshape(-1, 1)


def _stop_down(
    most_stop: Floats, kept_stops: float, open_stop: Floats, spare: Floats, fixed: Flags
) -> Floats:
    """Close the iris as far as spare light allows, for depth of field, but not past `most_stop`."""
    room = np.maximum(2 * np.log2(most_stop / open_stop), 0.0)
    closed = np.clip(spare - kept_stops, 0.0, room)
    return np.where(fixed, open_stop, open_stop * 2 ** (closed / 2))


def blur_share(
    rows: ViewFacts, look: CameraFacts, focal: Floats, stop: Floats, depth_m: Floats
) -> Floats:
    """Return the blur of things at a depth as a share of the frame's height.

    Thin lens focused on the aim point: f^2 / (N (d - f)) |D - d| / D on the sensor.
    """
    distance = _before_the_lens(rows.distance, focal) * MM_PER_M
    depth = depth_m * MM_PER_M
    disc = focal**2 / (stop * (distance - focal)) * np.abs(depth - distance) / depth
    found: Floats = disc / look.height
    return found
