"""Invented but realistic gear for `instance_kit`: facts are those of the demo catalog.

Bodies, lenses, adapters, heads and supports by class; kinds of a class differ by some percent.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from kitplan.gear.records import Adapter, Head, Support


class BodyType(NamedTuple):
    """A class of bodies: mount (none: built-in optic), sensor, ISO, battery minutes, kg."""

    name: str
    mount: str | None
    width_mm: float
    height_mm: float
    max_iso: float
    battery_min: float
    mass_kg: float
    stabiliser: float = 0.0
    clip_min: float | None = None
    mbps: float = 50.0
    card_type: str = "sd"
    built_in: dict[str, Any] | None = None


CAMCORDER_OPTIC = {
    "focal_min_mm": 8.8, "focal_max_mm": 106, "stop_wide": 2.8, "stop_tele": 4.5,
    "least_stop": 11, "closest_focus_m": 0.6, "stabiliser_stops": 3, "has_power_zoom": True,
    "holds_focus": True,
}  # fmt: skip
POCKET_OPTIC = {
    "focal_min_mm": 4.1, "focal_max_mm": 82, "stop_wide": 1.8, "stop_tele": 3.6,
    "least_stop": 8, "closest_focus_m": 0.8, "stabiliser_stops": 3, "has_power_zoom": True,
}  # fmt: skip
BODY_TYPES = (
    BodyType("full-frame", "E", 35.8, 23.9, 8000, 96, 0.72, 3, 29.5),
    BodyType("four-thirds", "MFT", 17.3, 13.0, 3200, 80, 0.64, 4, 29.5),
    BodyType("camcorder", None, 13.2, 8.8, 2500, 190, 1.15, mbps=35, built_in=CAMCORDER_OPTIC),
    BodyType("apsc", "EF-S", 22.3, 14.9, 3200, 72, 0.55, clip_min=20, mbps=45),
    BodyType("cinema", "EF", 24.9, 14.0, 6400, 120, 1.9, mbps=110, card_type="fast"),
    BodyType("short-register", "RF", 35.9, 23.9, 8000, 90, 0.7, 4),
    BodyType("handheld", None, 6.2, 3.5, 1600, 150, 0.6, mbps=28, built_in=POCKET_OPTIC),
    BodyType("broadcast", "PL", 26.4, 14.9, 5000, 75, 3.2, mbps=120, card_type="fast"),
)


class LensType(NamedTuple):
    """A class of lenses: mount, focal lengths, widest f-numbers, circle, nearest focus, kg."""

    mount: str
    low_mm: float
    high_mm: float
    wide: float
    tele: float
    circle_mm: float
    near_m: float
    mass_kg: float
    stabiliser: float = 0.0


LENS_TYPES = (
    LensType("E", 24, 70, 2.8, 2.8, 43.4, 0.38, 0.83),
    LensType("MFT", 45, 160, 3.5, 4.8, 21.7, 0.9, 0.42),
    LensType("EF", 100, 400, 4.5, 5.6, 43.4, 1.2, 1.58, 3),
    LensType("E", 70, 200, 4.0, 4.0, 43.4, 1.0, 0.88, 3),
    LensType("EF-S", 17, 55, 2.8, 2.8, 27.3, 0.35, 0.65, 3),
    LensType("MFT", 12, 42, 2.8, 2.8, 21.7, 0.22, 0.39),
    LensType("E", 20, 20, 1.8, 1.8, 43.4, 0.2, 0.39),
    LensType("EF", 70, 200, 2.8, 2.8, 43.4, 1.2, 1.49, 3),
    LensType("RF", 24, 105, 4.0, 4.0, 43.4, 0.45, 0.7, 4),
    LensType("PL", 25, 250, 3.5, 3.5, 31.1, 1.2, 4.1),
    LensType("RF", 100, 500, 4.5, 7.1, 43.4, 0.9, 1.4, 4),
    LensType("EF", 24, 70, 2.8, 2.8, 43.4, 0.38, 0.81),
    LensType("PL", 18, 80, 2.6, 2.6, 31.1, 0.6, 3.0),
    LensType("EF", 85, 85, 1.8, 1.8, 43.4, 0.85, 0.43),
    LensType("EF-S", 55, 250, 4.0, 5.6, 27.3, 0.85, 0.38, 3),
    LensType("MFT", 100, 300, 4.0, 5.6, 21.7, 1.5, 0.52),
    LensType("EF", 16, 35, 2.8, 2.8, 43.4, 0.28, 0.64),
    LensType("E", 135, 135, 1.8, 1.8, 43.4, 0.7, 0.95),
)
ADAPTERS = (
    Adapter(id="ring-ef-e", name="EF to E ring", lens_mount="EF", body_mount="E",
            passes_on=("iris", "autofocus", "stabiliser"), mass_kg=0.12),
    Adapter(id="reducer-ef-mft", name="EF to MFT with glass", lens_mount="EF", body_mount="MFT",
            has_glass=True, focal_factor=0.71, stops_gained=1, passes_on=("iris",), mass_kg=0.17),
    Adapter(id="ring-ef-rf", name="EF to RF ring", lens_mount="EF", body_mount="RF",
            passes_on=("iris", "stabiliser"), mass_kg=0.11),
    Adapter(id="ring-pl-e", name="PL to E ring", lens_mount="PL", body_mount="E", mass_kg=0.3),
)  # fmt: skip


def _head(item: str, fitting: str, payload: float, plate: str, mass: float, **facts: Any) -> Head:
    return Head(
        id=item, name=item, payload_kg=payload, fitting=fitting, plate=plate, mass_kg=mass, **facts
    )


HEADS = (
    _head("fluid-75", "bowl-75", 7, "slide-50", 2.1),
    _head("light-fluid", "thread-3/8", 4, "dovetail-38", 0.95),
    _head("ball-head", "thread-3/8", 6, "dovetail-38", 0.45, can_pan_tilt=False),
    _head("fluid-100", "bowl-100", 16, "slide-50", 3.4),
    _head("remote-head", "thread-3/8", 5, "dovetail-38", 1.6, is_remote=True, needs_mains=True),
)


def _support(item: str, payload: float, low: float, high: float, width: float, mass: float,
             fitting: str | None = None, **facts: Any) -> Support:  # fmt: skip
    return Support(id=item, name=item, payload_kg=payload, height_min_m=low, height_max_m=high,
                   footprint_m=width, mass_kg=mass, fitting=fitting, **facts)  # fmt: skip


SUPPORTS = (
    _support("tall-legs", 15, 0.75, 2.1, 1.2, 4.8, "bowl-75", setup_min=7, strike_min=3),
    _support("video-legs", 10, 0.6, 1.65, 1.1, 3.4, "bowl-75"),
    _support("rail-clamp", 6, 0.0, 0.35, 0.4, 0.9, "thread-3/8", stands_on=("rail", "bar")),
    _support("photo-legs", 8, 0.4, 1.55, 1.0, 1.8, "thread-3/8"),
    _support("baby-legs", 12, 0.35, 0.95, 0.9, 2.6, "bowl-75", setup_min=4, strike_min=2),
    _support("monopod", 5, 0.7, 1.8, 0.6, 1.1, plate="dovetail-38", can_stand_alone=False,
             setup_min=2, strike_min=1),
    _support("slider", 6, 0.3, 1.4, 1.5, 4.2, "thread-3/8", moves=("track",), skill="slider",
             setup_min=10, strike_min=5),
    _support("jib", 6, 0.5, 3.2, 2.8, 26, plate="slide-50", moves=("boom",), is_arm=True,
             can_stand_alone=False, people=2, skill="jib", setup_min=60, strike_min=30),
    _support("heavy-legs", 25, 0.7, 1.9, 1.3, 6.5, "bowl-100", setup_min=8, strike_min=4),
)  # fmt: skip
ORDER = ("tall-legs", "video-legs", "rail-clamp", "photo-legs", "baby-legs", "tall-legs",
         "monopod", "slider", "jib", "rail-clamp", "heavy-legs", "photo-legs", "video-legs",
         "tall-legs", "heavy-legs")  # fmt: skip
"""The order in which supports are bought: the first nine are the smallest kit's."""
