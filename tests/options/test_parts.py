"""Cameras, stands and endurance: the figures that everything later counts with."""

from __future__ import annotations

from datetime import date
from math import inf
from typing import Any

import pytest

from kitplan.gear.kit import Away
from kitplan.gear.records import AnyItem
from kitplan.options.cameras import Camera, list_cameras
from kitplan.options.endurance import (
    Endurance,
    Supplies,
    battery_minutes,
    card_minutes,
    endurance,
    is_fast_enough,
    longest_stretch_min,
)
from kitplan.options.stands import Stand, list_stands
from kitplan.shoot.records import Pass
from tests.small import (
    MODE,
    adapter,
    body,
    card,
    head,
    lens,
    optic,
    position,
    show,
    small_brief,
    small_kit,
    song,
    support,
    unit,
)


def cameras_of(*items: AnyItem, **parts: Any) -> tuple[Camera, ...]:
    """Return the cameras that a kit makes."""
    return list_cameras(small_brief(small_kit(*items), **parts))[0]


def stands_of(*items: AnyItem, **kit: Any) -> dict[str, Stand]:
    """Return the stands that a kit makes, by key."""
    return {stand.key: stand for stand in list_stands(small_brief(small_kit(*items, **kit)))[0]}


# -- cameras ---------------------------------------------------------------------------------------


def test_a_camera_without_a_mount_is_its_body() -> None:
    """16 x 9 mm, 100 to 125 mm, f/2.8 throughout, 1 kg."""
    (camera,) = cameras_of()
    assert (camera.key, camera.items) == ("cam+HD", ("cam",))
    assert (camera.width_mm, camera.height_mm) == (16, 9)
    assert (camera.focal_min_mm, camera.focal_max_mm) == (100, 125)
    assert (camera.stop_wide, camera.stop_tele, camera.t_loss_stops) == (2.8, 2.8, 0)
    assert camera.mass_kg == 1
    assert not camera.has_fixed_stop


def test_every_mode_that_suits_is_a_camera() -> None:
    """The larger frame as well as that of the delivery; not the smaller one, not another rate."""
    modes = (
        MODE,
        {**MODE, "name": "UHD", "frame_width_px": 3840, "frame_height_px": 2160, "crop": 1.25},
        {**MODE, "name": "SD", "frame_width_px": 720, "frame_height_px": 576},
        {**MODE, "name": "HD 50", "frame_rate_fps": 50},
    )
    found = cameras_of(body(modes=modes))
    assert [camera.mode.name for camera in found] == ["HD", "UHD"]
    assert (found[1].width_mm, found[1].height_mm) == pytest.approx((12.8, 7.2))


def test_a_taller_sensor_is_cut_to_the_delivery() -> None:
    """36 x 24 mm at 16:9 are 36 x 20.25 mm; at 1:1 they are 24 x 24 mm."""
    full = body(sensor_width_mm=36, sensor_height_mm=24)
    (wide,) = cameras_of(full)
    assert (wide.width_mm, wide.height_mm) == pytest.approx((36, 20.25))
    square = {"frame_width_px": 1080, "frame_height_px": 1080}
    (cut,) = cameras_of(full, delivery=square)
    assert (cut.width_mm, cut.height_mm) == pytest.approx((24, 24))


def test_glass_changes_focal_length_stop_and_mass() -> None:
    """A factor of 0.71 and a stop gained: 71 to 88.75 mm, f/2.8 becomes f/1.98."""
    glass = adapter(has_glass=True, focal_factor=0.71, stops_gained=1, mass_kg=0.3)
    wide = lens(mount="PL", image_circle_mm=40, stop_tele=4, t_stop_loss=None)
    (camera,) = cameras_of(body(mount="E"), wide, glass)
    assert camera.items == ("cam", "zoom", "ring")
    assert (camera.focal_min_mm, camera.focal_max_mm) == pytest.approx((71, 88.75))
    assert (camera.stop_wide, camera.stop_tele) == pytest.approx((2.8 / 2**0.5, 4 / 2**0.5))
    assert camera.t_loss_stops == 0.5  # unknown: the rule `t_stop_loss_stops`
    assert camera.mass_kg == pytest.approx(1 + 1 + 0.3)


@pytest.mark.parametrize(
    ("iris", "passes_on", "is_fixed"),
    [("electronic", (), True), ("electronic", ("iris",), False), ("ring", (), False)],
)
def test_an_electronic_iris_behind_a_plain_ring_stays_open(
    iris: Any, passes_on: Any, is_fixed: bool
) -> None:
    """Unless the adapter passes it on."""
    (camera,) = cameras_of(
        body(mount="E"), lens(mount="PL", iris=iris), adapter(passes_on=passes_on)
    )
    assert camera.has_fixed_stop == is_fixed


