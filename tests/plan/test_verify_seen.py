"""How much of its target a view sees, and what follows: points and shares counted by hand.

The medium shot of the singer looks at three columns, 0 and 0.15 m to either side, at eight heights
0.1046 m apart: 0.965, 1.070, 1.175, 1.279 ... 1.698 m.
"""

from __future__ import annotations

from math import radians, tan
from typing import Any

import pytest

from kitplan.plan.verify import Scene, does, marks_of, setup_faults
from kitplan.plan.verify.blocks import heads
from kitplan.plan.verify.seen import Hidden, hidden_in, target_of
from kitplan.shoot.venue import Subject
from tests.plan.staged import FRONT, pillar, rules_of, scene, seats, setup, view
from tests.small import LENS_M, position, role, run, show, singer

STAGE = Subject(id="stage", kind="stage")


def wall(height_m: float, west: float = -1.0) -> dict[str, Any]:
    """Return a thin wall half way to the singer."""
    corners = ((west, -4.0), (1.0, -4.0), (1.0, -3.9), (west, -3.9))
    return {"id": "wall", "outline_m": corners, "height_m": height_m}


def hidden(setting: Scene, subject: Subject | None = None, size: str = "MS", **at: Any) -> float:
    """Return the share that is hidden in the show."""
    return hidden_in(setting, show(), view(setting, subject, size, **at)).share


# -- points ----------------------------------------------------------------------------------------


def test_points_of_a_person() -> None:
    """Up to the head, and down to where the frame ends."""
    setting = scene()
    points = target_of(setting, view(setting)).points
    assert len(points) == 24
    assert {round(x, 6) for x, _, _ in points} == {-0.15, 0.0, 0.15}
    low, high = LENS_M - 0.45, 1.75
    heights = sorted({z for _, _, z in points})
    assert heights == pytest.approx([low + (row + 0.5) / 8 * (high - low) for row in range(8)])


def test_points_of_a_dancer_end_at_the_stature() -> None:
    """Raised arms may be hidden: the whole figure is 3 m, the points end at 1.75 m."""
    dancer = singer(posture="dancer")
    setting = scene(subjects=(dancer,))
    points = target_of(setting, view(setting, dancer, "WS")).points
    assert max(z for _, _, z in points) == pytest.approx(7.5 / 8 * 1.75)


def test_points_of_a_wide_target_are_those_in_the_frame() -> None:
    """A quarter of 4 m to either side is not: the frame is 1.6 m wide."""
    drummer = singer(width_m=4)
    setting = scene(subjects=(drummer,))
    assert {x for x, _, _ in target_of(setting, view(setting, drummer)).points} == {0.0}


def test_points_of_a_frame_over_the_head() -> None:
    """A frame that ends over the stature: low and high change places, whatever that shows."""
    dancer = singer(posture="dancer", frames_m={"FS": 1.0})
    setting = scene(subjects=(dancer,))
    # the middle is 3 + 0.09 - 0.5 = 2.59 m high, the frame from 2.09 m; the head is at 1.75 m
    points = target_of(setting, view(setting, dancer, "FS")).points
    assert min(z for _, _, z in points) == pytest.approx(1.75 + 0.34 / 16)


CORNER = ((0.0, 0.0), (10.0, 0.0), (10.0, 2.0), (4.0, 2.0), (4.0, 6.0), (0.0, 6.0))
ANGLE = ((0.0, 0.0), (10.0, 0.0), (10.0, 6.0), (9.9, 6.0), (9.9, 0.1), (0.0, 0.1))
GROUPS: dict[str, tuple[dict[str, Any], str, int]] = {
    "whole": ({"outline_m": ((-2.0, 3.0), (2.0, 3.0), (2.0, 5.0), (-2.0, 5.0))}, "WS", 45),
    # 1 m deep all five, 3 and 5 m deep the two at 1 and 3 m
    "in an L": ({"outline_m": CORNER}, "EWS", 27),
    "nothing inside but the middle": ({"outline_m": ANGLE}, "EWS", 3),
    "without an outline": ({"at_m": (0, 2), "width_m": 4}, "WS", 15),
    # a frame of 0.55 * 4 * 9 / 16 = 1.24 m is 2.2 m wide: of five columns at 0, 0.8 and 1.6 m to
    # either side the inner three are in it; from 0.62 m up it shows two heights of three
    "in part": ({"at_m": (0, 2), "width_m": 4}, "MLS", 6),
}


@pytest.mark.parametrize("name", GROUPS)
def test_points_of_groups(name: str) -> None:
    """Places strictly inside the outline at three heights, those in the frame."""
    facts, size, count = GROUPS[name]
    group = Subject(id="choir", kind="group", **facts)
    setting = scene(subjects=(group,))
    assert len(target_of(setting, view(setting, group, size)).points) == count


