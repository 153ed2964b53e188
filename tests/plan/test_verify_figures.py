"""Figures of a shot against sums done by hand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from kitplan.gear.kit import Kit
from kitplan.gear.records import Adapter, Lens
from kitplan.plan.verify import Camera, Picture, Scene, View, picture_of, shot_faults, view_of
from kitplan.plan.verify.picture import band_of
from kitplan.shoot.venue import Subject
from tests.small import (
    LENS_M,
    adapter,
    body,
    lens,
    position,
    show,
    singer,
    small_kit,
    small_shoot,
    unit,
)


def scene(**parts: Any) -> Scene:
    """Return the scene of a small shoot with a kit of two cameras."""
    return Scene(small_shoot(**parts), small_kit())


def view(subject: Subject, size: str, place: str = "front", **parts: Any) -> View:
    """Return a view of one subject."""
    found = view_of(scene(subjects=(subject,), **parts), position(place), subject, size)
    assert found is not None
    return found


def take(camera: Camera, subject: Subject, size: str, **parts: Any) -> Picture:
    """Return the picture of a subject from the front in the show."""
    setting = scene(subjects=(subject,), **parts)
    seen = view_of(setting, position("front"), subject, size)
    assert seen is not None
    picture = picture_of(setting, show(), seen, camera)
    assert picture is not None
    return picture


def built_in(**facts: Any) -> Camera:
    """Return a body of 16 x 9 mm with its lens built in, 100 to 125 mm, f/2.8."""
    made = body(**facts)
    return Camera(made, made.modes[0])


def adapted(**facts: Any) -> Camera:
    """Return a body with a lens behind an adapter of these facts."""
    made = body(mount="E")
    ring: Adapter = adapter(**facts)
    glass: Lens = lens(mount="PL")
    return Camera(made, made.modes[0], glass, ring)


def test_a_medium_shot_by_hand() -> None:
    """12 m away, 0.9 m of frame, 9 mm of sensor, 1/50 s, 500 to 1000 lux, f/2.8."""
    found = take(built_in(), singer(), "MS")
    # focal length 9 * 12000 / (900 + 9), angle 2 atan(0.45 / 12)
    assert found.focal_mm == pytest.approx(118.812, abs=0.001)
    assert found.view_deg == pytest.approx(4.2952, abs=0.0001)
    # wide open ISO 250 * 2.8^2 / (500 / 50) * 2^0.3 = 241.3, which is 4.73 stops under 6400: two of
    # the 3.73 beyond the one that is kept close the iris to the most it may be, f/5.6
    assert found.iso_open == pytest.approx(241.30, abs=0.01)
    assert found.stop == pytest.approx(5.6)
    assert found.iso == pytest.approx(965.2, abs=0.1)
    assert found.iso_bright == pytest.approx(250 * 5.6**2 * 50 / 1000)
    assert found.nd_stops == 0
    # circle of confusion 18.3576 / 1500 = 0.012238 mm, hyperfocal distance 206.08 m
    assert found.focus_m == pytest.approx(12.0)
    assert found.sharp_from_m == pytest.approx(11.346, abs=0.001)
    assert found.sharp_to_m == pytest.approx(12.735, abs=0.001)
    assert (found.light, found.focus("operated"), found.fit) == (3, 3, 3)
    assert band_of(found.view_deg) == "long tele"


def test_nd_is_what_the_bright_state_lies_below_base_iso() -> None:
    """At f/5.6 and 64000 lux ISO 6.125 would do: log2(100 / 6.125) = 4.03 stops of ND."""
    found = take(built_in(), singer(), "MS", light=({"dim_lux": 500, "bright_lux": 64000},))
    assert found.iso_bright == pytest.approx(6.125)
    assert found.nd_stops == pytest.approx(4.029, abs=0.001)


def test_the_focal_length_is_as_engraved() -> None:
    """Behind a factor of 0.8 the same frame takes 118.81 / 0.8 = 148.5 mm on the scale."""
    lens_facts = {"has_glass": True, "focal_factor": 0.8, "stops_gained": 0.5}
    found = take(adapted(**lens_facts), singer(), "MS")
    # 125 * 0.8 = 100 mm behind the adapter is the longest: the frame is 9 * 11.9 / 100 = 1.071 m
    assert found.frame_m == pytest.approx(1.071)
    assert found.focal_mm == pytest.approx(125)
    assert found.fit == 1  # 1.071 / 0.9 = 1.19 is beyond 15 %


@pytest.mark.parametrize(("passes_on", "stop"), [((), 2.8), (("iris",), 5.6)])
def test_an_iris_that_is_not_passed_on_stays_open(passes_on: tuple[str, ...], stop: float) -> None:
    """An electronic iris behind a plain ring cannot be closed."""
    made = body(mount="E")
    glass = lens(mount="PL", iris="electronic")
    found = take(Camera(made, made.modes[0], glass, adapter(passes_on=passes_on)), singer(), "MS")
    assert found.stop == pytest.approx(stop)


def test_a_zoom_loses_light_evenly_over_the_logarithm() -> None:
    """From f/2 at 50 to f/8 at 200 mm it is f/4 at 100 mm, half way in stops and octaves."""
    facts = {"focal_min_mm": 50, "focal_max_mm": 200, "stop_wide": 2, "stop_tele": 8}
    zoom = {**facts, "closest_focus_m": 1, "t_stop_loss": 0}
    found = take(
        built_in(built_in=zoom),
        singer(frames_m={"MS": 9 * 11.9 / 100}),
        "MS",
        light=({"dim_lux": 1, "bright_lux": 1},),
    )
    assert found.focal_mm == pytest.approx(100, rel=1e-3)  # a taller frame is aimed lower
    assert found.stop == pytest.approx(4, rel=1e-3)


VIEWS: dict[str, tuple[Subject, str, Mapping[str, float]]] = {
    # a child of 1.3 m: 0.9 * 1.3 / 1.75 = 0.669 m
    "child": (singer(posture="child"), "MS", {"planned_m": 0.6686}),
    # sitting changes the whole figure, not the face
    "seated face": (singer(posture="seated"), "CU", {"planned_m": 0.5}),
    "seated figure": (singer(posture="seated"), "FS", {"planned_m": 2.1 * 1.3 / 1.75}),
    # 4 m wide: the least frame of FS, 1.7 m, must be 4 / (16 / 9) = 2.25 m
    "wide": (singer(width_m=4), "FS", {"least_m": 2.25, "planned_m": 2.1 * 2.25 / 1.7}),
    "own frame": (singer(frames_m={"MS": 1.2}), "MS", {"planned_m": 1.2, "most_m": 1.44}),
    "roams": (singer(roam_m=2), "MS", {"near_m": 10, "far_m": 14, "needed_width_m": 4}),
    "object": (
        Subject(id="harp", kind="object", at_m=(0, 2), height_m=1, width_m=0.6),
        "MS",
        # 2 m of frame with 5 % of it under the harp: aimed at 0.9 m, 0.463 m below the lens
        {"needed_width_m": 0.6, "distance_m": 12.0092},
    ),
}


@pytest.mark.parametrize("name", VIEWS)
def test_views_by_hand(name: str) -> None:
    """Frame heights and distances follow posture, width, roaming and kind."""
    subject, size, wanted = VIEWS[name]
    found = view(subject, size)
    tilt = 1.0 if subject.kind == "person" else 12 / 12.0092
    for fact, number in wanted.items():
        shown = getattr(found, fact) / (tilt if fact in ("planned_m", "least_m", "most_m") else 1)
        assert shown == pytest.approx(number, rel=5e-3), fact


def test_the_stage_is_as_wide_as_its_corners() -> None:
    """From 10 m before its edge the near corners, 4 m to the side, decide: 4 * 13 / 10 each way."""
    found = view(Subject(id="stage", kind="stage"), "WS")
    assert found.planned_m == pytest.approx(1.1 * 2 * 4 * 13 / 10 * 9 / 16)
    # too wide for head room to count: the middle of the frame is 0.4 of 6.435 m over the floor
    assert found.near_m == pytest.approx((10**2 + 4**2 + (LENS_M - 2.574) ** 2) ** 0.5)


def test_a_corner_behind_the_camera_is_seen_at_80_degrees() -> None:
    """A camera on the stage never holds the whole of it."""
    stage = Subject(id="stage", kind="stage")
    setting = scene(subjects=(stage,))
    found = view_of(setting, position("front", at_m=(0, 1)), stage, "WS")
    assert found is not None
    # 2 m to the middle of the stage, tan 80 degrees = 5.671
    assert found.planned_m == pytest.approx(1.1 * 2 * 2 * 5.6713 * 9 / 16, rel=1e-4)


def test_a_tilted_view_is_foreshortened() -> None:
    """From straight above a figure counts no less than a fifth."""
    setting = scene()
    above = position("front", at_m=(0, 2), floor_height_m=8)
    found = view_of(setting, above, singer(), "MS")
    assert found is not None
    assert found.planned_m == pytest.approx(0.9 * 0.2)


def test_a_subject_in_the_lens_has_no_view() -> None:
    """Nearer than 0.1 m there is nothing to frame."""
    inside = position("front", at_m=(0, 2))
    assert view_of(scene(), inside, singer(), "MS") is None


@pytest.mark.parametrize(
    ("lux", "is_possible"), [(18.84, False), (18.86, True)], ids=["below", "above"]
)
def test_light_is_enough_at_the_most_iso(lux: float, is_possible: bool) -> None:
    """ISO 6400 at f/2.8 and 1/50 s: 250 * 7.84 * 50 * 2^0.3 / 6400 = 18.85 lux."""
    setting = scene(light=({"dim_lux": lux, "bright_lux": 1000},))
    seen = view_of(setting, position("front"), singer(), "MS")
    assert seen is not None
    faults = shot_faults(setting, show(), seen, built_in(), "operated")
    assert ("light" in [fault.rule for fault in faults]) is not is_possible


def test_no_shutter_no_picture() -> None:
    """Without a speed as short as a frame there is nothing to compute, and nothing fails."""
    slow = body(shutter_speeds_per_s=(10,))
    kit = Kit(items=(slow,), units=(unit(slow.id),))
    setting = Scene(small_shoot(), kit)
    seen = view_of(setting, position("front"), singer(), "MS")
    assert seen is not None
    assert picture_of(setting, show(), seen, Camera(slow, slow.modes[0])) is None
