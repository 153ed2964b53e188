"""Where points, cards and outlines lie in a picture, and what blocks a ray: sums by hand."""

from __future__ import annotations

from math import inf
from random import Random
from typing import Any

import pytest
from shapely import Polygon, box

from kitplan.plan.verify.blocks import Block, covers
from kitplan.plan.verify.pinhole import Box, Card, Pinhole, pinhole_of
from kitplan.plan.verify.plane import is_inside, stretches
from kitplan.shoot.venue import Subject
from tests.plan.staged import scene, view
from tests.small import LENS_M, singer

Point = tuple[float, float, float]
SQUARE = ((-1.0, 0.0), (1.0, 0.0), (1.0, 2.0), (-1.0, 2.0))


def front() -> Pinhole:
    """Return the camera of the level medium shot: 1.6 x 0.9 m at 12 m."""
    setting = scene()
    return pinhole_of(setting, view(setting))


@pytest.mark.parametrize(
    ("point", "wanted"),
    [
        ((0, 2, LENS_M), (0.5, 0.5)),
        ((0.4, 2, LENS_M), (0.75, 0.5)),  # a quarter of 1.6 m to house right
        ((0, 2, LENS_M + 0.225), (0.5, 0.25)),  # a quarter of 0.9 m higher
        ((0.4, 14, LENS_M), (0.625, 0.5)),  # twice as far away
        ((0, -9.94, LENS_M), (0.5, 0.5)),
        ((0, -9.96, LENS_M), None),  # 4 cm before the lens
        ((0, -12, LENS_M), None),
    ],
)
def test_where_a_point_is(point: Point, wanted: tuple[float, float] | None) -> None:
    """u counts from the left, v from the top; what is behind or too near is not seen."""
    found = front().spot(point)
    assert found == (None if wanted is None else pytest.approx(wanted))


def test_straight_down_keeps_house_right_to_the_right() -> None:
    """From above the singer upstage is up in the picture."""
    setting = scene()
    camera = pinhole_of(setting, view(setting, at_m=(0, 2), floor_height_m=8))
    assert (camera.right, camera.up) == ((1, 0, 0), (0, 1, 0))
    spot = camera.spot((0.01, 2.01, 1.4))
    assert spot is not None
    assert (spot.u > 0.5, spot.v < 0.5) == (True, True)


def test_a_tilted_camera_is_level() -> None:
    """Its right-hand axis is horizontal and its up axis leans back."""
    setting = scene()
    camera = pinhole_of(setting, view(setting, at_m=(-10, 2), floor_height_m=8))
    assert camera.right == pytest.approx((0, -1, 0))
    assert camera.up[2] == pytest.approx((1 - camera.ahead[2] ** 2) ** 0.5)


def test_the_tilt_makes_the_frame_lower() -> None:
    """At 45 degrees a medium shot is 0.9 / sqrt(2) m high square to the axis."""
    setting = scene()
    camera = pinhole_of(setting, view(setting, floor_height_m=12))
    assert camera.tall == pytest.approx(0.9 * 0.5**0.5 / (12 * 2**0.5))


# -- aim -------------------------------------------------------------------------------------------

HARP = Subject(id="harp", kind="object", at_m=(0, 2), height_m=1.0)
AIMS: dict[str, tuple[Subject, str, float]] = {
    # head room over the stature, less half a frame
    "medium": (singer(), "MS", 1.75 + 0.07 * 0.9 - 0.45),
    "cut brow": (singer(), "ECU", 1.75 - 0.05 * 0.25 - 0.125),
    # who raises the arms has the hands in the frame only where the whole figure shows: there
    # 3 + 0.09 * 3.6 - 1.8 m would leave less room at the feet than 0.05 of 2.1 * 3 / 1.75 = 3.6 m
    "dancer's face": (singer(posture="dancer"), "CU", 1.75 + 0.04 * 0.5 - 0.25),
    "dancer": (singer(posture="dancer"), "FS", 0.45 * 3.6),
    "dancer in a tight frame": (
        singer(posture="dancer", frames_m={"FS": 3.2}),
        "FS",
        3.0 + 0.09 * 3.2 - 1.6,
    ),
    # 0.09 * 4 - 2 m over the head would show the ground under the feet: foot room of 0.1 decides
    "wide": (singer(), "WS", 0.4 * 4.0),
    # a seated face is as large as any and 1.3 m high: 1.3 + 0.04 * 0.5 - 0.25
    "seated": (singer(posture="seated"), "CU", 1.07),
    "object": (HARP, "ECU", 1.0 - 0.05 * 0.6 - 0.3),
    "object from afar": (HARP, "MS", 0.45 * 2.0),
    "on a riser": (singer(floor_height_m=0.5), "MS", 0.5 + LENS_M),
}


