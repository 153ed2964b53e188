"""The pinhole camera: corners and boxes of cards, shares of the frame, by hand and by counting.

The camera of most sums stands at (0, -10, 2), looks level upstage and sees 4 m of height and 8 m of
width 10 m away: half of its frame is 0.2 m high and 0.4 m wide at 1 m.
"""

from __future__ import annotations

from math import atan, cos, degrees, pi, radians, sin, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.typing import NDArray

from kitplan.stage.frame import (
    NEAR_M,
    Pinhole,
    card_boxes,
    card_corners,
    pinhole,
    project,
    share_of_frame,
    taken_by,
)

Floats = NDArray[np.float64]
Place = tuple[float, float, float]
VIEW_DEG = 2 * degrees(atan(0.2))


def camera(
    place: Place = (0, -10, 2),
    aim: Place = (0, 0, 2),
    view_deg: float = VIEW_DEG,
    aspect: float = 2,
) -> Pinhole:
    """Return one camera; by default the one of the sums."""
    return pinhole(np.array([place]), np.array([aim]), np.array([view_deg]), aspect)


def wall(*corners: tuple[float, float], y: float = 0.0) -> Floats:
    """Return an upright outline square to the camera, from its corners (x, z)."""
    return np.array([(x, y, z) for x, z in corners], dtype=np.float64)


def floor(*corners: tuple[float, float]) -> Floats:
    """Return an outline on the house floor."""
    return np.array([(x, y, 0) for x, y in corners], dtype=np.float64)


# -- cards -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "side"),
    [
        ((0, -10, 2), (0.5, 0)),  # from the front: across
        ((-10, 0, 2), (0, -0.5)),  # from the left: front to back
        ((-10, -10, 2), (0.5 / sqrt(2), -0.5 / sqrt(2))),  # from between: between
        ((0, -10, 9), (0.5, 0)),  # from above it still stands upright
        ((0, 0, 9), (0.5, 0)),  # from straight above: across
        ((0, -1e-10, 9), (0.5, 0)),
    ],
    ids=["front", "left", "between", "above", "straight-above", "nearly-straight-above"],
)
def test_a_card_turns_to_its_lens_and_stands_upright(
    place: Place, side: tuple[float, float]
) -> None:
    """A card of 1 m: half of it to either side, square to the horizontal ray."""
    found = card_corners(camera(place, (0, 0.1, 2)), np.array([[0.0, 0, 0, 1.9, 1.0]]))[0]
    expected = {(s * side[0], s * side[1], z) for s in (1, -1) for z in (0, 1.9)}
    assert {tuple(np.round(corner, 9)) for corner in found} == {
        tuple(np.round(corner, 9)) for corner in expected
    }


@pytest.mark.parametrize(
    ("card", "box"),
    [
        # 10 m away the frame is 8 m wide and 4 m high about (0, 2)
        ((0, 0, 1, 3, 1), (7 / 16, 0.25, 9 / 16, 0.75)),
        # 5 m away it is half of that: everything twice as large
        ((0, -5, 1, 3, 1), (3 / 8, 0, 5 / 8, 1)),
        # a head over the upper edge is cut there
        ((0, 0, 3, 5, 1), (7 / 16, 0, 9 / 16, 0.25)),
    ],
    ids=["whole", "nearer", "cut-above"],
)
def test_the_box_of_a_card_by_hand(card: tuple[float, ...], box: tuple[float, ...]) -> None:
    """Least u, least v, most u, most v."""
    found = card_boxes(camera(), np.array([card], dtype=np.float64))
    assert found[0] == pytest.approx(box)


def test_a_card_beside_the_frame_has_a_box_without_width() -> None:
    """A card at x = 5 m is a metre beside the frame's edge at 4 m; one at 4.2 m reaches into it."""
    cards = np.array([[5.0, 0, 1, 3, 1.0], [4.2, 0, 1, 3, 1.0]])
    cameras = pinhole(
        np.array([(0, -10, 2)] * 2), np.array([(0, 0, 2)] * 2), np.array([VIEW_DEG] * 2), 2
    )
    outside, inside = card_boxes(cameras, cards)
    assert outside[0] == outside[2] == 1
    assert inside[0] < inside[2] == 1


