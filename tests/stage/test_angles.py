"""Viewing directions, angles seen from a subject, alike views, and the cliques for them."""

from __future__ import annotations

from itertools import combinations
from math import acos, atan, degrees, sqrt
from random import Random

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kitplan.stage.angles import (
    alike,
    angles_between_deg,
    angles_seen_deg,
    clearly_distinct,
    clique_cover,
    differ,
    differ_clearly,
    directions,
    seen_by_roamer_deg,
    size_factors,
    turned_in_plan_deg,
)

Floats = NDArray[np.float64]
coordinate = st.floats(-50, 50)
points = st.lists(st.tuples(coordinate, coordinate, coordinate), min_size=2, max_size=8)
rays = points.map(lambda found: np.array(found, dtype=np.float64)).filter(
    lambda found: bool((np.linalg.norm(found, axis=1) > 0.1).all())
)
graphs = st.integers(1, 12).flatmap(
    lambda size: st.lists(
        st.tuples(st.integers(0, size - 1), st.integers(0, size - 1)), max_size=40
    ).map(lambda edges: _graph(size, edges))
)


def _graph(size: int, edges: list[tuple[int, int]]) -> NDArray[np.bool_]:
    found = np.zeros((size, size), dtype=np.bool_)
    for first, second in edges:
        found[first, second] = found[second, first] = True
    return found


def units_at(*azimuths_deg: float) -> Floats:
    """Return level directions so many degrees from straight upstage."""
    angles = np.radians(azimuths_deg)
    return np.stack([np.sin(angles), np.cos(angles), 0 * angles], axis=1)


# -- directions and angles -------------------------------------------------------------------------


def test_a_direction_is_a_unit_vector_from_camera_to_aim() -> None:
    """From (0, -10, 1) to (3, -6, 1): 3-4-5."""
    found = directions(np.array([[0.0, -10, 1]]), np.array([[3.0, -6, 1]]))
    assert found == pytest.approx(np.array([[0.6, 0.8, 0]]))


@pytest.mark.parametrize(
    ("first", "second", "angle_deg"),
    [
        ((1, 0, 0), (1, 0, 0), 0),
        ((1, 0, 0), (0, 1, 0), 90),
        ((1, 0, 0), (-1, 0, 0), 180),
        ((1, 0, 0), (1, 1, 0), 45),
        ((1, 0, 0), (1, 1, 1), degrees(acos(1 / sqrt(3)))),
        ((0, 1, 0), (0, sqrt(3), 1), 30),
    ],
    ids=["same", "square", "opposite", "diagonal", "space-diagonal", "upwards"],
)
def test_known_angles(
    first: tuple[float, ...], second: tuple[float, ...], angle_deg: float
) -> None:
    """Two rays whose angle everybody knows, in three dimensions."""
    units = directions(np.zeros((2, 3)), np.array([first, second], dtype=np.float64))
    assert angles_between_deg(units)[0, 1] == pytest.approx(angle_deg, abs=1e-9)


@given(rays)
def test_angles_agree_with_the_cosine(ends: Floats) -> None:
    """Within what acos can tell: half its digits, 1e-5 degrees."""
    units = directions(np.zeros_like(ends), ends)
    by_cosine = np.degrees(np.arccos(np.clip(units @ units.T, -1, 1)))
    np.testing.assert_allclose(angles_between_deg(units), by_cosine, atol=1e-5)


@given(rays)
@example(np.array([[0, 0, 1], [1, 0, 0], [-43, 0, 1e-6]]))
def test_angles_are_symmetric_and_obey_the_triangle(ends: Floats) -> None:
    """The way by a third direction is never shorter."""
    angle = angles_between_deg(directions(np.zeros_like(ends), ends))
    np.testing.assert_allclose(angle, angle.T)
    np.testing.assert_allclose(np.diag(angle), 0)
    assert (angle[:, None, :] <= angle[:, :, None] + angle.T[None, :, :] + 1e-6).all()


