"""One lens at one distance, asked without any file: what fits, how deep, how bright.

A single adult is framed. Where an answer needs something that was not given (a stop, the light) it
is None. The figures come from `optics`, the sizes from shared/shot_sizes.yaml.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from kitplan.tables import table


@dataclass(frozen=True)
class Question:
    """What is asked. Give either a focal length or a shot size."""

    sensor_mm: tuple[float, float]
    distance_m: float
    focal_mm: float | None = None
    size: str | None = None
    aspect: float = 16 / 9
    crop: float = 1.0
    stop: float | None = None
    lux: float | None = None
    base_iso: float = 100.0
    frame_rate_fps: float = 25.0
    mains_hz: float = 50.0
    shutter_s: float | None = None
    """None takes the flicker-free time nearest the 180-degree shutter."""
    stature_m: float = 1.75


@dataclass(frozen=True)
class Depth:
    """Depth of field in metres from the lens; far is None for infinity."""

    near_m: float
    far_m: float | None
    hyperfocal_m: float
    blur_mm: float
    """Circle of confusion."""


@dataclass(frozen=True)
class Exposure:
    """What the light asks for."""

    iso: float
    t_loss_stops: float
    nd_stops: float
    """Neutral density needed at the base ISO; 0 where the light asks for more than that."""


@dataclass(frozen=True)
class Framed:
    """The answer."""

    focal_mm: float
    active_mm: tuple[float, float]
    """Width and height of the sensor that end up in the picture."""
    frame_m: tuple[float, float]
    """Width and height of the frame at that distance."""
    view_deg: tuple[float, float]
    """Angle of view across and up."""
    size: str
    """Nearest shot size of one adult."""
    fits_size: bool
    """Whether the frame still carries that name."""
    shutter_s: float
    shutter_words: str
    depth: Depth | None
    exposure: Exposure | None


def frame(question: Question) -> Framed:
    """Return what a lens shows at a distance, or the lens that a shot size needs.

    Raises:
        OpticsError: If a number makes no sense (a subject inside the focal length ...).
    """
    from kitplan.optics.lens import (
        active_area_mm,
        angle_of_view_deg,
        focal_for_frame_mm,
        frame_height_m,
    )

    active = active_area_mm(*question.sensor_mm, question.crop, question.aspect)
    focal_mm = question.focal_mm
    if focal_mm is None:
        assert question.size is not None  # one of the two is given
        wanted_m = sizes(question.stature_m)[question.size][0]
        focal_mm = focal_for_frame_mm(wanted_m, question.distance_m, active[1])
    height_m = frame_height_m(focal_mm, question.distance_m, active[1])
    width_m = frame_height_m(focal_mm, question.distance_m, active[0])
    size, fits = nearest_size(height_m, question.stature_m)
    shutter_s, words = _shutter(question)
    return Framed(
        focal_mm=focal_mm,
        active_mm=active,
        frame_m=(width_m, height_m),
        view_deg=(angle_of_view_deg(active[0], focal_mm), angle_of_view_deg(active[1], focal_mm)),
        size=size,
        fits_size=fits,
        shutter_s=shutter_s,
        shutter_words=words,
        depth=_depth(question, focal_mm, active),
        exposure=_exposure(question, shutter_s),
    )


def sizes(stature_m: float) -> dict[str, tuple[float, float, float]]:
    """Return frame heights in metres by shot size for a standing person: planned, least, most."""
    shared = table("shot_sizes")
    scale = stature_m / shared["adult_m"]
    return {
        name: (row["frame_m"] * scale, row["least_m"] * scale, row["most_m"] * scale)
        for name, row in shared["person"].items()
    }


def nearest_size(height_m: float, stature_m: float) -> tuple[str, bool]:
    """Return the shot size that a frame height is nearest to, and whether it carries its name."""
    known = sizes(stature_m)

    def off(name: str) -> float:
        _, least, most = known[name]
        return max(least / height_m, height_m / most, 1.0)

    nearest = min(known, key=off)
    return nearest, off(nearest) == 1.0


def _shutter(question: Question) -> tuple[float, str]:
    from kitplan.optics.flicker import choose_shutter, ripple

    speeds = table("shutter_speeds")["speeds_per_s"]
    best = choose_shutter(question.frame_rate_fps, question.mains_hz, speeds)
    if question.shutter_s is None:
        return best.shutter_s, best.reason
    swing = 100 * ripple(question.mains_hz, question.shutter_s)
    own = f"1/{1 / question.shutter_s:.4g} s"
    if swing < 1:
        return question.shutter_s, f"{own} is flicker-free under {question.mains_hz:g} Hz mains"
    return question.shutter_s, (
        f"{own}: lamps on {question.mains_hz:g} Hz mains ripple by up to {swing:.0f} % either way; "
        f"flicker-free is 1/{1 / best.shutter_s:.4g} s"
    )


def _depth(question: Question, focal_mm: float, active: tuple[float, float]) -> Depth | None:
    from kitplan.optics.focus import circle_of_confusion_mm, focus_limits_m, hyperfocal_m

    if question.stop is None:
        return None
    blur_mm = circle_of_confusion_mm(*active)
    near_m, far_m = focus_limits_m(focal_mm, question.stop, blur_mm, question.distance_m)
    return Depth(
        near_m=near_m,
        far_m=None if far_m == inf else far_m,
        hyperfocal_m=hyperfocal_m(focal_mm, question.stop, blur_mm),
        blur_mm=blur_mm,
    )


def _exposure(question: Question, shutter_s: float) -> Exposure | None:
    from kitplan.optics.light import iso_needed, nd_stops, t_stop

    if question.stop is None or question.lux is None:
        return None
    loss = float(table("rules")["t_stop_loss_stops"])
    iso = iso_needed(t_stop(question.stop, loss), shutter_s, question.lux)
    return Exposure(iso=iso, t_loss_stops=loss, nd_stops=nd_stops(iso, question.base_iso))