@pytest.mark.parametrize(
    ("ahead_m", "is_seen"), [(0.051, True), (0.049, False), (-3, False)], ids=str
)
def test_a_card_closer_than_5_cm_is_not_seen(ahead_m: float, is_seen: bool) -> None:
    """Nor one behind the lens: its corners have no picture."""
    box = card_boxes(camera(), np.array([[0.0, -10 + ahead_m, 1, 3, 0.01]]))[0]
    assert np.isfinite(box).all() == is_seen


def test_a_card_with_one_corner_behind_the_lens_is_not_in_the_picture() -> None:
    """Right under a lens that looks down the foot is ahead and the top is behind."""
    down = camera((0, -10, 2), (0, -9, 0))
    box = card_boxes(down, np.array([[0.0, -10.5, 0, 1.9, 0.5]]))[0]
    assert np.isnan(box).all()


def test_a_tilted_camera_sees_a_card_lean() -> None:
    """45 degrees down from 10 m of height: the top of a card is nearer and further from the middle.

    The lens is at (0, -10, 10), the card at the aim point (0, 0, 0), 2 m high and 1 m wide. Axis
    (0, 1, -1) / sqrt 2: the foot is sqrt 200 = 14.14 m ahead, the top 18 / sqrt 2 = 12.73 m, and
    2 / sqrt 2 = 1.414 m above the axis. Half the frame is 0.2 of that in height, 0.4 in width.
    """
    box = card_boxes(camera((0, -10, 10), (0, 0, 0)), np.array([[0.0, 0, 0, 2, 1]]))[0]
    half_width = 0.5 / (18 / sqrt(2)) / 0.8
    top = 0.5 - sqrt(2) / (18 / sqrt(2)) / 0.4
    assert box == pytest.approx((0.5 - half_width, top, 0.5 + half_width, 0.5))


# -- shares of the frame ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("outline", "share"),
    [
        # 4 of 8 m and 2 of 4 m
        (wall((-2, 1), (2, 1), (2, 3), (-2, 3)), 1 / 4),
        # 2 of its 4 m lie inside the frame
        (wall((2, 1), (6, 1), (6, 3), (2, 3)), 1 / 8),
        # larger than the frame
        (wall((-9, -9), (9, -9), (9, 9), (-9, 9)), 1),
        # beside it
        (wall((5, 1), (6, 1), (6, 3), (5, 3)), 0),
        # an L: 4 x 2 less 2 x 1 m are 6 of 32 square metres
        (wall((-2, 1), (2, 1), (2, 2), (0, 2), (0, 3), (-2, 3)), 6 / 32),
        # a U whose back lies outside: two prongs of 1 x 0.5 m are in the frame
        (
            wall((3, 1), (6, 1), (6, 3), (3, 3), (3, 2.5), (5, 2.5), (5, 1.5), (3, 1.5)),
            2 * 0.5 / 32,
        ),
    ],
    ids=["inside", "half-outside", "all-of-it", "outside", "L", "two-prongs"],
)
def test_the_share_of_an_outline_by_hand(outline: Floats, share: float) -> None:
    """The frame is 8 x 4 m = 32 square metres there."""
    assert share_of_frame(camera(), outline) == pytest.approx(share)
    assert share_of_frame(camera(), outline[::-1]) == pytest.approx(share)


def test_a_floor_that_goes_on_behind_the_lens_is_cut_at_the_frame() -> None:
    """From 20 m behind to 20 m before the lens, 2 m under it.

    The lower edge of the frame meets the floor 2 / 0.2 = 10 m away; 20 m away it is seen half of
    the way up to the middle: a quarter of the frame.
    """
    taken = taken_by(camera(), floor((-100, -30), (100, -30), (100, 10), (-100, 10)))
    assert taken.share[0] == pytest.approx(0.25)
    assert (taken.near_m[0], taken.far_m[0]) == pytest.approx((10, 20))


def test_a_wall_that_passes_the_lens_is_cut_at_the_frame() -> None:
    """A wall 1 m to the right, from 10 m behind to 10 m before the lens, 2 m up and down from it.

    The right edge of the frame meets it 1 / 0.4 = 2.5 m away; 10 m away it stands 1 m off the
    middle of a half frame of 4 m: from 5/8 to 8/8 of the width, over the whole height.
    """
    taken = taken_by(camera(), np.array([(1, -20, 0), (1, 0, 0), (1, 0, 4), (1, -20, 4.0)]))
    assert taken.share[0] == pytest.approx(3 / 8)
    assert (taken.near_m[0], taken.far_m[0]) == pytest.approx((2.5, 10))


