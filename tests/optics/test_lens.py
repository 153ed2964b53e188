"""Angle of view, framing, stops of zooms, adapters and rings."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.optics.lens import (
    OpticsError,
    active_area_mm,
    adapted_circle_mm,
    adapted_focal_mm,
    adapted_stop,
    angle_of_view_deg,
    circle_covers,
    crop_factor,
    diagonal_mm,
    focal_for_frame_mm,
    frame_height_m,
    ring_is_possible,
    ring_mm,
    stop_at_focal,
    view_of_frame_deg,
)

focals_mm = st.floats(4.0, 1200.0)
heights_mm = st.floats(3.0, 24.0)
distances_m = st.floats(1.5, 100.0)
stops = st.floats(0.95, 32.0)
growths = st.floats(1.001, 10.0)


def test_angle_of_view_is_a_right_angle_when_the_side_is_twice_the_focal_length() -> None:
    """2 * atan(36 / (2 * 18)) = 2 * 45 degrees."""
    assert angle_of_view_deg(36.0, 18.0) == pytest.approx(90.0, abs=1e-12)


@given(side_mm=heights_mm, focal_mm=focals_mm, growth=growths)
def test_a_longer_lens_sees_a_narrower_angle(
    side_mm: float, focal_mm: float, growth: float
) -> None:
    """Strictly monotonic in the focal length."""
    assert angle_of_view_deg(side_mm, focal_mm * growth) < angle_of_view_deg(side_mm, focal_mm)


def test_view_of_frame_is_a_right_angle_for_a_frame_twice_as_high_as_far() -> None:
    """2 * atan(4 / (2 * 2)) = 90 degrees; half the frame from a long way off is half the angle."""
    assert view_of_frame_deg(4.0, 2.0) == pytest.approx(90.0, abs=1e-12)
    # Small angles: 1 m at 100 m is 1/100 rad = 0.573 degrees.
    assert view_of_frame_deg(1.0, 100.0) == pytest.approx(math.degrees(0.01), rel=1e-4)


def test_view_of_frame_is_a_little_less_than_the_angle_of_view_at_infinity() -> None:
    """50 mm, 24 mm high, 5 m: F = 24 * 4950 / 50 = 2376 mm; a lens focused near sees less."""
    at_infinity_deg = angle_of_view_deg(24.0, 50.0)  # 26.99
    at_5_m_deg = view_of_frame_deg(frame_height_m(50.0, 5.0, 24.0), 5.0)
    assert at_5_m_deg == pytest.approx(26.731, abs=0.001)  # 2 * atan(0.2376)
    assert at_5_m_deg < at_infinity_deg


@pytest.mark.parametrize(
    ("mode_crop", "aspect", "expected_mm"),
    [
        (1.0, 16 / 9, (36.0, 20.25)),  # 36 / (16/9) = 20.25 < 24: the height is cut
        (1.5, 16 / 9, (24.0, 13.5)),  # 36 / 1.5 = 24; 24 / (16/9) = 13.5
        (1.0, 1.5, (36.0, 24.0)),  # the sensor's own shape: nothing is cut
        (1.0, 1.0, (24.0, 24.0)),  # a square delivery: the width is cut
        (2.0, 9 / 16, (6.75, 12.0)),  # 24 / 2 = 12 high; 12 * 9/16 = 6.75 wide
    ],
    ids=["wide", "wide-cropped", "own-shape", "square", "upright"],
)
def test_active_area_is_cropped_then_cut(
    mode_crop: float, aspect: float, expected_mm: tuple[float, float]
) -> None:
    """A 36 x 24 mm sensor."""
    assert active_area_mm(36.0, 24.0, mode_crop, aspect) == pytest.approx(expected_mm, abs=1e-12)


@given(
    width_mm=st.floats(4.0, 60.0),
    height_mm=st.floats(3.0, 45.0),
    mode_crop=st.floats(1.0, 3.0),
    aspect=st.floats(0.5, 2.5),
)
def test_active_area_has_the_delivery_aspect_and_lies_within_the_sensor(
    width_mm: float, height_mm: float, mode_crop: float, aspect: float
) -> None:
    """Whatever the sensor and the crop; one side is always used in full."""
    width, height = active_area_mm(width_mm, height_mm, mode_crop, aspect)
    assert width / height == pytest.approx(aspect, rel=1e-12)
    assert width <= width_mm / mode_crop
    assert height <= height_mm / mode_crop
    assert width == width_mm / mode_crop or height == height_mm / mode_crop


def test_focal_for_frame_by_hand() -> None:
    """f = 20.25 * 10000 / (2004.75 + 20.25) = 202500 / 2025 = 100 mm."""
    assert focal_for_frame_mm(2.00475, 10.0, 20.25) == pytest.approx(100.0, rel=1e-12)


def test_frame_height_by_hand() -> None:
    """F = 24 * (5000 - 50) / 50 = 24 * 99 = 2376 mm."""
    assert frame_height_m(50.0, 5.0, 24.0) == pytest.approx(2.376, rel=1e-12)


@given(focal_mm=focals_mm, distance_m=distances_m, height_mm=heights_mm)
def test_framing_goes_there_and_back(focal_mm: float, distance_m: float, height_mm: float) -> None:
    """The frame of a focal length asks for the same focal length."""
    frame_m = frame_height_m(focal_mm, distance_m, height_mm)
    assert focal_for_frame_mm(frame_m, distance_m, height_mm) == pytest.approx(focal_mm, rel=1e-9)


@given(focal_mm=focals_mm, distance_m=distances_m, height_mm=heights_mm, growth=growths)
def test_the_frame_grows_with_distance_and_shrinks_with_focal_length(
    focal_mm: float, distance_m: float, height_mm: float, growth: float
) -> None:
    """Strictly monotonic in both."""
    frame_m = frame_height_m(focal_mm, distance_m, height_mm)
    assert frame_height_m(focal_mm, distance_m * growth, height_mm) > frame_m
    assert frame_height_m(focal_mm / growth, distance_m, height_mm) > frame_m


@given(focal_mm=focals_mm, distance_m=distances_m, height_mm=heights_mm)
def test_a_sensor_twice_as_high_shows_twice_the_frame(
    focal_mm: float, distance_m: float, height_mm: float
) -> None:
    """Proportional to the height of the active area."""
    assert frame_height_m(focal_mm, distance_m, 2 * height_mm) == pytest.approx(
        2 * frame_height_m(focal_mm, distance_m, height_mm), rel=1e-12
    )


def test_framing_broadcasts_over_distances() -> None:
    """An array of distances beside plain numbers gives an array, element by element."""
    distances = np.array([2.0, 5.0, 10.0])
    frames_m = frame_height_m(50.0, distances, 24.0)
    assert frames_m.tolist() == [frame_height_m(50.0, d, 24.0) for d in (2.0, 5.0, 10.0)]
    grid_mm = focal_for_frame_mm(np.array([[1.0], [2.0]]), distances, 20.25)
    assert grid_mm.shape == (2, 3)
    assert grid_mm[1, 2] == focal_for_frame_mm(2.0, 10.0, 20.25)


def test_plain_numbers_give_plain_floats() -> None:
    """Never numpy's own scalars."""
    assert type(angle_of_view_deg(36.0, 50.0)) is float
    assert type(diagonal_mm(3.0, 4.0)) is float
    assert [type(side) for side in active_area_mm(36.0, 24.0, 1.0, 1.5)] == [float, float]
    assert type(stop_at_focal(70.0, 24.0, 105.0, 4.0, 4.0)) is float


