"""The optics of one camera, in scalars: what the lens shows, how bright, how sharp.

Thin, rectilinear lens. Focal lengths and f-numbers are those behind the adapter; only
`Picture.focal_mm` is as engraved on the lens. Formulas: docs/model.md, section 2.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, inf, log, log2

from kitplan.gear.records import Optic
from kitplan.plan.verify.setups import Camera
from kitplan.shoot.rules import Rules

SLACK = 1e-9
"""Relative slack of inclusive limits."""
BLUR_PARTS = 1500.0
"""The circle of confusion is this part of the diagonal."""
INCIDENT_CONSTANT = 250.0
"""Lux seconds times ISO."""
LEAST_FOCAL_MM = 1e-3
"""Shorter lenses count as this one."""
_LEAST = 1e-30  # input may be as small as a number gets; nothing is ever divided by zero
_MOST_STOPS = 100.0  # and a rule may say a million stops


@dataclass(frozen=True)
class Look:
    """What a camera is as light sees it."""

    width_mm: float
    height_mm: float
    """Active area."""
    focal_min_mm: float
    focal_max_mm: float
    focal_factor: float
    stop_wide: float
    stop_tele: float
    t_loss_stops: float
    closest_m: float
    base_iso: float
    max_iso: float
    least_stop: float
    has_fixed_stop: bool
    """An electronic iris that the adapter does not pass on stays wide open."""

    @property
    def diagonal_mm(self) -> float:
        """Diagonal of the active area."""
        return hypot(self.width_mm, self.height_mm)

    def frame_m(self, focal_mm: float, distance_m: float) -> float:
        """Return the height of the frame, 0 where the subject is inside the focal length."""
        return max(self.height_mm * (distance_m / focal_mm - 1e-3), 0.0)

    def focal_mm(self, frame_m: float, distance_m: float) -> float:
        """Return the focal length that shows a frame of this height."""
        focal = 1000 * self.height_mm * distance_m / (1000 * frame_m + self.height_mm)
        return max(focal, LEAST_FOCAL_MM)

    def open_stop(self, focal_mm: float) -> float:
        """Return the widest f-number: even in stops over the logarithm of the focal length."""
        if self.stop_wide == self.stop_tele or self.focal_max_mm <= self.focal_min_mm:
            return self.stop_wide
        inside = min(max(focal_mm, self.focal_min_mm), self.focal_max_mm)
        share = log(inside / self.focal_min_mm) / log(self.focal_max_mm / self.focal_min_mm)
        return self.stop_wide * power(stops(self.stop_tele / self.stop_wide) * share)

    def sharp_m(self, focal_mm: float, stop: float, focus_m: float) -> tuple[float, float]:
        """Return the limits of the depth of field in metres; nothing is sharp inside the lens."""
        focus = 1000 * focus_m
        if focus <= focal_mm:
            return focus_m, focus_m
        # blur <= c where |1/x - 1/focus| <= c N (focus - f) / (f f focus), solved for x
        spread = self.diagonal_mm / BLUR_PARTS * stop * (focus - focal_mm) / focal_mm**2
        near = focus / (1 + spread)
        far = focus / (1 - spread) if spread < 1 else inf
        return near / 1000, far / 1000


def stops(ratio: float) -> float:
    """Return by how many stops one light is more than another, given their ratio."""
    return log2(max(ratio, _LEAST**5))


def power(stops: float) -> float:
    """Return two to a number of stops."""
    return float(2.0 ** max(-_MOST_STOPS, min(stops, _MOST_STOPS)))


def optic_of(camera: Camera) -> Optic | None:
    """Return the lens of a camera, or the one built in; None where there is neither."""
    return camera.lens or camera.body.built_in


def look_of(camera: Camera, optic: Optic, aspect: float, rules: Rules) -> Look:
    """Return the optics of a camera for pictures of an aspect."""
    body, adapter = camera.body, camera.adapter
    width, height = (
        body.sensor_width_mm / camera.mode.crop,
        body.sensor_height_mm / camera.mode.crop,
    )
    factor = adapter.focal_factor if adapter else 1.0
    gain = power(-adapter.stops_gained / 2) if adapter else 1.0
    loss = rules.t_stop_loss_stops if optic.t_stop_loss is None else optic.t_stop_loss
    is_electronic = camera.lens is not None and camera.lens.iris == "electronic"
    return Look(
        width_mm=min(width, height * aspect),
        height_mm=min(height, width / aspect),
        focal_min_mm=max(optic.focal_min_mm * factor, LEAST_FOCAL_MM),
        focal_max_mm=max(optic.focal_max_mm * factor, LEAST_FOCAL_MM),
        focal_factor=factor,
        stop_wide=optic.stop_wide * gain,
        stop_tele=(optic.stop_tele or optic.stop_wide) * gain,
        t_loss_stops=loss,
        closest_m=optic.closest_focus_m,
        base_iso=body.base_iso,
        max_iso=body.max_iso,
        least_stop=optic.least_stop,
        has_fixed_stop=is_electronic and adapter is not None and "iris" not in adapter.passes_on,
    )


def iso_for(t_stop: float, shutter_s: float, lux: float, headroom_stops: float) -> float:
    """Return the ISO that exposes incident light of so many lux."""
    iso = INCIDENT_CONSTANT * t_stop**2 / max(lux * shutter_s, _LEAST) * power(headroom_stops)
    return max(iso, _LEAST)