def test_what_lies_in_the_lens_is_cut_at_the_near_plane() -> None:
    """A shelf 1 mm under the lens: nothing of it nearer than 5 cm counts."""
    taken = taken_by(camera(), np.array([(-1, -11, 1.999), (1, -11, 1.999), (0, 0, 1.999)]))
    assert taken.near_m[0] == pytest.approx(NEAR_M)


@pytest.mark.parametrize(
    "outline",
    [floor((-1, -12), (1, -12), (0, -11)), wall((50, 1), (51, 1), (51, 3), (50, 3))],
    ids=["behind", "beside"],
)
def test_what_is_not_seen_has_no_depth(outline: Floats) -> None:
    """No share, and a depth that is not a number."""
    taken = taken_by(camera(), outline)
    assert taken.share[0] == 0
    assert np.isnan(taken.near_m[0])
    assert np.isnan(taken.far_m[0])


# -- properties ------------------------------------------------------------------------------------

metres = st.floats(-15, 15)
heights = st.floats(0.2, 8)
lenses = st.tuples(metres, metres, heights)
views = st.floats(3, 100)
radii = st.lists(st.floats(1, 12), min_size=3, max_size=9)


def star(middle: tuple[float, float], reach_m: list[float], rake: float) -> Floats:
    """Return a star-shaped outline, mostly concave, on a floor that rises upstage."""
    turns = np.arange(len(reach_m)) * 2 * pi / len(reach_m)
    x = middle[0] + np.array(reach_m) * np.cos(turns)
    y = middle[1] + np.array(reach_m) * np.sin(turns)
    return np.stack([x, y, rake * y], axis=1)


def turned(points: Floats, deg: float, by_m: Place = (0, 0, 0)) -> Floats:
    """Return points turned about z and then moved."""
    c, s = cos(radians(deg)), sin(radians(deg))
    found: Floats = points @ np.array([(c, s, 0), (-s, c, 0), (0, 0, 1)]) + by_m
    return found


@given(lenses, lenses, views, st.tuples(metres, metres), radii, st.floats(-0.4, 0.4))
def test_a_share_lies_between_nothing_and_everything(
    place: Place,
    aim: Place,
    view_deg: float,
    middle: tuple[float, float],
    reach_m: list[float],
    rake: float,
) -> None:
    """And its depths between the near plane and its farthest corner."""
    assume(np.linalg.norm(np.subtract(place, aim)) > 0.1)
    outline = star(middle, reach_m, rake)
    taken = taken_by(camera(place, aim, view_deg), outline)
    assert 0 <= taken.share[0] <= 1 + 1e-9
    if taken.share[0] > 1e-9:
        farthest = np.linalg.norm(outline - np.array(place), axis=1).max()
        assert NEAR_M - 1e-9 <= taken.near_m[0] <= taken.far_m[0] <= farthest + 1e-9


@given(
    lenses,
    lenses,
    views,
    st.tuples(metres, metres),
    radii,
    st.floats(-0.4, 0.4),
    st.floats(0, 360),
    lenses,
)
def test_a_mirrored_or_turned_venue_looks_the_same(
    place: Place,
    aim: Place,
    view_deg: float,
    middle: tuple[float, float],
    reach_m: list[float],
    rake: float,
    deg: float,
    by_m: Place,
) -> None:
    """x to -x, or a turn about z and a shift: the same share, depths and (mirrored) boxes."""
    assume(np.hypot(place[0] - aim[0], place[1] - aim[1]) > 0.1)  # straight up and down, and
    assume(np.hypot(place[0] - middle[0], place[1] - middle[1]) > 0.1)  # cards under the lens,
    # keep to the axes of the venue
    outline, mirror = star(middle, reach_m, rake), np.array([-1.0, 1, 1])
    ends = np.array([place, aim])
    cards = np.array([[*middle, 0.1, 2.0, 0.5]])
    known, box = _seen(ends, view_deg, outline, cards)
    other, other_box = _seen(ends * mirror, view_deg, outline * mirror, cards * [-1, 1, 1, 1, 1])
    assert other == pytest.approx(known, abs=1e-7, nan_ok=True)
    assert other_box == pytest.approx(
        np.array([1 - box[2], box[1], 1 - box[0], box[3]]), abs=1e-6, nan_ok=True
    )
    moved = np.array([[*turned(np.array([(*middle, 0.0)]), deg, by_m)[0][:2], *cards[0, 2:]]])
    moved[0, 2:4] += by_m[2]
    other, other_box = _seen(turned(ends, deg, by_m), view_deg, turned(outline, deg, by_m), moved)
    assert other == pytest.approx(known, abs=1e-7, nan_ok=True)
    assert other_box == pytest.approx(box, abs=1e-6, nan_ok=True)