def test_diagonal_of_three_by_four_is_five() -> None:
    """sqrt(9 + 16) = 5."""
    assert diagonal_mm(4.0, 3.0) == 5.0


def test_crop_factor_is_one_for_full_frame_and_two_for_half_the_diagonal() -> None:
    """18 x 12 mm has half the diagonal of 36 x 24 mm."""
    assert crop_factor(36.0, 24.0) == 1.0
    assert crop_factor(18.0, 12.0) == 2.0


@pytest.mark.parametrize(
    ("circle_mm", "covers"),
    [(4.9, False), (5.0, True), (5.1, True)],
    ids=["short-of-corner", "touches-corner", "past-corner"],
)
def test_a_circle_covers_when_it_touches_the_corners(circle_mm: float, covers: bool) -> None:
    """A 4 x 3 mm area has a diagonal of 5 mm."""
    assert circle_covers(circle_mm, 4.0, 3.0) is covers


def test_a_zoom_is_half_way_in_stops_at_the_geometric_middle() -> None:
    """50-200 mm f/2.8-5.6: at sqrt(50 * 200) = 100 mm one of two stops is lost: 2.8 * sqrt(2)."""
    assert stop_at_focal(100.0, 50.0, 200.0, 2.8, 5.6) == pytest.approx(2.8 * math.sqrt(2))