@given(rays, st.sampled_from([(-1, 1, 1), (1, -1, 1), (1, 1, -1)]))
def test_a_mirror_changes_no_angle(ends: Floats, mirror: tuple[int, int, int]) -> None:
    """House left and right may be swapped."""
    units = directions(np.zeros_like(ends), ends)
    mirrored = units * np.array(mirror)
    np.testing.assert_allclose(angles_between_deg(mirrored), angles_between_deg(units), atol=1e-7)


@pytest.mark.parametrize("angle_deg", [1e-6, 1e-3, 0.1])
def test_small_angles_keep_their_digits(angle_deg: float) -> None:
    """The cosine of a millionth of a degree is 1 to all digits."""
    found = angles_between_deg(units_at(0, angle_deg))[0, 1]
    assert found == pytest.approx(angle_deg, rel=1e-6)


@pytest.mark.parametrize("angle_deg", [1e-6, 1e-3, 0.1])
def test_so_do_those_that_are_nearly_straight_across(angle_deg: float) -> None:
    """So much short of 180 degrees."""
    found = angles_between_deg(units_at(0, 180 - angle_deg))[0, 1]
    assert 180 - found == pytest.approx(angle_deg, rel=1e-6)


# -- seen from a subject ---------------------------------------------------------------------------

place = st.tuples(st.floats(-10, 10), st.floats(-10, 10), st.floats(-4, 4)).map(np.array)


def seen(first: tuple[float, ...], second: tuple[float, ...], roam_m: float) -> tuple[float, ...]:
    """Return least, home and most angle seen from the origin and round it."""
    return seen_by_roamer_deg(np.array(first), np.array(second), np.zeros(3), roam_m)


def test_seen_from_a_place_the_places_may_be_any_distance_away() -> None:
    """3 left and 3 right, 4 ahead: twice atan(3/4), however long the second ray is."""
    first, second = np.array([-3.0, -4, 0]), np.array([30.0, -40, 0])
    found = angles_seen_deg(first, second, np.zeros(3))
    assert found == pytest.approx(2 * degrees(atan(3 / 4)))


def test_from_a_lens_itself_the_angle_is_nothing() -> None:
    """No division by the distance to oneself."""
    lens = np.array([1.0, 2, 3])
    assert angles_seen_deg(lens, np.zeros(3), lens) == 0


@given(place, place, place)
def test_the_angle_seen_is_numpys_own(first: Floats, second: Floats, origin: Floats) -> None:
    """The arc cosine of the dot product over both lengths, to what that can tell."""
    rays = first - origin, second - origin
    lengths = np.linalg.norm(rays[0]), np.linalg.norm(rays[1])
    if min(lengths) > 0.01:
        cosine = np.clip(np.dot(*rays) / (lengths[0] * lengths[1]), -1, 1)
        wanted = np.degrees(np.arccos(cosine))
        np.testing.assert_allclose(angles_seen_deg(first, second, origin), wanted, atol=1e-5)


def test_least_and_most_on_the_edge_of_the_disc() -> None:
    """Lenses at (-3, -4) and (3, -4), the subject within 1 m of the origin, all at one height.

    Where the angle is 90 degrees lies the circle round (0, -4) through both lenses, radius 3: it
    touches the disc at (0, -1), where the angle is twice atan(3/3). The circle through both and
    (0, 1) has its centre at (0, -2.4) and radius 3.4: the disc lies in it and touches it there, at
    twice atan(3/5) = 61.93. At home twice atan(3/4) = 73.74.
    """
    found = seen((-3, -4, 0), (3, -4, 0), 1)
    assert found == pytest.approx((2 * degrees(atan(3 / 5)), 2 * degrees(atan(3 / 4)), 90))