def test_every_owned_adapter_that_fits_is_a_camera() -> None:
    """Two rings, two cameras; a lens of the body's own mount takes none."""
    found = cameras_of(
        body(mount="E"), lens(mount="PL"), lens("native"), adapter(), adapter("other-ring")
    )
    assert [camera.key for camera in found] == [
        "cam+zoom+ring+HD",
        "cam+zoom+other-ring+HD",
        "cam+native+HD",
    ]


def test_an_extender_goes_between_lens_and_body_of_one_mount() -> None:
    """The lens sits on the body bare, or with the extender: 200 to 250 mm at f/5.6."""
    extender = adapter("extender", lens_mount="E", has_glass=True, focal_factor=2, stops_gained=-2)
    bare, longer = cameras_of(body(mount="E"), lens(), extender)
    assert (bare.items, longer.items) == (("cam", "zoom"), ("cam", "zoom", "extender"))
    assert (longer.focal_min_mm, longer.focal_max_mm) == pytest.approx((200, 250))
    assert longer.stop_wide == pytest.approx(5.6)


def test_the_common_shutter_is_one_that_owned_bodies_have() -> None:
    """The owned body has 1/60 s only; one that stands in the list without a unit has 1/50 s."""
    kit = small_kit(
        body(shutter_speeds_per_s=(60,)),
        body("wished-for", shutter_speeds_per_s=(50,)),
        counts={"wished-for": 0},
    )
    assert [camera.body.id for camera in list_cameras(small_brief(kit))[0]] == ["cam"]


@pytest.mark.parametrize("speed", [49.5, 50.5])
def test_a_shutter_speed_one_percent_off_still_counts(speed: float) -> None:
    """Within 1 %, inclusive as all thresholds are."""
    clock = body("clock", mode={"frame_rate_fps": 50}, shutter_speeds_per_s=(50,))
    found = cameras_of(body(shutter_speeds_per_s=(speed,)), clock)
    assert [camera.body.id for camera in found] == ["cam"]


# -- stands ----------------------------------------------------------------------------------------


def test_a_support_without_fitting_is_a_stand_by_itself() -> None:
    """80 % of 10 kg."""
    (stand,) = stands_of().values()
    assert (stand.key, stand.items, stand.plate) == ("legs", ("legs",), None)
    assert (stand.capacity_kg, stand.mass_kg) == (8, 2)


@pytest.mark.parametrize(
    ("support_kg", "head_kg", "capacity_kg"),
    [(10, 10, 7), (20, 10, 8), (10, 5, 4)],
    ids=["support-decides", "head-decides", "weak-head"],
)
def test_the_weaker_of_head_and_support_decides(
    support_kg: float, head_kg: float, capacity_kg: float
) -> None:
    """80 % of each; the support carries the head of 1 kg as well."""
    legs = support(fitting="bowl-75", payload_kg=support_kg, plate="other")
    (stand,) = stands_of(legs, head(payload_kg=head_kg, plate="slide")).values()
    assert stand.capacity_kg == pytest.approx(capacity_kg)
    assert (stand.key, stand.mass_kg, stand.plate) == ("legs+fluid", 3, "slide")


def test_heads_go_on_supports_of_their_fitting() -> None:
    """Each with each, and only owned ones."""
    found = stands_of(
        support(fitting="bowl-75"),
        support("tower", fitting="bowl-75"),
        support("rod", fitting="thread"),
        head(),
        head("light"),
        head("lent-out"),
        counts={"lent-out": 0},
    )
    assert list(found) == ["legs+fluid", "legs+light", "tower+fluid", "tower+light"]


# -- endurance -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gigabytes", "mbps", "share", "minutes"),
    [(64, 50, 0.9, 153.6), (64, 100, 0.9, 76.8), (1, 8, 1, 16 + 2 / 3), (500, 800, 0.5, 41.67)],
)
def test_card_minutes_by_hand(gigabytes: float, mbps: float, share: float, minutes: float) -> None:
    """64 GB are 512,000 Mb; at 50 Mb/s 10,240 s or 170.7 minutes; 90 % are 153.6."""
    assert card_minutes(gigabytes, mbps, share) == pytest.approx(minutes, rel=1e-4)


@pytest.mark.parametrize(("mb_s", "is_fast"), [(7.49, False), (7.5, True), (8, True)])
def test_a_card_is_fast_enough_with_margin(mb_s: float, is_fast: bool) -> None:
    """50 Mb/s * 1.2 / 8 = 7.5 MB/s."""
    assert is_fast_enough(card(sustained_mb_s=mb_s), body().modes[0], 1.2) == is_fast


