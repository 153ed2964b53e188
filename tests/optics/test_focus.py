"""Circle of confusion, hyperfocal distance and limits of sharpness."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kitplan.optics.focus import (
    circle_of_confusion_mm,
    focus_for_span_m,
    focus_limits_m,
    holds_span,
    hyperfocal_m,
)
from kitplan.optics.lens import OpticsError

focals_mm = st.floats(8.0, 600.0)
f_numbers = st.floats(1.0, 22.0)
cocs_mm = st.floats(0.005, 0.05)
distances_m = st.floats(1.0, 100.0)


def blur_mm(focal_mm: float, f_number: float, focus_m: float, subject_m: float) -> float:
    """Return the blur disc of a point, traced by similar triangles behind a thin lens."""
    image_mm, subject_image_mm = (
        focal_mm * s_mm / (s_mm - focal_mm) for s_mm in (focus_m * 1000, subject_m * 1000)
    )
    return focal_mm / f_number * abs(subject_image_mm - image_mm) / subject_image_mm


def test_circle_of_confusion_is_a_share_of_the_diagonal() -> None:
    """A 4 x 3 mm area has a diagonal of 5 mm: 5 / 1500 and 5 / 1000."""
    assert circle_of_confusion_mm(4.0, 3.0) == pytest.approx(5 / 1500)
    assert circle_of_confusion_mm(4.0, 3.0, divisor=1000.0) == pytest.approx(0.005)


def test_hyperfocal_by_hand() -> None:
    """100 * 100 / (5 * 0.02) + 100 = 100000 + 100 mm."""
    assert hyperfocal_m(100.0, 5.0, 0.02) == pytest.approx(100.1, rel=1e-12)


@given(focal_mm=focals_mm, f_number=f_numbers, coc_mm=cocs_mm)
def test_twice_the_focal_length_needs_four_times_the_hyperfocal_distance(
    focal_mm: float, f_number: float, coc_mm: float
) -> None:
    """Apart from the focal length itself, which is added on top; and half the stop needs twice."""
    beyond_m = hyperfocal_m(focal_mm, f_number, coc_mm) - focal_mm / 1000
    doubled_m = hyperfocal_m(2 * focal_mm, f_number, coc_mm) - 2 * focal_mm / 1000
    opened_m = hyperfocal_m(focal_mm, f_number / 2, coc_mm) - focal_mm / 1000
    assert doubled_m == pytest.approx(4 * beyond_m, rel=1e-9)
    assert opened_m == pytest.approx(2 * beyond_m, rel=1e-9)


def test_limits_by_hand() -> None:
    """100 mm, f/5, 0.02 mm: H = 100.1 m, H - f = 100 m. Focus at 20.1 m.

    near = 20.1 * 100 / (100.1 + 20.1 - 0.2) = 2010 / 120 = 16.75 m
    far  = 20.1 * 100 / (100.1 - 20.1)       = 2010 / 80  = 25.125 m
    """
    assert focus_limits_m(100.0, 5.0, 0.02, 20.1) == pytest.approx((16.75, 25.125), rel=1e-12)


@given(focal_mm=focals_mm, f_number=f_numbers, coc_mm=cocs_mm, focus_m=distances_m)
def test_the_limits_bracket_the_focus_distance(
    focal_mm: float, f_number: float, coc_mm: float, focus_m: float
) -> None:
    """Near is nearer, far is farther, always."""
    near_m, far_m = focus_limits_m(focal_mm, f_number, coc_mm, focus_m)
    assert 0 < near_m < focus_m < far_m


@given(focal_mm=focals_mm, f_number=f_numbers, coc_mm=cocs_mm, focus_m=distances_m)
def test_blur_at_the_limits_is_the_circle_of_confusion(
    focal_mm: float, f_number: float, coc_mm: float, focus_m: float
) -> None:
    """Checked by tracing rays, which uses no depth-of-field formula."""
    near_m, far_m = focus_limits_m(focal_mm, f_number, coc_mm, focus_m)
    assume(near_m * 1000 > focal_mm and far_m < 1e6)
    assert blur_mm(focal_mm, f_number, focus_m, near_m) == pytest.approx(coc_mm, rel=1e-6)
    assert blur_mm(focal_mm, f_number, focus_m, far_m) == pytest.approx(coc_mm, rel=1e-6)


@given(focal_mm=focals_mm, f_number=st.floats(1.0, 11.0), coc_mm=cocs_mm, focus_m=distances_m)
def test_stopping_down_widens_the_limits(
    focal_mm: float, f_number: float, coc_mm: float, focus_m: float
) -> None:
    """A stop that is twice as dark is sharp at least as far both ways."""
    near_m, far_m = focus_limits_m(focal_mm, f_number, coc_mm, focus_m)
    darker_near_m, darker_far_m = focus_limits_m(focal_mm, 2 * f_number, coc_mm, focus_m)
    assert darker_near_m < near_m
    assert darker_far_m > far_m or far_m == math.inf


@pytest.mark.parametrize(
    ("focus_m", "is_far_infinite"),
    [(100.0, False), (100.1, True), (100.2, True), (math.inf, True)],
    ids=["before-hyperfocal", "at-hyperfocal", "beyond-hyperfocal", "at-infinity"],
)
def test_far_is_infinite_from_the_hyperfocal_distance_on(
    focus_m: float, is_far_infinite: bool
) -> None:
    """100 mm, f/5, 0.02 mm: H = 100.1 m."""
    _, far_m = focus_limits_m(100.0, 5.0, 0.02, focus_m)
    assert (far_m == math.inf) is is_far_infinite


@given(focal_mm=focals_mm, f_number=f_numbers, coc_mm=cocs_mm)
def test_focus_at_the_hyperfocal_distance_is_sharp_from_half_of_it(
    focal_mm: float, f_number: float, coc_mm: float
) -> None:
    """near = H(H - f) / (2H - 2f) = H / 2."""
    hyperfocal = hyperfocal_m(focal_mm, f_number, coc_mm)
    assume(hyperfocal > 2 * focal_mm / 1000)
    near_m, far_m = focus_limits_m(focal_mm, f_number, coc_mm, hyperfocal)
    assert near_m == pytest.approx(hyperfocal / 2, rel=1e-9)
    assert far_m == math.inf


def test_focus_at_infinity_is_sharp_from_just_short_of_the_hyperfocal_distance() -> None:
    """near = H - f = 100 m."""
    near_m, _ = focus_limits_m(100.0, 5.0, 0.02, math.inf)
    assert near_m == pytest.approx(100.0, rel=1e-12)


def test_limits_broadcast_over_focus_distances() -> None:
    """Finite and infinite far limits live side by side in one array."""
    focus_m = np.array([20.1, 100.1, 200.0])
    near_m, far_m = focus_limits_m(100.0, 5.0, 0.02, focus_m)
    assert far_m.tolist() == [pytest.approx(25.125), math.inf, math.inf]
    assert near_m[0] == pytest.approx(16.75)


def test_focus_for_a_span_by_hand() -> None:
    """2 * 6 * 3 / (6 + 3) = 4 m."""
    assert focus_for_span_m(3.0, 6.0) == pytest.approx(4.0)


def test_focus_for_a_span_without_end_is_twice_the_near_end() -> None:
    """2Dd / (D + d) tends to 2d."""
    assert focus_for_span_m(3.0, math.inf) == 6.0


@given(near_m=distances_m, depth_m=st.floats(0.1, 50.0), focal_mm=focals_mm, f_number=f_numbers)
def test_both_ends_of_a_span_are_equally_blurred(
    near_m: float, depth_m: float, focal_mm: float, f_number: float
) -> None:
    """That is what the focus distance is chosen for."""
    far_m = near_m + depth_m
    focus_m = focus_for_span_m(near_m, far_m)
    near_blur_mm = blur_mm(focal_mm, f_number, focus_m, near_m)
    assert blur_mm(focal_mm, f_number, focus_m, far_m) == pytest.approx(near_blur_mm, rel=1e-6)


@given(focal_mm=focals_mm, f_number=f_numbers, coc_mm=cocs_mm, focus_m=distances_m)
def test_a_lens_holds_exactly_the_span_of_its_own_limits(
    focal_mm: float, f_number: float, coc_mm: float, focus_m: float
) -> None:
    """The limits are inclusive; a span a little wider is not held."""
    near_m, far_m = focus_limits_m(focal_mm, f_number, coc_mm, focus_m)
    assume(near_m * 1000 > focal_mm and far_m < 1e4)
    assert holds_span(focal_mm, f_number, coc_mm, near_m, far_m)
    assert not holds_span(focal_mm, f_number, coc_mm, near_m * 0.9999, far_m * 1.0001)


@pytest.mark.parametrize(
    ("near_m", "far_m", "is_held"),
    [(16.75, 25.125, True), (16.70, 25.125, False), (16.75, 25.2, False), (20.0, 20.0, True)],
    ids=["its-limits", "nearer", "farther", "no-depth"],
)
def test_a_locked_focus_holds_a_span_or_not(near_m: float, far_m: float, is_held: bool) -> None:
    """100 mm, f/5, 0.02 mm at 20.1 m: sharp from 16.75 to 25.125 m."""
    assert holds_span(100.0, 5.0, 0.02, near_m, far_m) is is_held


def test_half_the_hyperfocal_distance_to_infinity_can_be_held() -> None:
    """From 50.05 m on, with H = 100.1 m; from 50 m on it cannot."""
    assert holds_span(100.0, 5.0, 0.02, 50.05, math.inf)
    assert not holds_span(100.0, 5.0, 0.02, 50.0, math.inf)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: circle_of_confusion_mm(36.0, 24.0, 0.0), "divisor is 0, expected divisor > 0"),
        (lambda: circle_of_confusion_mm(0.0, 24.0), "width_mm is 0, expected width_mm > 0"),
        (lambda: hyperfocal_m(50.0, 0.0, 0.03), "f_number is 0, expected f_number > 0"),
        (lambda: hyperfocal_m(50.0, 8.0, -0.03), "coc_mm is -0.03, expected coc_mm > 0"),
        (
            lambda: focus_limits_m(50.0, 8.0, 0.03, 0.05),
            "focus_m is 0.05, expected focus_m > focal_mm / 1000",
        ),
        (lambda: focus_for_span_m(0.0, 5.0), "near_m is 0, expected near_m > 0"),
        (lambda: focus_for_span_m(5.0, 4.0), "far_m is 4, expected far_m >= near_m"),
        (lambda: holds_span(50.0, 8.0, 0.03, 5.0, 4.0), "far_m is 4, expected far_m >= near_m"),
    ],
)
def test_an_impossible_number_is_named_with_what_is_expected(
    call: Callable[[], object], message: str
) -> None:
    """Every message has the name, the value and the inequality."""
    with pytest.raises(OpticsError, match=message):
        call()