# -- blocks ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("height_m", "share", "mark"),
    [
        (1.15, 0.0, 3),  # the ray to the lowest row is 1.164 m high there, to the next ones
        (1.20, 3 / 24, 1),  # 1.217
        (1.25, 6 / 24, 1),  # and 1.269 m
        (1.30, 9 / 24, 0),
    ],
    ids=["over it", "one row", "two rows, at the limit", "three rows"],
)
def test_a_wall_hides_rows(height_m: float, share: float, mark: int) -> None:
    """Up to a quarter of the singer may be hidden."""
    setting = scene(obstacles=[wall(height_m)])
    assert hidden(setting) == pytest.approx(share)
    marks = marks_of(setting, setup())
    assert marks is not None
    assert marks.sight == mark
    for who in ("ann", None):
        assert ("hidden" in rules_of(setup_faults(setting, setup(who=who)))) is (mark == 0)


def test_one_point_of_24_costs_one_mark() -> None:
    """0.04 is above 0.02 and not above 0.1: a wall before the right column, one row high."""
    setting = scene(obstacles=[wall(1.2, west=0.05)])
    marks = marks_of(setting, setup())
    assert marks is not None
    assert hidden(setting) == pytest.approx(1 / 24)
    assert (marks.sight, marks.grade) == (2, 2)


def test_limits_are_inclusive() -> None:
    """What is hidden up to the rule keeps its mark."""
    for limit, mark in ((1 / 24, 3), (0.9999 / 24, 2)):
        setting = scene(obstacles=[wall(1.2, west=0.05)], rules={"hidden_full": limit})
        marks = marks_of(setting, setup())
        assert marks is not None
        assert marks.sight == mark


def test_a_pillar_hides_a_column() -> None:
    """Half way its 0.05 to 0.25 m are in the way of the column at 0.15 m only."""
    assert hidden(scene(obstacles=[pillar(0.15, -4)])) == pytest.approx(1 / 3)
    assert hidden(scene(obstacles=[pillar(0.15, -4, base_m=1.5)])) < 1 / 3
    assert hidden(scene(obstacles=[pillar(0.15, 5)])) == 0


def test_the_edge_of_the_stage_hides_feet() -> None:
    """From the pit, 1 m before and 0.4 m under the edge of a stage of 1 m, no leg is seen.

    Rays pass the edge, a third of the way to the singer, at 0.6 + (z - 0.6) / 3: under 1 m where z
    is under 1.8 m; the frame shows him from 1 to 2.75 m.
    """
    setting = scene(stage={"height_m": 1.0})
    found = hidden(setting, size="FS", at_m=(0, -1), lens_height_m=0.6)
    # eight rows of 1.75 / 8 m from 1 m on: the middles up to 1.766 m are the lowest four
    assert found == pytest.approx(4 / 8)


# -- heads -----------------------------------------------------------------------------------------

HEADS: dict[str, tuple[dict[str, Any], dict[str, Any], float]] = {
    # at y = -2, two thirds of the way, a ray to height z is 1.363 + (z - 1.363) * 2 / 3 high: under
    # 1.3 m for z under 1.269, three rows
    "seated": ({}, {}, 9 / 24),
    "lower heads": ({}, {"heads_seated_m": 1.2}, 6 / 24),
    "on a floor below": ({"height_m": -0.5}, {}, 0.0),
    "standing": ({"state": "standing"}, {}, 1.0),
    "nobody there": ({"empty_in": ("show",)}, {}, 0.0),
}


@pytest.mark.parametrize("name", HEADS)
def test_heads_hide_rows(name: str) -> None:
    """Seated heads are 1.3 m over their floor, standing ones 1.8 m."""
    facts, rules, share = HEADS[name]
    assert hidden(scene(audience=[seats(-8, -2, **facts)], rules=rules)) == pytest.approx(share)


def test_without_an_audience_there_are_no_heads() -> None:
    """The same area is empty in a closed run."""
    setting = scene(audience=[seats(-8, -2)], passes=(run(), show()))
    assert hidden_in(setting, run(), view(setting)) == Hidden(0, 0)


def test_a_rake_rises_away_from_the_stage() -> None:
    """From its largest y, 10 degrees up over 6 m."""
    (block,) = heads(scene(audience=[seats(-8, -2, rake_deg=10)]), show())
    assert block.top_at(-2) == pytest.approx(1.3)
    assert block.top_at(-8) == pytest.approx(1.3 + 6 * tan(radians(10)))


@pytest.mark.parametrize(
    ("standing_m", "share", "mark"),
    [(1.0, 0.0, 2), (1.13, 3 / 24, 1)],
    ids=["full", "the last one"],
)
def test_raised_arms_cost_a_mark_but_the_last(standing_m: float, share: float, mark: int) -> None:
    """With arms at 1.3 m three rows are hidden, more than a quarter; nobody refuses that."""
    setting = scene(
        audience=[seats(-8, -2, state="standing")],
        rules={"heads_standing_m": standing_m, "heads_arms_up_m": 1.3},
    )
    found = hidden_in(setting, show(), view(setting))
    assert (found.share, found.with_arms_up) == pytest.approx((share, 9 / 24))
    marks = marks_of(setting, setup())
    assert marks is not None
    assert marks.sight == mark
    assert "hidden" not in rules_of(setup_faults(setting, setup()))


