"""Views: from where, in which direction, how far, how tall the frame. Worked out by hand."""

from __future__ import annotations

from math import atan2, cos, hypot, radians
from typing import Any

import pytest

from kitplan.options.views import View, alike_views, list_views, units_and_frames
from kitplan.shoot.venue import Subject
from tests.small import LENS_M, STAGE_M, position, singer, small_brief


def views_of(*subjects: Subject, **front: Any) -> dict[str, View]:
    """Return the views from the front by subject and size."""
    brief = small_brief(positions=(position("front", **front),), subjects=subjects)
    return {f"{view.subject.id} {view.size}": view for view in list_views(brief)}


def thing(**facts: Any) -> Subject:
    """Return an object in the singer's place."""
    return Subject(id="thing", kind="object", at_m=(0, 2), **facts)


# -- persons ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "frame_m", "aim_m"),
    [
        ("ECU", 0.25, 1.75 - 0.55 * 0.25),  # the forehead is cut: 5 % of the frame under the top
        ("CU", 0.50, 1.75 - 0.46 * 0.50),
        ("MCU", 0.70, 1.75 - 0.43 * 0.70),
        ("MS", 0.90, 1.363),  # 1.75 - 0.43 * 0.9: 7 % of the frame over the head
        ("MLS", 1.40, 1.176),  # 1.75 - 0.41 * 1.4
        ("FS", 2.10, 0.945),  # 0.45 * 2.1: 5 % under the feet; 9 % of head room would be 0.889
        ("WS", 4.00, 1.6),  # 0.4 * 4: 10 % under the feet
        ("EWS", 8.00, 3.2),
    ],
)
def test_the_frame_keeps_head_room_or_foot_room(size: str, frame_m: float, aim_m: float) -> None:
    """The higher of the two: 1.75 m + (head room - 1/2) frames, (1/2 - foot room) frames."""
    view = views_of(singer())[f"singer {size}"]
    assert view.aim_m == pytest.approx((0, 2, aim_m))
    tilt = cos(atan2(aim_m - LENS_M, 12))
    assert view.frame.frame_m == pytest.approx(frame_m * tilt)
    assert view.untilted_m == pytest.approx(frame_m)
    assert view.distance_m == pytest.approx(hypot(12, aim_m - LENS_M))


@pytest.mark.parametrize(
    ("facts", "size", "aim_m"),
    [
        # who sits has the head at 1.3 m: 1.3 - 0.43 * 0.9, and 0.45 * 2.1 * 1.3 / 1.75 of foot room
        ({"posture": "seated"}, "MS", 0.913),
        ({"posture": "seated"}, "FS", 0.702),
        # raised arms do not lift the head, but the whole figure: 0.45 * 2.1 * 3 / 1.75
        ({"posture": "dancer"}, "MS", 1.363),
        ({"posture": "dancer"}, "FS", 1.62),
        # a frame of one's own moves the aim: 1.75 - 0.43 * 1.2
        ({"frames_m": {"MS": 1.2}}, "MS", 1.234),
        # 2.1 m of stature: everything 1.2 times as high
        ({"height_m": 2.1}, "MS", 1.2 * 1.363),
    ],
    ids=str,
)
def test_the_head_is_where_the_figure_has_it(facts: Any, size: str, aim_m: float) -> None:
    """The smaller of figure and stature for sizes cut through the body, then the figure."""
    assert views_of(singer(**facts))[f"singer {size}"].aim_m[2] == pytest.approx(aim_m)


@pytest.mark.parametrize(
    ("posture", "height_m", "factor"),
    [("standing", 2.1, 1.2), ("child", 1.05, 0.6), ("seated", 1.2, 1), ("dancer", 2.8, 1)],
)
def test_a_height_that_is_given_is_the_stature_of_who_stands(
    posture: Any, height_m: float, factor: float
) -> None:
    """A face grows with who stands, not with who sits or jumps: MS is 0.9 m at 1.75 m."""
    view = views_of(singer(posture=posture, height_m=height_m))["singer MS"]
    assert view.frame.frame_m == pytest.approx(0.9 * factor * 12 / view.distance_m)


