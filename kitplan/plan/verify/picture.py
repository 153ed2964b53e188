"""The picture: a view through a camera in a pass, with every figure of a shot and its marks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan, degrees

from kitplan.plan.records import Manner
from kitplan.plan.verify.findings import Fault
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
    """Figures of a shot, in the units of `plan.records.Shot`, and its marks from 0 to 3."""

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

    def _focus(self, manner: Manner) -> int:
        if manner == "operated":
            return self.focus_by_hand
        return 3 if self.is_all_sharp else 0

    def grade(self, manner: Manner) -> int:
        """Return the weakest of light and focus."""
        return min(self.light, self._focus(manner))

    def marks(self, manner: Manner) -> int:
        """Return the sum of light, focus and framing fit."""
        return self.light + self._focus(manner) + self.fit


def picture_of(scene: Scene, each: Pass, view: View, camera: Camera) -> Picture | None:
    """Return a picture; None without an optic, a shutter time or a row of light."""
    key = ("picture", each.id, view.key, camera.key)
    return scene.once(key, lambda: _picture(scene, each, view, camera))


def _look(scene: Scene, camera: Camera) -> Look | None:
    def make() -> Look | None:
        optic = optic_of(camera)
        if optic is None:
            return None
        return look_of(camera, optic, scene.shoot.delivery.aspect, scene.shoot.rules)

    return scene.once(("look", camera.key), make)


def _light(scene: Scene, view: View, each: Pass) -> Light | None:
    return scene.light_on(_subject(scene, view), each)


def _subject(scene: Scene, view: View) -> Subject:
    return scene.shoot.subjects_by_id[view.key[1]]


def _picture(scene: Scene, each: Pass, view: View, camera: Camera) -> Picture | None:
    look, light, shutter_s = _look(scene, camera), _light(scene, view, each), scene.shutter_s
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


# -- rules -----------------------------------------------------------------------------------------


def shot_faults(
    scene: Scene, each: Pass, view: View, camera: Camera, manner: Manner
) -> tuple[Fault, ...]:
    """Return what forbids a shot (docs/model.md, section 2, Shot); endurance is apart."""
    key = ("shot", each.id, view.key, camera.key, manner)
    return scene.once(key, lambda: tuple(_shot_faults(scene, each, view, camera, manner)))


def _shot_faults(
    scene: Scene, each: Pass, view: View, camera: Camera, manner: Manner
) -> Iterator[Fault]:
    subject = _subject(scene, view)
    if subject.kind == "audience" and not each.has_audience:
        yield Fault("no-audience", "the pass has no audience to film", "Film it in a show")
    if _light(scene, view, each) is None:
        wrong = f"no row of light fits {subject.id} in this pass"
        yield Fault("no-light-row", wrong, "Add its light to the shoot")
    look, picture = _look(scene, camera), picture_of(scene, each, view, camera)
    if look is None or picture is None:
        return  # said by the rules of the camera, or just above
    yield from _frame_faults(look, view, picture)
    if picture.iso_open > look.max_iso * (1 + SLACK):
        wrong = f"wide open it takes ISO {picture.iso_open:.0f}"
        yield Fault("light", wrong, f"The body gives ISO {look.max_iso:.0f} at most")
    if manner == "locked-off":
        yield from _locked_faults(scene, view, picture)


def _frame_faults(look: Look, view: View, picture: Picture) -> Iterator[Fault]:
    size = view.key[2]
    if picture.widest_m < view.least_m * (1 - SLACK):
        wrong = f"the widest frame is {picture.widest_m:.2f} m high"
        yield Fault("too-long", wrong, f"{size} needs {view.least_m:.2f} m at least")
    if picture.tightest_m > view.most_m * (1 + SLACK):
        wrong = f"the tightest frame is {picture.tightest_m:.2f} m high"
        yield Fault("too-short", wrong, f"{size} allows {view.most_m:.2f} m at most")
    if view.distance_m < look.closest_m * (1 - SLACK):
        wrong = f"the subject is {view.distance_m:.2f} m away"
        yield Fault("closest-focus", wrong, f"The lens focuses from {look.closest_m:.2f} m")


def _locked_faults(scene: Scene, view: View, picture: Picture) -> Iterator[Fault]:
    width = picture.frame_m * scene.shoot.delivery.aspect
    if width < view.needed_width_m * (1 - SLACK):
        wrong = f"the locked frame is {width:.2f} m wide"
        yield Fault("roam", wrong, f"The subject needs {view.needed_width_m:.2f} m")
    if not picture.is_all_sharp:
        wrong = f"locked focus holds {picture.sharp_from_m:.2f} m to {picture.sharp_to_m:.2f} m"
        right = f"The subject is {view.near_m:.2f} m to {view.far_m:.2f} m away"
        yield Fault("focus", wrong, right)
