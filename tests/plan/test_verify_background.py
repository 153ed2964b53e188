"""Empty seats, wings, lamps and who did not consent: areas and places by hand."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.verify import Scene, marks_of, setup_faults
from kitplan.plan.verify.background import (
    flagged_in,
    lamps_in,
    seats_in,
    wings_in,
    without_consent_in,
)
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Subject
from tests.plan.staged import pillar, rules_of, scene, seats, setup, view
from tests.small import LENS_M, position, run, show, singer

STAGE = Subject(id="stage", kind="stage")
NEAR_LENS: dict[str, Any] = {"half": 9.0}
LOW_M = 0.1
"""How far the seats of these tests are under the lens: 0.1 m at z metres ahead is a share of
0.1 / z * 12 / 0.9 = 4 / 3 / z of the frame. From 5 to 8 m that is a band of 4 / 15 - 1 / 6 = 0.1.
"""
RULES = {"seat_m": LENS_M - LOW_M}


def hall(*areas: dict[str, Any], each: Pass | None = None, **parts: Any) -> Scene:
    """Return a scene with a closed run, in which all seats are empty."""
    rules = {**RULES, **parts.pop("rules", {})}
    passes = (each or run(), show())
    return scene(audience=list(areas), passes=passes, rules=rules, **parts)


def faults_in_run(setting: Scene, **facts: Any) -> set[str]:
    """Return what is wrong with the medium shot in the run, by hand and locked off alike."""
    each = setting.shoot.passes[0]
    found = [
        rules_of(setup_faults(setting, setup(each=each, who=who, **facts))) for who in ("ann", None)
    ]
    assert found[0] == found[1]
    return found[0]


def background(setting: Scene, **facts: Any) -> int:
    """Return the background mark of the medium shot in the first pass."""
    marks = marks_of(setting, setup(each=setting.shoot.passes[0], **facts))
    assert marks is not None
    return marks.background


# -- empty seats -----------------------------------------------------------------------------------


def test_the_share_and_depth_of_empty_seats() -> None:
    """A band of a tenth of the frame, 5 to 8 m ahead; with people in it there is none."""
    setting = hall(seats(-5, -2, **NEAR_LENS))
    found = seats_in(setting, run(), view(setting))
    assert (found.share, found.nearest_m, found.farthest_m) == pytest.approx((0.1, 5, 8))
    assert seats_in(setting, show(), view(setting)).share == 0


def test_a_block_that_is_not_sold_is_empty_in_the_show() -> None:
    """Two areas add up, and their depths go together."""
    unsold = seats(-5, -2, id="unsold", empty_in=("show",), **NEAR_LENS)
    setting = hall(unsold, seats(0, 2, id="more", empty_in=("show",), **NEAR_LENS))
    found = seats_in(setting, show(), view(setting))
    # from 10 to 12 m: 4 / 30 - 1 / 9 = 1 / 45
    assert (found.share, found.nearest_m, found.farthest_m) == pytest.approx((0.1 + 1 / 45, 5, 12))


def test_depth_is_that_of_the_corners_in_the_frame() -> None:
    """Seats from under the lens on are seen from where the frame ends: 4 / 3 / z = 1 / 2."""
    setting = hall(seats(-12, -2, **NEAR_LENS))
    found = seats_in(setting, run(), view(setting))
    assert (found.share, found.nearest_m) == pytest.approx((0.5 - 1 / 6, 8 / 3))


def test_a_horseshoe_of_seats_has_no_depth_between_its_ends() -> None:
    """The frame shows the two ends, 5 to 8 m ahead, not the row that joins them behind the lens."""
    ends = ((-9, -12), (9, -12), (9, -2), (0.2, -2), (0.2, -5), (5, -5), (5, -11), (-5, -11))
    outline = (*ends, (-5, -5), (-0.2, -5), (-0.2, -2), (-9, -2))
    setting = hall({"id": "seats", "outline_m": outline})
    found = seats_in(setting, run(), view(setting))
    assert (found.nearest_m, found.farthest_m) == pytest.approx((5, 8))
    # the gap of 0.4 m between the ends is 0.4 / z * 12 / 1.6 = 3 / z of the frame's width
    gap = sum(
        3 / z * (4 / 3 / z / z) * 3 / 1000 for z in [5 + (n + 0.5) * 3 / 1000 for n in range(1000)]
    )
    assert found.share == pytest.approx(0.1 - gap, rel=1e-4)


def test_where_people_would_stand_the_floor_counts() -> None:
    """An empty standing area is as high as its floor."""
    setting = hall(seats(-5, -2, state="standing", height_m=LENS_M - LOW_M, **NEAR_LENS))
    assert seats_in(setting, run(), view(setting)).share == pytest.approx(0.1)


SEATS: dict[str, tuple[float, dict[str, Any], dict[str, Any], bool]] = {
    # f = 118.8 mm, f/5.6: f^2 / (N (d - f)) = 0.2122 mm at 12 m; at 8 m a blur of 0.106 mm, which
    # is above 1 % of 9 mm
    "dark and soft": (-2, {}, {}, False),
    "sharp": (0, {}, {}, True),  # at 10 m a blur of 0.042 mm
    "softer than asked for": (0, {}, {"seats_soft_share": 0.0047}, False),
    "too much of it": (-2, {}, {"seats_share_soft": 0.0999}, True),
    "as much as may be": (-2, {}, {"seats_share_soft": 0.1}, False),
    "little": (0, {}, {"seats_share_plain": 0.1334}, False),
    # five stops under 500 lux are 15.6 lux, four and a half 22.1 lux
    "dim": (-2, {"house_lux": 22.0}, {}, False),
    "lit": (-2, {"house_lux": 22.2}, {}, True),
    "black": (-2, {"house_lux": 0}, {}, False),
    "work light": (-2, {"is_in_show_light": False}, {}, True),
    "darker than asked for": (-2, {}, {"seats_dark_stops": 5.0}, False),
    "not dark enough": (-2, {}, {"seats_dark_stops": 5.1}, True),
}


@pytest.mark.parametrize("name", SEATS)
def test_empty_seats_refuse_a_shot(name: str) -> None:
    """Dark and soft ones may take 0.18 of the frame, others 0.03."""
    north, facts, rules, is_refused = SEATS[name]
    setting = hall(seats(-5, north, **NEAR_LENS), each=run(**facts), rules=rules)
    assert ("empty-seats" in faults_in_run(setting)) is is_refused


@pytest.mark.parametrize(("limit", "mark"), [(0.0999, 2), (0.1, 3)], ids=["above", "at"])
def test_empty_seats_cost_a_mark(limit: float, mark: int) -> None:
    """Dark and soft as they are: above what lit ones may take."""
    setting = hall(seats(-5, -2, **NEAR_LENS), rules={"seats_share_plain": limit})
    assert background(setting) == mark


# -- wings -----------------------------------------------------------------------------------------

TALL = singer(frames_m={"FS": 6.0})
"""Level at 0.45 * 6 = 2.7 m, 12 m away, 6 x 10.67 m: at 10 m 5 x 8.89 m, at 16 m 8 x 14.22 m."""
# the edge at x = 4 runs from u = 0.95 to 0.78125; 4 m high it is 0.8 and 0.5 of the frame high, but
# for a corner under the frame, 0.04 high and 0.04 / 0.2025 of its width
WING = 0.16875 * 0.65 - 0.16875 * 0.04 / 0.2025 * 0.04 / 2


@pytest.mark.parametrize(
    ("stage", "x", "wings"),
    [
        ({"has_wings": True}, 0.0, 2 * WING),
        ({"has_wings": True, "form": "thrust"}, 0.0, 0.0),
        ({"has_wings": False}, 0.0, 0.0),
    ],
)
def test_wings_from_the_front(stage: dict[str, Any], x: float, wings: float) -> None:
    """Both sides of an end stage are seen to 4 m up."""
    setting = scene(stage=stage, subjects=(TALL,))
    found = view(setting, TALL, "FS", lens_height_m=2.7, at_m=(x, -10))
    assert wings_in(setting, found) == pytest.approx(wings)


@pytest.mark.parametrize(
    ("x", "is_seen"), [(3.9, True), (4.0, False), (5.0, False)], ids=["inside", "in line", "beyond"]
)
def test_a_wing_is_not_seen_from_behind_it(x: float, is_seen: bool) -> None:
    """The lens must be on the side of the stage of its right edge; the left one is far off."""
    outline = ((-90.0, 0.0), (4.0, 0.0), (4.0, 6.0), (-90.0, 6.0))
    setting = scene(stage={"has_wings": True, "outline_m": outline}, subjects=(TALL,))
    found = view(setting, TALL, "FS", lens_height_m=2.7, at_m=(x, -10))
    assert (wings_in(setting, found) > 0) is is_seen


@pytest.mark.parametrize(("limit", "mark"), [(0.218, 2), (0.2181, 3)], ids=["above", "below"])
def test_wings_cost_a_mark(limit: float, mark: int) -> None:
    """0.21804 of the frame."""
    setting = scene(stage={"has_wings": True}, subjects=(TALL,), rules={"wings_share": limit})
    place = position("front", lens_height_m=2.7)
    assert background(setting, place=place, subject=TALL, size="FS") == mark


# -- lamps -----------------------------------------------------------------------------------------


def lamp(**facts: Any) -> dict[str, Any]:
    """Return a lamp at the back of the stage, straight behind the singer."""
    return {"id": "lamp", "at_m": (0, 5), "height_m": LENS_M, **facts}


LAMPS: dict[str, tuple[dict[str, Any], bool]] = {
    "all around": ({}, True),
    "to the house": ({"faces_deg": 180}, True),
    "aside": ({"faces_deg": 90}, False),
    "a little to the house": ({"faces_deg": 91}, True),
    "away": ({"faces_deg": 0}, False),
    "out of the frame": ({"at_m": (1.1, 5)}, False),  # 15 m away it is 2 m wide
    "in its edge": ({"at_m": (0.9, 5)}, True),
    "off": ({"passes": ("run",)}, False),
    "on": ({"passes": ("show",)}, True),
    "behind a pillar": ({"at_m": (0.3, 5)}, False),
    "a window": ({"kind": "window"}, True),
}


@pytest.mark.parametrize("name", LAMPS)
def test_lamps_in_the_picture(name: str) -> None:
    """Those that shine at the lens and that nothing fixed hides; the singer does not."""
    facts, is_there = LAMPS[name]
    setting = scene(lamps=[lamp(**facts)], obstacles=[pillar(0.26, 3)])
    assert bool(lamps_in(setting, show(), view(setting))) is is_there
    assert background(setting) == (2 if is_there else 3)


def test_many_lamps_cost_one_mark() -> None:
    """The mark says whether there are any."""
    setting = scene(lamps=[lamp(), lamp(id="other"), lamp(id="third", kind="window")])
    assert background(setting) == 2


def test_a_laser_refuses_the_shot() -> None:
    """But costs no mark where it is not in the picture."""
    for faces_deg, found in ((180, {"laser"}), (0, set())):
        setting = scene(lamps=[lamp(kind="laser", faces_deg=faces_deg)])
        assert rules_of(setup_faults(setting, setup())) == found
        assert rules_of(setup_faults(setting, setup(who=None))) == found
        assert background(setting) == 3


# -- consent ---------------------------------------------------------------------------------------


def bystander(kind: str = "person", **facts: Any) -> Subject:
    """Return somebody without consent, 0.9 m to the right of the singer, at the frame's edge."""
    given = {"id": "other", "kind": kind, "at_m": (0.9, 2), "width_m": 0.6, "has_consent": False}
    return Subject(**{**given, **facts})


