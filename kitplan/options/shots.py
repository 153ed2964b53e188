"""Shots: which camera can take which view in a pass, and how good it would be. All at once.

For one position and pass every view (rows) meets every camera (columns) in numpy arrays; a refused
pair keeps the number of its rule and the two figures that clash.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from kitplan.optics.focus import circle_of_confusion_mm, focus_for_span_m, focus_limits_m
from kitplan.optics.lens import focal_for_frame_mm, frame_height_m, stop_at_focal, view_of_frame_deg
from kitplan.optics.light import iso_needed, t_stop
from kitplan.options.cameras import Camera
from kitplan.options.refusals import Refusal
from kitplan.options.views import View
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.tables import table
from kitplan.units import MM_PER_M

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Ints = NDArray[np.int64]
Manner = Literal["operated", "locked-off"]
Failure = tuple[str, Flags, Floats, Floats]
"""A rule, where it fails, and the two figures that clash."""
RULES = (
    "",
    "no-audience",
    "no-light-row",
    "too-long",
    "too-short",
    "closest-focus",
    "light",
    "roam",
    "focus",
    "automatic",
    "endurance",
)
"""Refusal rules in the order in which they are tried; 0 is 'possible'."""
CODE = {rule: code for code, rule in enumerate(RULES)}
SLACK = 1e-9
"""Keeps inclusive limits inclusive after rounding."""
GOOD_FIT, FAIR_FIT = 1.05, 1.15
"""Frame height within 5 % of the planned one is a full fit, within 15 % a fair one."""
FAIR_DEPTH_M = 0.3
"""Depth of field that an operator can work with. Common practice, no source."""


@dataclass(frozen=True)
class Shots:
    """Every view of one position with every camera in one pass: arrays (views, cameras)."""

    views: tuple[View, ...]
    cameras: tuple[Camera, ...]
    focal_mm: Floats
    stop: Floats
    iso: Floats
    frame_m: Floats
    view_deg: Floats
    light: Ints
    focus_operated: Ints
    focus_locked: Ints
    fit: Ints
    """Grades 0 to 3."""
    code_operated: Ints
    code_locked: Ints
    """Number of the refusing rule in RULES, 0 where the shot is possible."""
    value: Floats
    limit: Floats
    """Figures of the refusal, the locked-off one where both are refused."""

    def possible(self, manner: Manner) -> Flags:
        """Return which pairs are possible in a manner, shape (views, cameras)."""
        code = self.code_operated if manner == "operated" else self.code_locked
        found: Flags = code == 0
        return found

    def grade(self, manner: Manner) -> Ints:
        """Return the grade 0 to 3 of each shot: the weakest of light and focus."""
        focus = self.focus_operated if manner == "operated" else self.focus_locked
        return np.minimum(self.light, focus)

    def quality(self, manner: Manner) -> Ints:
        """Return the quality points 0 to 9 of each shot: light, focus and framing fit."""
        focus = self.focus_operated if manner == "operated" else self.focus_locked
        return self.light + focus + self.fit

    def band(self) -> Ints:
        """Return the number of the band of vertical angle of view of each shot."""
        return band_of(self.view_deg)

    def refusal(self, row: int, column: int, manner: Manner) -> Refusal | None:
        """Return why a pair is refused, with its figures; None where it is possible."""
        code = (self.code_operated if manner == "operated" else self.code_locked)[row, column]
        if code == 0:
            return None
        view, camera = self.views[row], self.cameras[column]
        what = f"{view.subject.id} {view.size} with {camera.key}"
        return Refusal(
            what, RULES[code], float(self.value[row, column]), float(self.limit[row, column])
        )


def band_names() -> tuple[str, ...]:
    """Return the names of the bands of angle of view, narrowest first."""
    return tuple(table("angle_bands")["bands_deg"])


def band_of(view_deg: Floats) -> Ints:
    """Return the number of the band for vertical angles of view in degrees."""
    edges = [low for low, _ in table("angle_bands")["bands_deg"].values()][1:]
    return np.digitize(view_deg, edges).astype(np.int64)


def find_shots(
    brief: Brief,
    each: Pass,
    views: Sequence[View],
    cameras: Sequence[Camera],
    lasts_min: Floats,
    must_last_min: float,
) -> Shots:
    """Return all shots of one position in one pass.

    Args:
        lasts_min: For each camera the minutes it lasts untouched.
        must_last_min: Minutes that a locked-off one must last there, 0 where it can be reached.
    """
    rows, look = _Rows(brief, each, views), _Columns(cameras)
    reach = _reach(rows, look)
    light = _light(brief, rows, look, reach.focal)
    holds, depth_m, low = _focus(rows, look, reach.focal, light.stop)
    lasts = lasts_min[None, :]
    width = reach.frame * brief.shoot.delivery.aspect
    fails: list[Failure] = [
        ("no-audience", rows.has_no_audience, rows.planned, rows.planned),
        ("no-light-row", rows.has_no_light, rows.planned, rows.planned),
        ("too-long", reach.widest < rows.least * (1 - SLACK), reach.widest, rows.least),
        ("too-short", reach.tightest > rows.most * (1 + SLACK), reach.tightest, rows.most),
        ("closest-focus", rows.distance < look.closest, rows.distance, look.closest),
        ("light", light.spare < -SLACK, light.iso_open, look.max_iso),
    ]
    locked_fails: list[Failure] = [
        ("roam", width < rows.needed_width * (1 - SLACK), width, rows.needed_width),
        ("focus", ~holds, low, rows.near),
        ("automatic", look.automatic, rows.planned, rows.planned),
        ("endurance", lasts < must_last_min - SLACK, lasts, 0 * lasts + must_last_min),
    ]
    shape = np.broadcast_shapes(rows.planned.shape, look.height.shape)
    code_operated, _, _ = _first_failure(shape, fails)
    code_locked, value, limit = _first_failure(shape, [*fails, *locked_fails])
    rules = brief.shoot.rules
    return Shots(
        views=tuple(views),
        cameras=tuple(cameras),
        focal_mm=reach.focal,
        stop=light.stop,
        iso=light.iso,
        frame_m=reach.frame,
        view_deg=view_of_frame_deg(reach.frame, rows.distance),
        light=_grades(light.spare, 0.0, rules.fair_light_stops, rules.good_light_stops),
        focus_operated=np.where(holds, 3, np.where(depth_m >= FAIR_DEPTH_M, 2, 1)),
        focus_locked=np.where(holds, 3, 0),
        fit=_fit(reach.frame / rows.planned),
        code_operated=code_operated,
        code_locked=code_locked,
        value=value,
        limit=limit,
    )


class _Rows:
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
        is_audience = _rows([view.subject.kind == "audience" for view in views])
        self.has_no_audience = is_audience.astype(np.bool_) & (not each.has_audience)


class _Columns:
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


class _Reach(NamedTuple):
    tightest: Floats
    widest: Floats
    """Frame heights in metres at the long and the short end."""
    frame: Floats
    """The planned frame, or as near as the lens gets."""
    focal: Floats


class _Light(NamedTuple):
    spare: Floats
    """Stops to spare below the highest accepted ISO, wide open."""
    iso_open: Floats
    stop: Floats
    iso: Floats


def _reach(rows: _Rows, look: _Columns) -> _Reach:
    distance = _before_the_lens(rows.distance, look.focal_max)
    tightest = frame_height_m(look.focal_max, distance, look.height)
    widest = frame_height_m(look.focal_min, distance, look.height)
    frame = np.clip(rows.planned, tightest, widest)
    return _Reach(tightest, widest, frame, focal_for_frame_mm(frame, distance, look.height))


def _before_the_lens(distance_m: Floats, focal_mm: Floats) -> Floats:
    """Keep a subject out of the focal length, where no lens formula holds; closest focus, which is
    always longer, refuses it anyway.
    """
    return np.maximum(distance_m, 1.05 * focal_mm / MM_PER_M)


def _light(brief: Brief, rows: _Rows, look: _Columns, focal: Floats) -> _Light:
    rules = brief.shoot.rules
    open_stop = stop_at_focal(focal, look.focal_min, look.focal_max, look.stop_wide, look.stop_tele)
    open_t_stop = t_stop(open_stop, look.t_loss)
    iso_open = iso_needed(open_t_stop, brief.shutter.shutter_s, rows.dim_lux, rows.headroom)
    spare = np.log2(look.max_iso / iso_open)
    most_stop = np.minimum(rules.most_stop, look.least_stop)
    stop = _stop_down(most_stop, rules.good_light_stops, open_stop, spare, look.fixed_stop)
    return _Light(spare, iso_open, stop, iso_open * (stop / open_stop) ** 2)


def _focus(
    rows: _Rows, look: _Columns, focal: Floats, stop: Floats
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


def _grades(value: Floats, poor: float, fair: float, good: float) -> Ints:
    """Grade 3 from `good` on, 2 from `fair`, 1 from `poor`, else 0 (inclusive)."""
    steps = [value >= limit - 1e-9 for limit in (poor, fair, good)]
    grades: Ints = np.sum(steps, axis=0, dtype=np.int64)
    return grades


def _fit(ratio: Floats) -> Ints:
    off = np.maximum(ratio, 1 / ratio)
    return np.where(off <= GOOD_FIT + 1e-9, 3, np.where(off <= FAIR_FIT + 1e-9, 2, 1))


def _first_failure(shape: tuple[int, ...], fails: list[Failure]) -> tuple[Ints, Floats, Floats]:
    """Return per pair the code of the first rule that fails and its two figures."""
    code = np.zeros(shape, dtype=np.int64)
    value, limit = np.full(shape, np.nan), np.full(shape, np.nan)
    for rule, failed, found, allowed in fails:
        new = (code == 0) & np.broadcast_to(failed, shape)
        code[new] = CODE[rule]
        value[new] = np.broadcast_to(found, shape)[new]
        limit[new] = np.broadcast_to(allowed, shape)[new]
    return code, value, limit