def test_a_level_view_has_the_frames_of_the_table() -> None:
    """MS: 0.80, 0.90, 1.12 m; distance 12 m; no depth."""
    view = views_of(singer())["singer MS"]
    assert tuple(view.frame) == pytest.approx((0.90, 0.80, 1.12))
    assert (view.distance_m, view.near_m, view.far_m) == pytest.approx((12, 12, 12))
    assert view.needed_width_m == 0
    assert view.lens_at_m == (0, -10, LENS_M)


@pytest.mark.parametrize(
    ("posture", "size", "frame_m"),
    [
        ("seated", "MS", 0.90),  # a face is no smaller for sitting down
        ("child", "MS", 0.90 * 1.30 / 1.75),
        ("dancer", "MS", 0.90),
        ("seated", "FS", 2.10 * 1.30 / 1.75),
        ("dancer", "FS", 2.10 * 3.00 / 1.75),
    ],
)
def test_postures_scale_what_they_should(posture: Any, size: str, frame_m: float) -> None:
    """Sizes cut through the body by stature, from FS on by the whole figure."""
    view = views_of(singer(posture=posture))[f"singer {size}"]
    tilt = 12 / view.distance_m
    assert view.frame.frame_m == pytest.approx(frame_m * tilt)


@pytest.mark.parametrize(
    ("height_m", "flat_m", "factor"),
    [(LENS_M, 12, 1), (LENS_M + 12, 12, cos(radians(45))), (LENS_M + 12 * 3**0.5, 12, 0.5)],
    ids=["level", "45-degrees", "60-degrees"],
)
def test_a_tilted_view_foreshortens_a_person(height_m: float, flat_m: float, factor: float) -> None:
    """The frame square to the line of sight is the planned one times the cosine of the tilt."""
    view = views_of(singer(), lens_height_m=height_m)["singer MS"]
    assert view.frame.frame_m == pytest.approx(0.9 * factor)
    assert view.distance_m == pytest.approx(flat_m / factor)


def test_from_right_above_a_fifth_is_left() -> None:
    """The cosine of 90 degrees would leave no frame at all."""
    view = views_of(singer(), at_m=(0, 2), lens_height_m=9)["singer MS"]
    assert view.frame.frame_m == pytest.approx(0.9 * 0.2)


def test_whoever_roams_has_depth_and_needs_width() -> None:
    """2 m around the place at 12 m: from 10 to 14 m, and 4 m of frame."""
    view = views_of(singer(roam_m=2))["singer MS"]
    assert (view.near_m, view.far_m, view.needed_width_m) == pytest.approx((10, 14, 4))


def test_own_frames_of_a_subject_take_the_place_of_the_table() -> None:
    """A fifth less and a fifth more still carry the name."""
    view = views_of(singer(frames_m={"MS": 1.2}))["singer MS"]
    assert view.frame.most_m / view.frame.frame_m == pytest.approx(1.2)
    assert view.frame.frame_m / view.frame.least_m == pytest.approx(1.2)


def test_consent_leaves_out_the_tighter_sizes() -> None:
    """From MLS on."""
    found = views_of(singer(closest="MLS"))
    assert list(found) == ["singer MLS", "singer FS", "singer WS", "singer EWS"]


def test_a_subject_in_the_lens_has_no_view() -> None:
    """Within 10 cm."""
    found = views_of(singer(), at_m=(0, 2.05), lens_height_m=LENS_M)
    assert "singer MS" not in found
    assert "singer EWS" in found  # its aim point is 1.8 m higher


# -- objects, groups, stage, audience --------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "extent_m", "aim_m"),
    [({"height_m": 1.0}, 1.0, 0.9), ({"height_m": 1.0, "width_m": 3.2}, 1.8, 1.62)],
    ids=["tall", "wide"],
)
def test_an_object_is_framed_by_its_larger_side(
    facts: dict[str, float], extent_m: float, aim_m: float
) -> None:
    """Height, or width * 9 / 16: 3.2 * 9 / 16 = 1.8 m. MS is twice that, on 5 % of foot room.

    0.45 * 2 = 0.9 m and 0.45 * 3.6 = 1.62 m.
    """
    view = views_of(thing(**facts))["thing MS"]
    tilt = 12 / view.distance_m
    assert view.frame.frame_m == pytest.approx(2 * extent_m * tilt)
    assert view.aim_m[2] == pytest.approx(aim_m)
    assert view.needed_width_m == facts.get("width_m", 0.6)