@pytest.mark.parametrize(
    ("focal_mm", "stop"),
    [(10.0, 3.5), (18.0, 3.5), (55.0, 5.6), (90.0, 5.6)],
    ids=["below-the-zoom", "wide-end", "tele-end", "above-the-zoom"],
)
def test_the_ends_of_a_zoom_are_exact_and_hold_beyond(focal_mm: float, stop: float) -> None:
    """18-55 mm f/3.5-5.6."""
    assert stop_at_focal(focal_mm, 18.0, 55.0, 3.5, 5.6) == stop


@given(focal_mm=focals_mm, stop=stops)
def test_a_constant_zoom_and_a_prime_keep_their_stop_exactly(focal_mm: float, stop: float) -> None:
    """No rounding error may push f/2.8 above a limit of 2.8."""
    assert stop_at_focal(focal_mm, 24.0, 105.0, stop, stop) == stop
    assert stop_at_focal(focal_mm, 50.0, 50.0, stop, stop) == stop


@given(focal_mm=st.floats(18.0, 300.0), growth=growths)
def test_a_zoom_that_loses_light_never_gains_it_back(focal_mm: float, growth: float) -> None:
    """Monotonic over the range, and within its two ends."""
    shorter, longer = (
        stop_at_focal(f, 18.0, 300.0, 3.5, 6.3) for f in (focal_mm, focal_mm * growth)
    )
    assert 3.5 <= shorter <= longer <= 6.3


def test_stops_of_a_zoom_broadcast_over_focal_lengths() -> None:
    """The ends are exact inside an array too."""
    stops_there = stop_at_focal(np.array([18.0, 30.0, 55.0]), 18.0, 55.0, 3.5, 5.6)
    assert stops_there.tolist() == [3.5, stop_at_focal(30.0, 18.0, 55.0, 3.5, 5.6), 5.6]


def test_a_reducer_shortens_the_lens_brightens_it_and_shrinks_its_circle() -> None:
    """Factor 0.5 with two stops gained: 100 mm f/4 with 44 mm is 50 mm f/2 with 22 mm."""
    assert adapted_focal_mm(100.0, 0.5) == 50.0
    assert adapted_stop(4.0, 2.0) == pytest.approx(2.0)
    assert adapted_circle_mm(44.0, 0.5) == 22.0


def test_an_extender_darkens_the_lens() -> None:
    """A doubler loses two stops: f/2.8 becomes f/5.6."""
    assert adapted_stop(2.8, -2.0) == pytest.approx(5.6)


@given(stop=stops, gained=st.floats(-4.0, 4.0))
def test_what_an_adapter_gains_another_can_take_away(stop: float, gained: float) -> None:
    """Gaining and losing the same stops leaves the stop as it was."""
    assert adapted_stop(adapted_stop(stop, gained), -gained) == pytest.approx(stop, rel=1e-12)