def test_the_most_may_lie_inside_the_disc() -> None:
    """Lenses 3 m to either side and 4 m above see each other widest from the middle.

    There twice atan(3/4) = 73.74. From (2, 0) one is 5 m off and one 1 m on the other side:
    atan(5/4) + atan(1/4) = 51.34 + 14.04 = 65.38; from (0, 2) twice atan(3 / sqrt(20)) = 67.7.
    """
    least, home, most = seen((-3, 0, 4), (3, 0, 4), 2)
    assert home == most == pytest.approx(2 * degrees(atan(3 / 4)))
    assert least == pytest.approx(degrees(atan(5 / 4) + atan(1 / 4)))


def test_who_stays_sees_one_angle() -> None:
    """A roam of 0."""
    assert len(set(seen((-3, -4, 0), (3, -4, 1), 0))) == 1


def test_a_lens_in_the_midst_of_the_disc_is_no_fault() -> None:
    """Anything from nearly none to nearly straight across can be seen round it."""
    least, home, most = seen((0.5, 0, 0), (9, 0, 0), 2)
    assert home == 0
    assert least == 0
    assert most > 170
    assert seen((0, 0, 0), (0.01, 0, 0), 0.05) == (0, 0, 0)  # nobody stands there


@settings(deadline=None, max_examples=50)
@given(place, place, place, st.floats(0, 4), st.randoms(use_true_random=False))
def test_wherever_it_roams_the_angle_lies_between(
    first: Floats, second: Floats, home: Floats, roam_m: float, chance: Random
) -> None:
    """Least to home to most; and 200 places of the disc, none in a lens, agree."""
    least, at_home, most = seen_by_roamer_deg(first, second, home, roam_m)
    assert 0 <= least <= at_home <= most <= 180
    polar = np.array([[chance.random(), chance.random()] for _ in range(200)])
    turn, far = 2 * np.pi * polar[:, 0], roam_m * np.sqrt(polar[:, 1])
    points = home + np.stack([far * np.cos(turn), far * np.sin(turn), 0 * turn], axis=1)
    is_free = (np.linalg.norm(points - first, axis=1) > 0.1) & (
        np.linalg.norm(points - second, axis=1) > 0.1
    )
    found = angles_seen_deg(first, second, points[is_free])
    assert (found >= least - 0.01).all()
    assert (found <= most + 0.01).all()


@pytest.mark.parametrize(
    ("ray", "turned_deg"),
    [
        ((0, 1, 0), 0),
        ((1, 1, 0), 45),
        ((-1, 1, 5), 45),
        ((1, 0, -3), 90),
        ((0, -1, 1), 180),
        ((0, 0, -1), 0),
    ],
    ids=["ahead", "right", "left-and-up", "square", "back", "straight-down"],
)
def test_turned_in_plan_leaves_height_out(ray: tuple[float, ...], turned_deg: float) -> None:
    """From straight upstage, whatever the tilt of either."""
    units = directions(np.zeros((1, 3)), np.array([ray], dtype=np.float64))
    axis = np.array([0, 0.8, -0.6])
    assert turned_in_plan_deg(units, axis)[0] == pytest.approx(turned_deg)


def test_an_axis_straight_down_turns_nothing() -> None:
    """A safety shot from above has no sides."""
    assert turned_in_plan_deg(units_at(0, 180), np.array([0, 0, -1.0])).tolist() == [0, 0]


@given(st.floats(0, 180), st.floats(1, 10))
def test_alike_and_clear_are_said_of_any_angles_and_factors(apart: float, factor: float) -> None:
    """What is clear differs; what is alike does not."""
    apart_deg, factors = np.array([apart]), np.array([factor])
    clear = differ_clearly(apart_deg, factors, 45, 30, 1.3)
    assert differ(apart_deg, factors, 30, 2)[0] or not clear[0]


# -- sizes, alike, clearly distinct ----------------------------------------------------------------


def test_factors_are_the_same_both_ways() -> None:
    """0.9 m to 1.8 m is a factor of 2, and so is 1.8 m to 0.9 m."""
    found = size_factors(np.array([0.9, 1.8, 0.9]))
    assert found == pytest.approx(np.array([[1, 2, 1], [2, 1, 2], [1, 2, 1]]))