def test_the_stage_is_framed_by_its_outline_as_seen() -> None:
    """From 10 m before it, aimed 13 m away at its middle: near corners 4 / 10 * 13 * 2 = 10.4 m.

    10.4 * 9 / 16 = 5.85 m of height; a wide shot plans 1.1 times that. No foreshortening. Foot room
    of 10 % puts the middle 0.4 * 6.435 = 2.574 m up.
    """
    view = views_of(Subject(id="stage", kind="stage"))["stage WS"]
    assert view.aim_m == pytest.approx((0, 3, 2.574))
    assert view.frame.frame_m == pytest.approx(5.85 * 1.10)
    assert view.frame.least_m == pytest.approx(5.85 * 1.02)
    rise = 2.574 - LENS_M
    assert view.near_m == pytest.approx((4**2 + 10**2 + rise**2) ** 0.5)
    assert view.far_m == pytest.approx((4**2 + 16**2 + rise**2) ** 0.5)
    assert view.needed_width_m == 0


def test_a_group_is_framed_by_its_own_outline() -> None:
    """2 m wide at 12 m, no depth: 2 * 9 / 16 = 1.125 m, so its height of 1.75 m counts."""
    row = ((-1.0, 2.0), (1.0, 2.0), (0.0, 2.0))
    view = views_of(Subject(id="row", kind="group", outline_m=row))["row WS"]
    assert view.frame.frame_m == pytest.approx(1.75 * 1.10)
    assert view.aim_m[:2] == (0, 2)


def test_the_audience_is_seen_on_the_house_floor() -> None:
    """Its outline is that of the audience, its floor the house's."""
    brief = small_brief(
        positions=(position("front", at_m=(0, 2)),),
        subjects=(Subject(id="crowd", kind="audience"),),
        stage={"outline_m": STAGE_M, "height_m": 1},
        audience=({"id": "floor", "outline_m": ((-4, -12), (4, -12), (4, -4), (-4, -4))},),
    )
    view = next(view for view in list_views(brief) if view.size == "WS")
    # 10 m away; corners 4 m off at 6 m: 4 / 6 * 10 * 2 = 13.33 m of width
    assert view.aim_m == pytest.approx((0, -8, 0.4 * 8.25))
    assert view.frame.frame_m == pytest.approx(4 / 6 * 10 * 2 * 9 / 16 * 1.10)


def test_a_stage_has_a_height() -> None:
    """Performers stand on it, unless they say otherwise."""
    brief = small_brief(
        positions=(position("front"),),
        subjects=(singer(), singer("pit", floor_height_m=-1)),
        stage={"outline_m": STAGE_M, "height_m": 1},
    )
    heights = {v.subject.id: v.aim_m[2] for v in list_views(brief) if v.size == "MS"}
    assert heights == pytest.approx({"singer": 2.363, "pit": 0.363})


# -- all views together ----------------------------------------------------------------------------


def test_views_come_by_position_subject_and_size() -> None:
    """In the order of the file."""
    keys = [view.key for view in list_views(small_brief())]
    assert len(keys) == len(set(keys)) == 3 * (8 + 3)
    assert keys[0] == ("front", "singer", "ECU")
    assert keys[8] == ("front", "stage", "MLS")
    assert [key[0] for key in keys[::11]] == ["front", "left", "right"]


def test_alike_views_are_found_by_direction_and_size() -> None:
    """From the front: MS is alike to MCU and CU, not to ECU (0.25 m) or FS (2.1 m)."""
    brief = small_brief()
    views = list_views(brief)
    same = alike_views(brief, views)
    by_key = {view.key: number for number, view in enumerate(views)}
    ms = by_key["front", "singer", "MS"]
    found = {key[2] for key, n in by_key.items() if key[:2] == ("front", "singer") and same[ms, n]}
    assert found == {"CU", "MCU", "MS", "MLS"}
    assert not same[ms, by_key["left", "singer", "MS"]]
    units, frames_m = units_and_frames(views)
    assert units[ms] == pytest.approx((0, 1, 0))
    assert frames_m[ms] == pytest.approx(0.9)
