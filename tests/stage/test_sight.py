"""Lines of sight past blocks and cards: by hand, and against 2,000 samples along each ray."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import pi

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from kitplan.stage.sight import blocked, blocked_by_card, convex_parts, hulls_of, inside

Floats = NDArray[np.float64]
Point = tuple[float, float]
Place = tuple[float, float, float]
Outline = Sequence[Point]
SQUARE = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
L_SHAPE = ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 2.0), (2.0, 4.0), (0.0, 4.0))
INF = float("inf")


def is_blocked(
    lens: Place,
    point: Place,
    outline: Outline = SQUARE,
    bottom_m: float = 0.0,
    top_m: float = 2.0,
    rise: float = 0.0,
) -> bool:
    """Return whether a block stops one ray; its top rises from its largest y."""
    from_y = max(y for _, y in outline)
    return any(
        blocked(
            np.array([lens], dtype=np.float64),
            np.array([[point[:2]]], dtype=np.float64),
            np.array([[[point[2]]]], dtype=np.float64),
            part,
            bottom_m,
            top_m,
            rise,
            from_y,
        )[0, 0, 0]
        for part in convex_parts(outline)
    )


def is_hidden(
    lens: Place, point: Place, card: tuple[float, float, float, float, float] = (0, 0, 0, 2, 1)
) -> bool:
    """Return whether a card (x, y, foot, top, width) stops one ray."""
    return bool(
        blocked_by_card(
            np.array([lens], dtype=np.float64),
            np.array([[point[:2]]], dtype=np.float64),
            np.array([[[point[2]]]], dtype=np.float64),
            card,
        )[0, 0, 0]
    )


# -- blocks ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lens", "point", "expected"),
    [
        ((0, -10, 1), (0, 10, 1), True),
        ((0, -10, 3), (0, 10, 3), False),  # over it
        ((0, -10, -1), (0, 10, -1), False),  # under it
        ((3, -10, 1), (3, 10, 1), False),  # beside it
        ((0, -10, 1), (0, -2, 1), False),  # the point is before it
        ((0, -10, 1), (0, 0, 1), True),  # the point is inside
        ((0, 0, 1), (0, 10, 1), True),  # the lens is inside
        ((0, 0, 3), (0, 10, 3), False),  # the lens is over it
        ((0, 0, 3), (0, 0, 1), True),  # straight down into it
        ((3, 0, 3), (3, 0, 1), False),  # straight down beside it
        # down from 4 to 0 m over 20 m: 2.2 m at its near edge, 1.8 m at its far edge
        ((0, -10, 4), (0, 10, 0), True),
        # down from 4.5 to 0.5 m: 2.7 and 2.3 m
        ((0, -10, 4.5), (0, 10, 0.5), False),
    ],
    ids=str,
)
def test_a_block_stops_what_runs_through_it(lens: Place, point: Place, expected: bool) -> None:
    """A block of 2 x 2 m and 2 m of height about the origin; and the way back is no other."""
    assert is_blocked(lens, point) == expected
    assert is_blocked(point, lens) == expected


@pytest.mark.parametrize(
    ("lens", "point"),
    [
        ((1, -10, 1), (1, 10, 1)),  # along its right edge
        ((-3, 1, 1), (3, 1, 1)),  # along its back edge
        ((-2, 0, 1), (0, 2, 1)),  # past a corner
        ((0, -10, 2), (0, 10, 2)),  # along its top
        ((0, -10, 0), (0, 10, 0)),  # along its bottom
        ((0, -10, 1), (0, -1, 1)),  # up to its front edge
        ((0, -10, 3), (0, 1, 2)),  # down to its far upper edge
    ],
    ids=str,
)
def test_a_ray_that_only_touches_passes(lens: Place, point: Place) -> None:
    """Edges, corners, top and bottom are no inside; a millimetre further in is."""
    assert not is_blocked(lens, point)
    grown = [(x * 1.001, y * 1.001) for x, y in SQUARE]
    assert is_blocked(lens, point, grown, -0.001, 2.001)


def test_a_ray_along_a_slanting_edge_passes() -> None:
    """Rounding does not push it in: any triangle, and the line through two of its corners."""
    dice = np.random.default_rng(5)
    for first, second, third in dice.uniform(-5, 5, (500, 3, 2)):
        lens, point = 2 * first - second, 2 * second - first
        triangle = [tuple(first), tuple(second), tuple(third)]
        assert not is_blocked((*lens, 1.0), (*point, 1.0), triangle)


@pytest.mark.parametrize(
    ("height_m", "expected"), [(2.0, False), (1.9999, True)], ids=["touches", "runs-under"]
)
def test_the_top_is_sharp(height_m: float, expected: bool) -> None:
    """A tenth of a millimetre decides."""
    assert is_blocked((0, -10, height_m), (0, 10, height_m)) == expected


# -- bottoms: balconies, screens, banners ----------------------------------------------------------


@pytest.mark.parametrize(
    ("height_m", "expected"),
    [(2.9, False), (3.0, False), (3.1, True), (3.9, True), (4.0, False)],
    ids=["under", "at-its-bottom", "inside", "inside-high", "at-its-top"],
)
def test_a_level_ray_passes_under_a_balcony(height_m: float, expected: bool) -> None:
    """It hangs from 3 to 4 m."""
    assert is_blocked((0, -10, height_m), (0, 10, height_m), bottom_m=3.0, top_m=4.0) == expected


def test_a_ray_that_falls_through_a_balcony_is_stopped() -> None:
    """From 5 m over its near edge to 2 m under its far one: it enters through the top."""
    assert is_blocked((0, -1, 5), (0, 1, 2), bottom_m=3.0, top_m=4.0)


def test_a_ray_that_falls_before_a_balcony_passes_under_it() -> None:
    """From 4 m at 4 m before it to 1 m at its far edge: 4 - 3 * 3 / 5 = 2.2 m where it begins."""
    assert not is_blocked((0, -4, 4), (0, 1, 1), bottom_m=3.0, top_m=4.0)
    assert is_blocked((0, -4, 4), (0, 1, 1), bottom_m=2.1, top_m=4.0)


# -- raked heads -----------------------------------------------------------------------------------

SEATS = ((-5.0, -20.0), (5.0, -20.0), (5.0, -4.0), (-5.0, -4.0))


@pytest.mark.parametrize(
    ("target_m", "lens_m"),
    [
        # the last row, 20 m back: its heads are at 1.3 + 0.1 * 16 = 2.9 m, where the lens is
        (1.3, 2.9),
        # the first row, 4 m from the target: 1.3 / 4 = 0.325 m per metre are 6.5 m at 20 m
        (0.0, 6.5),
    ],
    ids=["level-with-the-front-heads", "on-the-floor"],
)
def test_heads_rise_with_the_rake(target_m: float, lens_m: float) -> None:
    """1.3 m at y = -4, 0.1 m more for each metre towards the back; a target at y = 0.

    A ray from 2.9 m to 1.3 m climbs 0.08 m per metre and is 1.62 m up over the first row.
    """
    for above_m, expected in ((0.001, False), (-0.001, True)):
        lens = (0, -20, lens_m + above_m)
        assert is_blocked(lens, (0, 0, target_m), SEATS, -INF, 1.3, 0.1) == expected


def test_on_a_flat_floor_the_nearest_row_decides_for_a_low_target() -> None:
    """Heads of 1.3 m from y = -4 to -20: 6.5 m for a target on the floor, 1.3 m for one as high."""
    assert is_blocked((0, -20, 6.49), (0, 0, 0), SEATS, -INF, 1.3)
    assert not is_blocked((0, -20, 6.51), (0, 0, 0), SEATS, -INF, 1.3)
    assert is_blocked((0, -20, 1.29), (0, 0, 1.3), SEATS, -INF, 1.3)
    assert not is_blocked((0, -20, 1.3), (0, 0, 1.3), SEATS, -INF, 1.3)


def test_heads_have_no_bottom() -> None:
    """A ray under the floor of an upper tier is stopped all the same: heads stand on something."""
    assert is_blocked((0, -30, -1), (0, 10, -1), SEATS, -INF, 1.3)


# -- concave outlines ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lens", "point", "expected"),
    [
        ((5, 3, 1), (2.5, 3, 1), False),  # in the notch
        ((5, 3, 1), (-1, 3, 1), True),  # across the upright
        ((3, 5, 1), (3, 2.5, 1), False),
        ((3, 5, 1), (3, -1, 1), True),
        ((2, 5, 1), (5, 2, 1), False),  # past the notch: its corner is 2.12 m away
        ((-1, -1, 1), (5, 5, 1), True),  # along the diagonal through the inner corner
        ((5, -1, 1), (-1, 5, 1), True),  # through both tips and the inner corner
        ((-1, 4, 1), (5, 4, 1), False),  # along the upper edge
        ((2, 6, 1), (2, 2, 1), False),  # along an inner edge, to the inner corner
    ],
    ids=str,
)
def test_a_concave_outline_stops_what_runs_through_it(
    lens: Place, point: Place, expected: bool
) -> None:
    """An L of 4 x 4 m without its upper right quarter. Cuts between its parts are no gaps."""
    assert is_blocked(lens, point, L_SHAPE) == expected
    assert is_blocked(lens, point, L_SHAPE[::-1]) == expected


def test_parts_of_an_outline_make_up_all_of_it() -> None:
    """Their areas add up, they do not overlap, and only its own edges are edges."""
    outline = _star(np.random.default_rng(1))
    parts = convex_parts(outline)
    ring = shapely.Polygon(outline)
    shapes = [shapely.Polygon(part.corners_m) for part in parts]
    assert sum(shape.area for shape in shapes) == pytest.approx(ring.area)
    assert shapely.union_all(shapes).symmetric_difference(ring).area < 1e-9
    assert sum(int(part.is_edge.sum()) for part in parts) == len(outline)
    assert all(shape.convex_hull.area == pytest.approx(shape.area) for shape in shapes)


def test_a_convex_outline_is_its_only_part() -> None:
    """Whichever way round it is listed; one without an area has none."""
    for outline in (SQUARE, SQUARE[::-1]):
        (part,) = convex_parts(outline)
        assert part.is_edge.all()
        assert {tuple(corner) for corner in part.corners_m} == set(SQUARE)
    assert convex_parts(((0, 0), (1, 1), (2, 2))) == ()


def test_inside_means_strictly_inside() -> None:
    """Corners, edges and the notch of an L are not."""
    points = np.array([(1, 1), (3, 1), (3, 3), (0, 1), (2, 3), (4, 4), (0, 0)], dtype=np.float64)
    assert inside(L_SHAPE, points).tolist() == [True, True, False, False, False, False, False]


# -- cards -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lens", "point", "expected"),
    [
        ((0, -5, 1), (0, 5, 1), True),
        ((0.5, -5, 1), (0.5, 5, 1), True),  # half its width beside it: at its edge
        ((0.51, -5, 1), (0.51, 5, 1), False),
        ((0, -5, 2), (0, 5, 2), True),  # at its top
        ((0, -5, 2.01), (0, 5, 2.01), False),
        ((0, -5, 3), (0, 5, 0.9), True),  # 1.95 m up where it passes
        ((0, -5, 3.2), (0, 5, 0.9), False),  # 2.05 m
        ((0, -5, 1), (0, -1, 1), False),  # the point is nearer than the card
        ((0, -5, 1), (0, 0, 1), False),  # the point is on the card: not strictly between
        ((0, 1, 1), (0, 5, 1), False),  # the card is behind the lens
        ((-3, -3, 1), (3, 3, 1), True),  # a card turns to the lens
        ((-3, -2.2, 1), (3, 3.8, 1), False),  # 0.8 / sqrt 2 = 0.57 m beside it
        ((0, 0.3, 5), (0, 0.3, 0), False),  # straight down beside it: nothing is crossed
    ],
    ids=str,
)
def test_a_card_stops_what_crosses_it(lens: Place, point: Place, expected: bool) -> None:
    """1 m wide, from the floor to 2 m, over the origin."""
    assert is_hidden(lens, point) == expected


@pytest.mark.parametrize("x", [n / 20 for n in range(-40, 41)])
def test_a_ray_along_the_side_of_a_card_meets_it_wherever_it_stands(x: float) -> None:
    """Half its width of 0.5 m beside it: 0.55 - 0.3 is a hair more than 0.25 and means 0.25."""
    for side in (-0.25, 0.25):
        assert is_hidden((x, -17, 1), (x, 4, 1), (x + side, 0.8, 0, 1.8, 0.5))


@pytest.mark.parametrize("place", [(2.6, 5.7), (0.1 + 0.2, 1.1 * 3), (-1.3, 4.9)], ids=str)
def test_who_stands_where_the_point_is_hides_it_from_nowhere(place: Point) -> None:
    """Somebody in the very middle of a group; with rounding they may be a hair before the point."""
    for lens in itertools.product(np.linspace(-9, 9, 31), (-17.3, -5.6, 0.1, 3.3, 8.7)):
        assert not is_hidden((*lens, 1), (*place, 1), (*place, 0, 2, 0.5))


def test_a_card_has_a_foot() -> None:
    """A platform 3 m up: rays below it pass."""
    raised = (0.0, 0.0, 3.0, 5.0, 1.0)
    assert not is_hidden((0, -5, 2.9), (0, 5, 2.9), raised)
    assert is_hidden((0, -5, 3.0), (0, 5, 3.0), raised)


# -- against samples along the rays ----------------------------------------------------------------

SAMPLES = 2000


def _star(dice: np.random.Generator) -> list[Point]:
    """A star-shaped outline with up to ten corners, mostly concave."""
    number = int(dice.integers(3, 11))
    reach, turns = dice.uniform(1, 6, number), np.arange(number) * 2 * pi / number
    middle = dice.uniform(-3, 3, 2)
    return [
        (float(middle[0] + r * np.cos(t)), float(middle[1] + r * np.sin(t)))
        for r, t in zip(reach, turns, strict=True)
    ]


def _runs_through(
    lens: Floats, point: Floats, outline: Outline, bottom_m: float, top_m: float, rise: float
) -> bool:
    """Whether one of 2,000 points of a ray is in a block, by containment in the outline."""
    shares = (np.arange(SAMPLES) + 0.5) / SAMPLES
    x, y, z = (lens + shares[:, None] * (point - lens)).T
    is_in = shapely.contains_xy(shapely.Polygon(outline), x, y)
    top = top_m + rise * (max(corner[1] for corner in outline) - y)
    return bool((is_in & (z < top) & (z > bottom_m)).any())


@pytest.mark.parametrize("seed", range(10))
def test_random_rays_and_blocks_agree_with_samples(seed: int) -> None:
    """Forty rays a seed. What a sample finds is blocked; what runs through a block that is smaller
    on every side by the distance between two samples is found by one.
    """
    dice = np.random.default_rng(seed)
    number = {True: 0, False: 0}
    for _ in range(40):
        outline = _star(dice)
        lens, point = dice.uniform((-6, -6, 0), (6, 6, 4), (2, 3))
        bottom_m = float(dice.choice([-INF, 0.0, dice.uniform(0, 4)]))
        top_m = max(bottom_m, 0.0) + float(dice.uniform(0.2, 4))
        rise = float(dice.choice([0.0, dice.uniform(0, 0.5)]))
        found = is_blocked(tuple(lens), tuple(point), outline, bottom_m, top_m, rise)
        sampled = _runs_through(lens, point, outline, bottom_m, top_m, rise)
        number[found] += 1
        if sampled:
            assert found
        elif found:
            step = float(np.linalg.norm(point - lens)) / SAMPLES * (1 + rise)
            smaller = shapely.Polygon(outline).buffer(-step)
            for part in getattr(smaller, "geoms", [smaller]):
                if not part.is_empty:
                    core = list(part.exterior.coords)[:-1]
                    lift = rise * (max(y for _, y in outline) - max(y for _, y in core))
                    inner = (bottom_m + step, top_m + lift - step, rise)
                    assert not is_blocked(tuple(lens), tuple(point), core, *inner)
    assert min(number.values()) >= 5  # both answers have their turn


@pytest.mark.parametrize("seed", range(5))
def test_random_rays_and_cards_agree_with_samples(seed: int) -> None:
    """Two hundred rays a seed: the sample nearest to the card says how near and at what height the
    ray passes it; where that is within 2 cm of an edge, either answer will do.
    """
    dice = np.random.default_rng(seed)
    number = {True: 0, False: 0}
    for _ in range(200):
        lens, point = dice.uniform((-6, -6, 0), (6, 6, 4), (2, 3))
        foot_m, width_m = float(dice.uniform(0, 2)), float(dice.uniform(0.3, 3))
        card = (0.5, -0.5, foot_m, foot_m + float(dice.uniform(0.5, 3)), width_m)
        shares = (np.arange(SAMPLES) + 0.5) / SAMPLES
        along = lens + shares[:, None] * (point - lens)
        apart = np.hypot(along[:, 0] - card[0], along[:, 1] - card[1])
        nearest = int(apart.argmin())
        margins = (
            width_m / 2 - apart[nearest],
            along[nearest, 2] - card[2],
            card[3] - along[nearest, 2],
            min(nearest, SAMPLES - 1 - nearest) - 0.5,
        )
        if min(map(abs, margins)) > 0.02:
            found = is_hidden(tuple(lens), tuple(point), card)
            assert found == (min(margins) > 0)
            number[found] += 1
    assert min(number.values()) >= 10


def test_a_hull_holds_lens_and_places() -> None:
    """In plan, for each lens its own."""
    lenses = np.array([(0.0, -10), (5, 5)])
    places = np.array([[(-1.0, 0), (1, 0)], [(0, 0), (0, 1)]])
    first, second = hulls_of(lenses, places)
    assert first.area == pytest.approx(10)  # a triangle 2 m wide and 10 m deep
    assert second.area == pytest.approx(2.5)  # and one 1 m wide and 5 m deep