def test_the_audience_is_not_hidden_by_its_own_heads() -> None:
    """But the stage is: from the back of the stalls nothing is seen of it."""
    crowd = Subject(id="crowd", kind="audience", at_m=(0, -4), width_m=4)
    setting = scene(audience=[seats(-8, -2, state="standing")], subjects=(singer(), STAGE, crowd))
    assert hidden(setting, crowd, "WS") == 0
    assert hidden(setting, STAGE, "WS") == 1


# -- other performers ------------------------------------------------------------------------------


def other(kind: str = "person", **facts: Any) -> Subject:
    """Return somebody 2 m before the singer, in the way from the front."""
    return Subject(**{"id": "other", "kind": kind, "at_m": (0, 0), **facts})


SMALL = ((-0.3, -0.3), (0.3, -0.3), (0.3, 0.3), (-0.3, 0.3))
LARGE = ((-3.0, -0.3), (3.0, -0.3), (3.0, 4.0), (-3.0, 4.0))
AROUND_LENS = ((-3.0, -11.0), (3.0, -11.0), (3.0, 0.3), (-3.0, 0.3))
PERFORMERS: dict[str, tuple[Subject, float]] = {
    "stands in the way": (other(), 1.0),
    "roams a little": (other(roam_m=0.5), 1.0),
    "roams": (other(roam_m=0.51), 0.0),
    "part of the singer": (other(part_of="singer"), 0.0),
    # five sixths of the way a ray to 1.279 m is 1.293 m high, one to 1.384 m is 1.380 m
    "seated": (other(posture="seated"), 4 / 8),
    "a dancer is as high as anybody": (other(posture="dancer"), 1.0),
    "thin": (other(width_m=0.1), 1 / 3),
    "wide as a person": (other(width_m=2, at_m=(0.36, 0)), 1 / 3),  # from 0.11 m on
    "wide as an object": (other("object", width_m=2, height_m=2, at_m=(0.6, 0)), 1.0),
    "behind": (other(at_m=(0, 4)), 0.0),
    "a group as a block": (other("group", outline_m=SMALL), 1.0),
    "a group without an outline": (other("group", width_m=4), 0.0),
    "a group around the singer": (other("group", outline_m=LARGE), 0.0),
    "a group around the lens": (other("group", outline_m=AROUND_LENS), 0.0),
    "the stage": (other("stage"), 0.0),
}


@pytest.mark.parametrize("name", PERFORMERS)
def test_who_hides_the_singer(name: str) -> None:
    """Persons and objects as cards, groups as blocks, but for those it makes no sense for."""
    hider, share = PERFORMERS[name]
    assert hidden(scene(subjects=(singer(), hider))) == pytest.approx(share)


def test_parts_of_one_whole_hide_each_other() -> None:
    """The whole hides neither of its parts, at any depth."""
    trio = other("group", outline_m=SMALL, id="trio", part_of="band")
    band = other("group", outline_m=SMALL, id="band")
    member = singer(part_of="trio")
    assert hidden(scene(subjects=(member, trio, band)), member) == 0
    assert hidden(scene(subjects=(member, trio, band, other(part_of="trio"))), member) == 1


def test_performers_do_not_hide_the_stage() -> None:
    """What is on it is what it is looked at for."""
    everyone = (singer(), STAGE, other("object", width_m=9, height_m=4))
    assert hidden(scene(subjects=everyone), STAGE, "WS") == 0


# -- safety ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("heads_m", "is_clear"), [(1.2, True), (1.25, False)], ids=["under the rays", "in a ray"]
)
def test_a_safety_shot_looks_over_the_heads(heads_m: float, is_clear: bool) -> None:
    """The seats end 4.7 m before the lens; there the ray to 1.05 m, 0.6 of the singer's height, is
    1.363 - 0.313 * 4.7 / 12 = 1.2404 m high.
    """
    wide = role("safety", subject="stage", sizes=("WS",), is_safety=True, passes=("show",))
    setting = scene(
        audience=[seats(-8, -5.3)],
        rules={"heads_seated_m": heads_m},
        roles=(wide,),
        passes=(show(needs_safety=True),),
    )
    one = setup(subject=STAGE, size="WS", each=show(needs_safety=True))
    assert does(setting, one, wide) is is_clear


def test_a_safety_shot_of_an_empty_stage_looks_over_the_heads_too() -> None:
    """Where no person or group is listed the points of the stage count, seen from a gallery."""
    wide = role("safety", subject="stage", sizes=("WS",), is_safety=True, passes=("show",))
    facts: dict[str, Any] = {"roles": (wide,), "passes": (show(needs_safety=True),)}
    setting = scene(audience=[seats(-8, -5.3)], subjects=(STAGE,), **facts)
    high = position("gallery", floor_height_m=4)
    for place, is_clear in ((FRONT, False), (high, True)):
        one = setup(place, subject=STAGE, size="WS", each=show(needs_safety=True))
        assert does(setting, one, wide) is is_clear