@pytest.mark.parametrize("name", AIMS)
def test_the_aim_leaves_head_and_foot_room(name: str) -> None:
    """Head room over what has it, and never the feet cut off from below."""
    subject, size, wanted = AIMS[name]
    setting = scene(subjects=(subject,))
    assert view(setting, subject, size).aim[2] == pytest.approx(wanted)


# -- cards -----------------------------------------------------------------------------------------


def test_the_box_of_a_card() -> None:
    """Half way to the singer the frame is 0.8 x 0.45 m; a card of 0.2 x 0.225 m over the middle."""
    card = Card((0, -4), LENS_M, LENS_M + 0.225, 0.2)
    assert front().box(card) == pytest.approx((0.375, 0.0, 0.625, 0.5))


def test_a_card_is_turned_to_the_lens() -> None:
    """Beside the axis its sides lie square to the ray, so that one is nearer than the other."""
    left, right = (front().box(Card((x, -4), 1.3, 1.4, 0.2)) for x in (-0.2, 0.2))
    assert left is not None
    assert right is not None
    assert left.left == pytest.approx(1 - right.right)
    (x1, y1, _), _, (x2, y2, _), _ = Card((3, -6), 0, 1, 1).corners((0, -10, 1))
    assert ((x2 - x1) * 3 + (y2 - y1) * 4) == pytest.approx(0)


def test_over_or_under_the_lens_a_card_lies_along_x() -> None:
    """There is no horizontal ray to turn to."""
    assert Card((0, -10), 0, 1, 0.5).corners((0, -10, 5))[0] == (-0.25, -10, 0)


@pytest.mark.parametrize(
    "card",
    [
        Card((0.9, 2), 1.0, 2.0, 0.1),  # right of the frame
        Card((0, 2), 2.0, 3.0, 0.5),  # above it
        Card((0, -12), 0.0, 2.0, 0.5),  # behind the lens
        Card((0, -10), 1.0, 2.0, 0.5),  # in the lens
    ],
)
def test_a_card_that_is_not_in_the_picture(card: Card) -> None:
    """One corner that is not seen is enough."""
    assert front().box(card) is None


def test_a_box_ends_at_the_frame() -> None:
    """A wall before the singer fills it."""
    assert front().box(Card((0, -4), 0, 3, 9)) == Box(0, 0, 1, 1)


# -- areas -----------------------------------------------------------------------------------------


def shown(camera: Pinhole, points: list[Point]) -> float:
    """Return the share of the frame that an outline takes."""
    return camera.share(camera.cut(points))


def test_the_area_of_a_square() -> None:
    """At the singer 0.4 x 0.3 m of 1.6 x 0.9 m, and half of that where the frame cuts it."""
    square = [(0.0, 2.0, 1.3), (0.4, 2.0, 1.3), (0.4, 2.0, 1.6), (0.0, 2.0, 1.6)]
    assert shown(front(), square) == pytest.approx(0.4 * 0.3 / (1.6 * 0.9))
    beside = [(x + 0.6, y, z) for x, y, z in square]
    assert shown(front(), beside) == pytest.approx(0.2 * 0.3 / (1.6 * 0.9))


def test_a_floor_that_runs_under_the_camera() -> None:
    """An endless floor 0.9 m under a level lens fills the frame up to its horizon, the middle."""
    wide = [
        (-500.0, -500.0, 0.463),
        (500.0, -500.0, 0.463),
        (500.0, 500.0, 0.463),
        (-500.0, 500.0, 0.463),
    ]
    assert shown(front(), wide) == pytest.approx(0.5 - 0.9 / 510 * 12 / 0.9, rel=1e-6)


@pytest.mark.parametrize("seed", range(20))
def test_areas_agree_with_plane_geometry(seed: int) -> None:
    """Upright stars at the singer's distance, cut by another library in the plane of the frame."""
    chance = Random(seed)
    star = [
        (r * x, r * z)
        for x, z in (
            (1, 0),
            (0.7, 0.7),
            (0, 1),
            (-0.7, 0.7),
            (-1, 0),
            (-0.7, -0.7),
            (0, -1),
            (0.7, -0.7),
        )
        for r in [chance.uniform(0.1, 1.5)]
    ]
    frame = box(-0.8, -0.45, 0.8, 0.45)
    wanted = Polygon(star).intersection(frame).area / frame.area
    assert shown(front(), [(x, 2.0, LENS_M + z) for x, z in star]) == pytest.approx(wanted)


# -- outlines --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("at", "wanted"), [((0, 1), True), ((1, 1), False), ((1, 2), False), ((1.1, 1), False)]
)
def test_inside_is_not_on_the_edge(at: tuple[float, float], wanted: bool) -> None:
    """Corners and edges are outside."""
    assert is_inside(SQUARE, at) is wanted