def _seen(ends: Floats, view_deg: float, outline: Floats, cards: Floats) -> tuple[Floats, Floats]:
    """Share and depths of an outline (depths where more than a hair is seen), box of a card."""
    one = pinhole(ends[:1], ends[1:], np.array([view_deg]), 16 / 9)
    taken = taken_by(one, outline)
    box = card_boxes(one, cards)[0]
    depths = (taken.near_m[0], taken.far_m[0]) if taken.share[0] > 1e-6 else (np.nan, np.nan)
    return np.array([taken.share[0], *depths]), box


@pytest.mark.parametrize("seed", range(20))
def test_a_share_equals_a_count_of_random_pixels(seed: int) -> None:
    """The rays of 100,000 random pixels meet the outline as often as the share says, to 1 %.

    (0.5 / sqrt 100,000 = 0.0016 is the spread of such a count.)
    """
    dice = np.random.default_rng(seed)
    place, aim = dice.uniform((-9, -16, 1), (9, 6, 7)), dice.uniform((-4, -6, 0), (4, 6, 2))
    one = pinhole(place[None], aim[None], dice.uniform(20, 80, 1), 16 / 9)
    rake = float(dice.uniform(-0.2, 0.2))
    middle = (float(dice.uniform(-4, 4)), float(dice.uniform(-8, 4)))
    outline = star(middle, list(dice.uniform(2, 10, 9)), rake)
    counted = _counted(one, outline, rake, dice.uniform(-1, 1, (2, 100_000)))
    assert share_of_frame(one, outline)[0] == pytest.approx(counted, abs=0.01)


def _counted(one: Pinhole, outline: Floats, rake: float, pixels: Floats) -> float:
    """The share of pixels whose ray meets the plane z = rake * y in the outline, ahead."""
    across, along = pixels[:, :, None] * np.array([one.half_width, one.half_height])[:, :1, None]
    rays = one.forward + across * one.right + along * one.down
    _, y, z = one.place_m[0]
    with np.errstate(divide="ignore"):
        reach = (rake * y - z) / (rays[:, 2] - rake * rays[:, 1])
    points = one.place_m[0, :2] + np.clip(reach, -1e6, 1e6)[:, None] * rays[:, :2]
    is_in = shapely.contains_xy(shapely.Polygon(outline[:, :2]), points[:, 0], points[:, 1])
    return float((is_in & (reach >= NEAR_M)).mean())


def test_many_cameras_see_what_each_of_them_sees() -> None:
    """All at once as one by one: some see all of a floor, some a part, some nothing."""
    dice = np.random.default_rng(3)
    places, aims = dice.uniform((-9, -16, 1), (9, 6, 7), (40, 3)), dice.uniform(-4, 4, (40, 3))
    views_deg = dice.uniform(10, 80, 40)
    outline = star((0, -2), [5, 1, 6, 1, 4, 1.0], 0.1)
    together = taken_by(pinhole(places, aims, views_deg, 16 / 9), outline)
    for n in range(40):
        alone = taken_by(
            pinhole(places[n : n + 1], aims[n : n + 1], views_deg[n : n + 1], 16 / 9), outline
        )
        for found, own in zip(together, alone, strict=True):
            assert found[n] == pytest.approx(own[0], nan_ok=True)


def test_a_lens_that_looks_straight_down_keeps_house_right_to_its_right() -> None:
    """The house lies at the lower edge of its picture, upstage at the upper."""
    u, v, _ = project(camera((0, 0, 10), (0, 0, 0)), np.array([(1, 0, 0), (0, -1, 0), (0, 1, 0.0)]))
    assert u[0] == pytest.approx((0.625, 0.5, 0.5))  # 1 of 8 m
    assert v[0] == pytest.approx((0.5, 0.75, 0.25))  # 1 of 4 m