def test_a_ring_is_the_difference_of_flange_distances() -> None:
    """44 mm on an 18 mm body leaves 26 mm; the other way round nothing."""
    assert ring_mm(44.0, 18.0) == 26.0
    assert ring_mm(18.0, 44.0) == -26.0


@pytest.mark.parametrize(
    ("lens_flange_mm", "is_possible"),
    [(43.9, False), (44.0, False), (44.9, False), (45.0, True), (45.1, True)],
    ids=["shorter", "same", "too-thin", "thinnest", "thicker"],
)
def test_a_ring_needs_one_millimetre(lens_flange_mm: float, is_possible: bool) -> None:
    """On a body of 44 mm; the same mount needs no ring, which is not the question here."""
    assert ring_is_possible(lens_flange_mm, 44.0) is is_possible


def test_the_thinnest_ring_can_be_set() -> None:
    """0.6 mm is a ring only for who says so."""
    assert not ring_is_possible(46.1, 45.5)
    assert ring_is_possible(46.1, 45.5, least_ring_mm=0.6)


def test_inclusive_limits_survive_binary_rounding() -> None:
    """32.3 - 31.3 falls a hair short of 1, and the 8.1 x 10.8 mm diagonal a hair past 13.5."""
    assert ring_mm(32.3, 31.3) < 1.0
    assert ring_is_possible(32.3, 31.3)
    assert diagonal_mm(2.7 * 3, 2.7 * 4) > 13.5
    assert circle_covers(13.5, 2.7 * 3, 2.7 * 4)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: angle_of_view_deg(36.0, 0.0), "focal_mm is 0, expected focal_mm > 0"),
        (lambda: angle_of_view_deg(-36.0, 50.0), "side_mm is -36, expected side_mm > 0"),
        (lambda: angle_of_view_deg(36.0, math.nan), "focal_mm is nan, expected focal_mm > 0"),
        (lambda: view_of_frame_deg(2.0, -1.0), "distance_m is -1, expected distance_m > 0"),
        (lambda: active_area_mm(36.0, 24.0, 0.9, 1.5), "mode_crop is 0.9, expected mode_crop >= 1"),
        (lambda: active_area_mm(36.0, 24.0, 1.0, 0.0), "aspect is 0, expected aspect > 0"),
        (lambda: focal_for_frame_mm(0.0, 5.0, 24.0), "frame_height_m is 0, expected"),
        (lambda: frame_height_m(50.0, 0.05, 24.0), "distance_m is 0.05, expected .* > focal_mm"),
        (lambda: diagonal_mm(36.0, 0.0), "height_mm is 0, expected height_mm > 0"),
        (lambda: circle_covers(0.0, 36.0, 24.0), "image_circle_mm is 0, expected"),
        (
            lambda: stop_at_focal(50.0, 70.0, 24.0, 2.8, 2.8),
            "focal_max_mm is 24, expected focal_max_mm >= focal_min_mm",
        ),
        (lambda: adapted_stop(0.0, 1.0), "stop is 0, expected stop > 0"),
        (lambda: adapted_focal_mm(50.0, 0.0), "focal_factor is 0, expected focal_factor > 0"),
        (lambda: ring_mm(44.0, -18.0), "body_flange_mm is -18, expected body_flange_mm > 0"),
    ],
)
def test_an_impossible_number_is_named_with_what_is_expected(
    call: Callable[[], object], message: str
) -> None:
    """Every message has the name, the value and the inequality."""
    with pytest.raises(OpticsError, match=message):
        call()


def test_an_array_error_shows_the_first_value_that_fails() -> None:
    """The good neighbours are not blamed."""
    with pytest.raises(OpticsError, match="focal_mm is -2, expected focal_mm > 0"):
        angle_of_view_deg(36.0, np.array([50.0, -2.0, 0.0]))


def test_just_outside_the_focal_length_is_allowed() -> None:
    """The valid neighbour of 0.05 m for a 50 mm lens."""
    assert frame_height_m(50.0, 0.051, 24.0) == pytest.approx(0.00048)  # 24 * 1 / 50 mm