def test_where_a_line_runs_through_an_outline() -> None:
    """Through a U it is inside twice; along an edge never."""
    horseshoe = (
        (0.0, 0.0),
        (6.0, 0.0),
        (6.0, 4.0),
        (4.0, 4.0),
        (4.0, 2.0),
        (2.0, 2.0),
        (2.0, 4.0),
        (0.0, 4.0),
    )
    assert list(stretches((-2, 3), (8, 3), horseshoe)) == [
        pytest.approx((0.2, 0.4)),
        pytest.approx((0.6, 0.8)),
    ]
    assert list(stretches((-2, 0), (8, 0), horseshoe)) == []
    assert list(stretches((1, 1), (1, 1), horseshoe)) == [(0, 1)]


# -- blocks ----------------------------------------------------------------------------------------

BLOCKS: dict[str, tuple[dict[str, Any], Point, Point, bool]] = {
    "through": ({}, (0, -2, 0.5), (0, 4, 0.5), True),
    "over": ({}, (0, -2, 1.5), (0, 4, 1.5), False),
    "along the top": ({}, (0, -2, 1.0), (0, 4, 1.0), False),
    "just under the top": ({}, (0, -2, 0.9999), (0, 4, 0.9999), True),
    "beside": ({}, (3, -2, 0.5), (3, 4, 0.5), False),
    "along the side": ({}, (1, -2, 0.5), (1, 4, 0.5), False),
    "ends before it": ({}, (0, -2, 0.5), (0, -0.5, 0.5), False),
    "ends in it": ({}, (0, -2, 0.5), (0, 1, 0.5), True),
    "from inside": ({}, (0, 1, 0.5), (0, 4, 0.5), True),
    "dips in at the far end": ({}, (0, -2, 1.6), (0, 4, 0.6), True),  # 0.93 m high at y = 2
    "stays above to the far end": ({}, (0, -2, 1.6), (0, 4, 0.8), False),  # 1.07 m there
    "under what hangs": ({"bottom": 0.6}, (0, -2, 0.5), (0, 4, 0.5), False),
    "through what hangs, from under it to over it": (
        {"bottom": 0.6},
        (0, -1, -0.5),
        (0, 3, 2.0),
        True,
    ),
    "no bottom": ({"bottom": -inf}, (0, -2, -9.0), (0, 4, -9.0), True),
    "straight down": ({}, (0, 1, 3.0), (0, 1, 0.5), True),
    "straight down beside": ({}, (2, 1, 3.0), (2, 1, 0.5), False),
    # 1 m high at y = 2, 2 m at y = 0
    "under the back of a rake": ({"rise": 0.5}, (0, -2, 1.5), (0, 4, 1.5), True),
    "over the front of a rake": ({"rise": 0.5}, (-3, 1.9, 1.2), (3, 1.9, 1.2), False),
}


@pytest.mark.parametrize("name", BLOCKS)
def test_blocks_by_hand(name: str) -> None:
    """A block of 2 x 2 m and 1 m high, changed as the case says."""
    facts, eye, point, wanted = BLOCKS[name]
    block = Block(**{"outline": SQUARE, "bottom": 0.0, "top": 1.0, **facts})
    assert block.is_in_the_way(eye, point) is wanted


CARDS: dict[str, tuple[Point, Point, bool]] = {
    "through the middle": ((0, -4, 1), (0, 4, 1), True),
    "within half the width": ((0.2, -4, 1), (0.2, 4, 1), True),
    "at half the width": ((0.25, -4, 1), (0.25, 4, 1), True),
    "beyond half the width": ((0.26, -4, 1), (0.26, 4, 1), False),
    "over it": ((0, -4, 2.5), (0, 4, 2.5), False),
    "over its line only": ((0, -4, 4), (0, 4, 0), False),  # 2 m there
    "under its line": ((0, -4, 2), (0, 4, 1), True),
    "behind the point": ((0, -4, 1), (0, -1, 1), False),
    "behind the lens": ((0, 1, 1), (0, 4, 1), False),
    "straight down": ((0, 0, 4), (0, 0, 1), False),
}


@pytest.mark.parametrize("name", CARDS)
def test_cards_by_hand(name: str) -> None:
    """A card of 0.5 m, from the floor to 1.8 m, stands at the origin."""
    eye, point, wanted = CARDS[name]
    assert covers(Card((0, 0), 0.0, 1.8, 0.5), eye, point) is wanted


def test_who_stands_where_the_point_is_covers_it_from_nowhere() -> None:
    """Somebody in the very middle of a group; with rounding they may be a hair before the point."""
    at = (2.6, 5.7)
    for lens in range(-90, 91, 3):
        assert not covers(Card(at, 0.0, 2.0, 0.5), (lens / 10, -5.6, 1), (*at, 1))