@pytest.mark.parametrize(
    ("facts", "health", "minutes"),
    [
        ({}, 1, 280),
        ({"measured": ("battery_min",)}, 1, 340),
        ({}, 0.5, 140),
        ({"battery": None, "battery_min": None, "runs_on_mains": True}, 1, inf),
    ],
    ids=["assumed", "measured", "tired", "no-battery"],
)
def test_battery_minutes_by_hand(facts: Any, health: float, minutes: float) -> None:
    """70 % of 400 minutes, or 85 % where measured, times the health of the worst unit."""
    cells = (unit("cell", 1), unit("cell", 2, health=health))
    brief = small_brief(small_kit(body(**facts), units=cells))
    assert battery_minutes(brief, brief.shoot.passes[0], body(**facts)) == pytest.approx(minutes)


@pytest.mark.parametrize(
    "facts",
    [
        {"condition": "retired"},
        {"condition": "in-repair"},
        {"available_until": date(2027, 4, 30)},
        {"away": (Away(begins=date(2027, 5, 1), why="lent"),)},
        {"owner_only": True},
    ],
)
def test_a_pack_that_cannot_be_had_weakens_no_other(facts: Any) -> None:
    """70 % of 400 minutes, and half of that once the old pack is there."""
    for old, minutes in ((facts, 280), ({}, 140)):
        cells = (unit("cell", 1), unit("cell", 2, health=0.5, **old))
        brief = small_brief(small_kit(units=cells))
        assert battery_minutes(brief, brief.shoot.passes[0], body()) == pytest.approx(minutes)


@pytest.mark.parametrize(
    ("gaps_s", "wanted_s", "minutes"),
    [
        ((60, 60, 60), 60, 9),
        ((60, 59, 60), 60, 9 + 59 / 60 + 9),
        ((0, 0, 0), 10, 27),
        ((0, 0, 0), 0, 9),
        ((10, 9, 0), 10, 18 + 9 / 60),
    ],
)
def test_the_longest_stretch_by_hand(
    gaps_s: tuple[float, ...], wanted_s: float, minutes: float
) -> None:
    """Three songs of 9 minutes; a gap that is too short belongs to the stretch."""
    songs = tuple(song(f"s{n}", gap_s=gap_s) for n, gap_s in enumerate(gaps_s))
    brief = small_brief(songs=songs)
    assert longest_stretch_min(brief, brief.shoot.passes[0], wanted_s) == pytest.approx(minutes)


def lasting(*items: AnyItem, each: Pass | None = None, **front: Any) -> Endurance:
    """Return how the camera lasts at the front."""
    brief = small_brief(small_kit(*items), passes=(each or show(),))
    (camera,) = list_cameras(brief)[0]
    return endurance(Supplies(brief, brief.shoot.passes[0]), position("front", **front), camera)


def test_untouched_the_first_limit_counts() -> None:
    """Battery 280, card 2400, clip 90, heat 100 minutes."""
    assert lasting().untouched_min == pytest.approx(280)
    assert lasting(body(mode={"clip_limit_min": 90})).untouched_min == 90
    assert lasting(body(heat_limit_min=100)).untouched_min == 100
    assert lasting(card(capacity_gb=10)).untouched_min == pytest.approx(24)
    assert lasting(body(runs_on_mains=True), has_mains=True).untouched_min == pytest.approx(2400)


def test_batteries_and_cards_are_counted_for_the_pass() -> None:
    """20 minutes: batteries of 7, cards of 12 minutes; out of reach no card holds 33."""
    items = (body(battery_min=10), card(capacity_gb=5))
    near, far = lasting(*items), lasting(*items, is_out_of_reach=True)
    assert (near.batteries, near.card_choice) == (3, (("card", 2),))
    assert (far.batteries, far.card_choice) == (3, ())


@pytest.mark.parametrize(
    ("facts", "marks"),
    [
        ({}, 3),
        ({"mode": {"clip_limit_min": 19}}, 2),
        ({"mode": {"clip_limit_min": 19, "at_limit": "splits"}}, 3),
        ({"battery_min": 20}, 2),
        ({"heat_limit_min": 20}, 3),
        ({"heat_limit_min": 19, "battery_min": 20, "mode": {"clip_limit_min": 19}}, 0),
    ],
    ids=str,
)
def test_reliability_is_a_mark_each(facts: Any, marks: int) -> None:
    """No clip stop, no battery change and no heat limit within 20 minutes."""
    assert lasting(body(**facts)).reliability == marks


def test_a_built_in_lens_is_the_optic() -> None:
    """Of a body without a mount."""
    (camera,) = cameras_of(body(built_in=optic(closest_focus_m=0.7)))
    assert camera.optic.closest_focus_m == 0.7