@pytest.mark.parametrize(
    ("apart_deg", "factor", "is_alike"),
    [
        (0, 1, True),
        (29.999, 1.999, True),
        (30, 1, False),
        (30.001, 1, False),
        (0, 2, False),
        (0, 2.001, False),
        (29.999, 2, False),
    ],
)
def test_thresholds_are_inclusive(apart_deg: float, factor: float, is_alike: bool) -> None:
    """At 30 degrees, or at twice the size, two views differ."""
    found = alike(units_at(0, apart_deg), np.array([1, factor]), 30, 2)
    assert found.tolist() == [[True, is_alike], [is_alike, True]]


@pytest.mark.parametrize("start_deg", range(0, 360, 17))
def test_thresholds_are_inclusive_in_every_direction(start_deg: float) -> None:
    """Rounding never makes 30 degrees less."""
    assert not alike(units_at(start_deg, start_deg + 30), np.array([1, 1]), 30, 2)[0, 1]


@pytest.mark.parametrize(
    ("apart_deg", "factor", "is_clear"),
    [
        (45, 1, True),
        (44.999, 1, False),
        (30, 1.3, True),
        (30, 1.299, False),
        (29.999, 1.3, False),
        (29.999, 5, False),
    ],
)
def test_clearly_distinct_by_angle_or_by_both(
    apart_deg: float, factor: float, is_clear: bool
) -> None:
    """From 45 degrees on, or from 30 with a factor of 1.3."""
    found = clearly_distinct(units_at(0, apart_deg), np.array([1, factor]), 45, 30, 1.3)
    assert found[0, 1] == found[1, 0] == is_clear


@given(rays, st.lists(st.floats(0.1, 20), min_size=8, max_size=8))
def test_alike_is_symmetric_and_never_clear_at_the_same_size(
    ends: Floats, frames: list[float]
) -> None:
    """Each view is alike to itself; whatever is alike is not clearly distinct."""
    units, frame_m = directions(np.zeros_like(ends), ends), np.array(frames[: len(ends)])
    same = alike(units, frame_m, 30, 2)
    clear = clearly_distinct(units, frame_m, 45, 30, 1.3)
    assert (same == same.T).all()
    assert same.diagonal().all()
    assert not (same & clear).any()


# -- cliques ---------------------------------------------------------------------------------------


def test_a_triangle_is_one_clique_and_a_path_is_two() -> None:
    """Three that are all alike; three in a row."""
    triangle = _graph(3, [(0, 1), (1, 2), (0, 2)])
    path = _graph(3, [(0, 1), (1, 2)])
    assert clique_cover(triangle) == [(0, 1, 2)]
    assert sorted(clique_cover(path)) == [(0, 1), (1, 2)]


def test_without_edges_there_is_no_clique() -> None:
    """Loops are ignored, and so is the empty graph."""
    assert clique_cover(np.eye(3, dtype=np.bool_)) == []
    assert clique_cover(np.zeros((0, 0), dtype=np.bool_)) == []


@given(graphs)
def test_every_edge_is_in_a_clique_and_cliques_are_cliques(graph: NDArray[np.bool_]) -> None:
    """No pair too many, no pair too few; and the graph that was given is left as it was."""
    before = graph.copy()
    covered = set()
    for clique in clique_cover(graph):
        assert list(clique) == sorted(set(clique))
        assert len(clique) >= 2
        covered |= set(combinations(clique, 2))
    size = range(len(graph))
    assert covered == {(a, b) for a, b in combinations(size, 2) if graph[a, b]}
    assert (graph == before).all()


@given(graphs)
def test_no_clique_can_be_made_larger(graph: NDArray[np.bool_]) -> None:
    """Each is as large as greed makes it: nobody else is alike to all of it."""
    for clique in clique_cover(graph):
        others = set(range(len(graph))) - set(clique)
        assert not any(all(graph[other, member] for member in clique) for other in others)