CONSENT: dict[str, tuple[Subject, bool]] = {
    "in part": (bystander(), True),  # from 0.6 m on; the frame ends at 0.8 m
    "with consent": (bystander(has_consent=True), False),
    "beside": (bystander(at_m=(1.2, 2)), False),
    "roams into it": (bystander(at_m=(1.2, 2), roam_m=0.2), True),
    "under the frame": (bystander(height_m=0.9), False),  # it begins at 0.913 m
    "an object": (bystander("object", height_m=1.0), True),
    "a group": (bystander("group"), True),  # its first point is at 0.66 m
    "a group beside": (bystander("group", at_m=(1.1, 2)), False),  # at 0.86 m, if it ends at 0.8 m
    "the audience": (bystander("audience", width_m=0.9), False),
}


@pytest.mark.parametrize("name", CONSENT)
def test_who_did_not_consent_is_kept_out(name: str) -> None:
    """Whoever is in the frame with any part, however it moves."""
    other, is_in = CONSENT[name]
    setting = scene(subjects=(singer(), other))
    assert bool(without_consent_in(setting, view(setting))) is is_in
    for who in ("ann", None):
        assert ("consent" in rules_of(setup_faults(setting, setup(who=who)))) is is_in
    assert flagged_in(setting, view(setting)) == ()


def test_the_target_itself_needs_consent() -> None:
    """Closer than 4 m nobody films it."""
    alone = singer(has_consent=False)
    setting = scene(subjects=(alone,))
    assert rules_of(setup_faults(setting, setup(subject=alone))) == {"consent"}


@pytest.mark.parametrize(
    ("frame_m", "is_refused"), [(3.999, True), (4.0, False)], ids=["below", "at"]
)
def test_wide_pictures_only_flag(frame_m: float, is_refused: bool) -> None:
    """A frame of 4 m, level at 0.4 * 4 m."""
    target = singer(frames_m={"WS": frame_m})
    setting = scene(subjects=(target, bystander()))
    place = position("front", lens_height_m=0.4 * frame_m)
    one = setup(place, subject=target, size="WS")
    assert rules_of(setup_faults(setting, one)) == ({"consent"} if is_refused else set())
    found = view(setting, target, "WS", lens_height_m=0.4 * frame_m)
    assert flagged_in(setting, found) == (() if is_refused else ("other",))
