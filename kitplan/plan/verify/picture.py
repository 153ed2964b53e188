"""The picture: a view through a camera in a pass, with the optical figures of a shot."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, degrees

from kitplan.plan.records import Manner
from kitplan.plan.verify.optics import SLACK, Look, iso_for, look_of, optic_of, power, stops
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.setups import Camera
from kitplan.plan.verify.sight import LEAST_FRAME_M, View
from kitplan.shoot.records import Pass
from kitplan.shoot.rules import Rules
from kitplan.shoot.venue import Light, Subject
from kitplan.tables import table

FULL_FIT, FAIR_FIT = 1.05, 1.15
FAIR_DEPTH_M = 0.3
"""Depth of field that an operator can work with. Common practice, no source."""


@dataclass(frozen=True)
class Picture:
    """Figures of a shot, in the units of `plan.records.Shot`, and marks of optics from 0 to 3."""

    frame_m: float
    widest_m: float
    tightest_m: float
    """Frame heights: as planned or as near as the lens gets, and the range of the lens."""
    focal_mm: float
    view_deg: float
    stop: float
    iso: float
    iso_bright: float
    nd_stops: float
    iso_open: float
    """ISO in the dimmest state with the iris wide open."""
    focus_m: float
    sharp_from_m: float
    sharp_to_m: float
    is_all_sharp: bool
    """The depth of field holds the nearest and the farthest place of the subject."""
    light: int
    focus_by_hand: int
    fit: int

    def focus(self, manner: Manner) -> int:
        """Return the focus mark."""
        if manner == "operated":
            return self.focus_by_hand
        return 3 if self.is_all_sharp else 0


def picture_of(scene: Scene, each: Pass, view: View, camera: Camera) -> Picture | None:
    """Return a picture; None without an optic, a shutter time or a row of light."""
    key = ("picture", each.id, view.key, camera.key)
    return scene.once(key, lambda: _picture(scene, each, view, camera))


def look_through(scene: Scene, camera: Camera) -> Look | None:
    """Return the optics of a camera; None where it has no lens."""

    def make() -> Look | None:
        optic = optic_of(camera)
        if optic is None:
            return None
        return look_of(camera, optic, scene.shoot.delivery.aspect, scene.shoot.rules)

    return scene.once(("look", camera.key), make)


def light_in(scene: Scene, view: View, each: Pass) -> Light | None:
    """Return the light on the target of a view in a pass; None where there is none."""
    return scene.light_on(target_in(scene, view), each)


def target_in(scene: Scene, view: View) -> Subject:
    """Return the subject that a view is of."""
    return scene.shoot.subjects_by_id[view.key[1]]


def _picture(scene: Scene, each: Pass, view: View, camera: Camera) -> Picture | None:
    look, light = look_through(scene, camera), light_in(scene, view, each)
    shutter_s = scene.shutter_s
    if look is None or light is None or shutter_s is None:
        return None
    rules, distance = scene.shoot.rules, view.distance_m
    widest = look.frame_m(look.focal_min_mm, distance)
    tightest = look.frame_m(look.focal_max_mm, distance)
    frame = max(min(max(view.planned_m, tightest), widest), LEAST_FRAME_M)
    focal = look.focal_mm(frame, distance)
    headroom = light.headroom_stops
    headroom = rules.light_headroom_stops if headroom is None else headroom
    open_stop = look.open_stop(focal)
    loss = power(look.t_loss_stops / 2)
    iso_open = iso_for(open_stop * loss, shutter_s, light.dim_lux, headroom)
    spare = stops(look.max_iso / iso_open)
    stop = open_stop if look.has_fixed_stop else _closed(open_stop, spare, rules, look)
    # No headroom in the brightest state: the follow spot is white and must not clip.
    iso_bright = iso_for(stop * loss, shutter_s, light.bright_lux, headroom_stops=0.0)
    focus = 2 * view.near_m * view.far_m / (view.near_m + view.far_m)
    low, high = look.sharp_m(focal, stop, focus)
    aim_low, aim_high = look.sharp_m(focal, stop, distance)
    is_all_sharp = low <= view.near_m * (1 + SLACK) and high >= view.far_m * (1 - SLACK)
    is_workable = aim_high - aim_low >= FAIR_DEPTH_M
    return Picture(
        frame_m=frame,
        widest_m=widest,
        tightest_m=tightest,
        focal_mm=focal / look.focal_factor,
        view_deg=degrees(2 * atan(frame / (2 * distance))),
        stop=stop,
        iso=iso_for(stop * loss, shutter_s, light.dim_lux, headroom),
        iso_bright=iso_bright,
        nd_stops=max(stops(look.base_iso / iso_bright), 0.0),
        iso_open=iso_open,
        focus_m=focus,
        sharp_from_m=low,
        sharp_to_m=high,
        is_all_sharp=is_all_sharp,
        light=_steps(spare, (0.0, rules.fair_light_stops, rules.good_light_stops)),
        focus_by_hand=3 if is_all_sharp else 2 if is_workable else 1,
        fit=_fit(frame / view.planned_m),
    )


def _closed(open_stop: float, spare_stops: float, rules: Rules, look: Look) -> float:
    """The iris closed by what light is spare beyond good light, at most to the rule's stop."""
    closed = open_stop * power(max(spare_stops - rules.good_light_stops, 0.0) / 2)
    return max(open_stop, min(closed, rules.most_stop, look.least_stop))


def _steps(value: float, limits: tuple[float, ...]) -> int:
    return sum(value >= limit - SLACK for limit in limits)


def _fit(ratio: float) -> int:
    off = max(ratio, 1 / ratio)
    return 1 + (off <= FAIR_FIT + SLACK) + (off <= FULL_FIT + SLACK)


def bands_at(view_deg: float, slack_deg: float = 0.0) -> set[str]:
    """Return the bands that a vertical angle of view may be counted to, given a slack."""
    rows = list(table("angle_bands")["bands_deg"].items())

    def band(angle: float) -> str:
        inside = [name for name, (low, _) in rows if angle >= low]
        return str(inside[-1] if inside else rows[0][0])

    return {band(view_deg - slack_deg), band(view_deg + slack_deg)}


def band_of(view_deg: float) -> str:
    """Return the band of a vertical angle of view."""
    return bands_at(view_deg).pop()
