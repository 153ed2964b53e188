"""Focus against military manuals, encyclopedic examples, a textbook problem and a library."""

import math

import pytest
from sympy.physics.optics import hyperfocal_distance

from kitplan.optics.focus import (
    circle_of_confusion_mm,
    focus_for_span_m,
    focus_limits_m,
    hyperfocal_m,
)

MM_PER_INCH = 25.4
M_PER_FOOT = 0.3048


def manual_limits_m(
    focal_mm: float, f_number: float, coc_mm: float, focus_m: float
) -> tuple[float, float]:
    """Return the limits in the manuals' form, Hs/(H + s) and Hs/(H - s) with H = f*f/(N*c).

    That form leaves the focal length out. With H' = H + f and s' = s + f the exact limits are
    H's form times (s + f)/s, so our own limits give the manual's without any slack.
    """
    focal_m = focal_mm / 1000
    near_m, far_m = focus_limits_m(focal_mm, f_number, coc_mm, focus_m + focal_m)
    share = focus_m / (focus_m + focal_m)
    return near_m * share, far_m * share


def inch_hyperfocal_ft(focal_in: float, f_number: float, coc_in: float) -> float:
    """Return the manuals' hyperfocal distance, which lacks the focal length, in feet."""
    focal_mm = focal_in * MM_PER_INCH
    hyperfocal = hyperfocal_m(focal_mm, f_number, coc_in * MM_PER_INCH)
    return (hyperfocal - focal_mm / 1000) / M_PER_FOOT


def inch_limits_ft(
    focal_in: float, f_number: float, coc_in: float, focus_ft: float
) -> tuple[float, float]:
    """Return the manuals' limits in feet."""
    near_m, far_m = manual_limits_m(
        focal_in * MM_PER_INCH, f_number, coc_in * MM_PER_INCH, focus_ft * M_PER_FOOT
    )
    return near_m / M_PER_FOOT, far_m / M_PER_FOOT


def test_the_encyclopedic_example_of_the_hyperfocal_distance() -> None:
    """50 mm, f/8, 0.03 mm: 10467 mm by the first definition, near limit 5233 mm.

    Source: encyclopedic article Hyperfocal distance, worked example.
    """
    hyperfocal = hyperfocal_m(50.0, 8.0, 0.03)
    assert 1000 * hyperfocal == pytest.approx(10467, abs=0.5)
    near_m, far_m = focus_limits_m(50.0, 8.0, 0.03, hyperfocal)
    assert 1000 * near_m == pytest.approx(5233, abs=0.5)
    assert far_m == math.inf


def test_focus_at_half_the_hyperfocal_distance() -> None:
    """Sharp from a third of it to all of it: 3489 and 10467 mm, to 0.5 % (exact: 3494 and 10417).

    Source: encyclopedic article Hyperfocal distance; its H/n series drops the focal length.
    """
    near_m, far_m = focus_limits_m(50.0, 8.0, 0.03, hyperfocal_m(50.0, 8.0, 0.03) / 2)
    assert 1000 * near_m == pytest.approx(3489, rel=0.005)
    assert 1000 * far_m == pytest.approx(10467, rel=0.005)


def test_the_army_course_on_the_hyperfocal_distance() -> None:
    """2 inch, f/8, 0.002 inch: 20.8 ft. Source: US Army course SS0507, Learning Event 10."""
    assert inch_hyperfocal_ft(2.0, 8.0, 0.002) == pytest.approx(20.8, abs=0.05)
    near_ft, _ = inch_limits_ft(2.0, 8.0, 0.002, focus_ft=250 / 12)  # focused at 250 inch
    assert near_ft == pytest.approx(10.4, abs=0.05)


def test_the_army_course_on_depth_of_field() -> None:
    """3 inch, f/8, 0.002 inch at 15 ft: 46.8, 11.3, 22 and 10.7 ft, printed truncated.

    Source: US Army course SS0507, Learning Event 12.
    """
    assert inch_hyperfocal_ft(3.0, 8.0, 0.002) == pytest.approx(46.8, abs=0.1)
    near_ft, far_ft = inch_limits_ft(3.0, 8.0, 0.002, focus_ft=15.0)
    assert near_ft == pytest.approx(11.3, abs=0.1)
    assert far_ft == pytest.approx(22.0, abs=0.1)
    assert far_ft - near_ft == pytest.approx(10.7, abs=0.1)


def test_the_navy_manual_on_depth_of_field() -> None:
    """6.1 inch, f/2.8 at 10 ft: 554, 9.8 and 10.2 ft (0.002 inch inferred); focus for both 10 ft.

    Source: US Navy training manual Photography (Basic) 14209, chapter 1.
    """
    assert inch_hyperfocal_ft(6.1, 2.8, 0.002) == pytest.approx(554, abs=0.5)
    near_ft, far_ft = inch_limits_ft(6.1, 2.8, 0.002, focus_ft=10.0)
    assert near_ft == pytest.approx(9.8, abs=0.05)
    assert far_ft == pytest.approx(10.2, abs=0.05)
    assert focus_for_span_m(9.8, 10.2) == pytest.approx(10.0, abs=0.01)


def test_the_calculus_problem_with_an_angular_criterion() -> None:
    """50 mm, f/8 at 6 m with 1/30 degree: 3.850 and 13.590 m.

    Source: pamphlet AA-26, a problem in the calculus textbook of Lial et al.; solved by hand.
    """
    coc_mm = 50.0 * math.tan(math.radians(1 / 30))
    near_m, far_m = manual_limits_m(50.0, 8.0, coc_mm, 6.0)
    assert near_m == pytest.approx(3.850, abs=0.001)
    assert far_m == pytest.approx(13.590, abs=0.001)


@pytest.mark.parametrize(
    ("focal_mm", "f_number", "coc_mm"),
    [
        (50.0, 8.0, 0.03),
        (35.0, 11.0, 0.03),
        (24.0, 5.6, 0.03),
        (85.0, 2.8, 0.03),
        (25.0, 2.8, 0.015),
        (200.0, 4.0, 0.03),
        (0.5, 8.0, 0.0033),
    ],
)
def test_a_library_differs_by_exactly_the_focal_length(
    focal_mm: float, f_number: float, coc_mm: float
) -> None:
    """sympy's hyperfocal_distance is the second definition, which lacks the + f."""
    library_mm = float(hyperfocal_distance(f=focal_mm, N=f_number, c=coc_mm))
    ours_mm = 1000 * hyperfocal_m(focal_mm, f_number, coc_mm)
    assert ours_mm - library_mm == pytest.approx(focal_mm, abs=1e-8)


# Focal length mm, N, c mm, focus mm; near and far mm.
# Source: none printed; a point traced through a thin lens blurs to exactly c at these distances.
TRACED_LIMITS = [
    (50.0, 8.0, 0.03, 3000.0, 2337.905, 4185.268),
    (50.0, 8.0, 0.03, 5000.0, 3389.371, 9527.439),
    (85.0, 2.8, 0.03, 5000.0, 4729.728, 5303.033),
    (200.0, 4.0, 0.03, 20000.0, 18878.611, 21263.024),
    (100.0, 2.8, 0.03, 8000.0, 7502.157, 8568.613),
    (25.0, 2.8, 0.015, 3000.0, 2500.167, 3749.625),
    (300.0, 2.8, 0.03, 30000.0, 29190.830, 30855.309),
]


@pytest.mark.parametrize(
    ("focal_mm", "f_number", "coc_mm", "focus_mm", "near_mm", "far_mm"), TRACED_LIMITS
)
def test_limits_agree_with_traced_rays(
    focal_mm: float, f_number: float, coc_mm: float, focus_mm: float, near_mm: float, far_mm: float
) -> None:
    """To a hundredth of a millimetre."""
    near_m, far_m = focus_limits_m(focal_mm, f_number, coc_mm, focus_mm / 1000)
    assert 1000 * near_m == pytest.approx(near_mm, abs=0.01)
    assert 1000 * far_m == pytest.approx(far_mm, abs=0.01)


@pytest.mark.parametrize(
    ("divisor", "coc_mm"), [(1500.0, 0.0288), (1730.0, 0.0250), (1000.0, 0.0433)]
)
def test_circles_of_confusion_of_full_frame(divisor: float, coc_mm: float) -> None:
    """Source: encyclopedic article: 1500 modern, 1000 traditional, 1730 without official origin."""
    assert circle_of_confusion_mm(36.0, 24.0, divisor) == pytest.approx(coc_mm, abs=5e-5)


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "coc_mm"),
    [
        (23.6, 15.6, 0.0189),
        (22.3, 14.9, 0.0179),
        (17.3, 13.0, 0.0144),
        (13.2, 8.8, 0.0106),
        (24.89, 18.66, 0.0207),  # frame size from memory
    ],
)
def test_circles_of_confusion_of_smaller_formats(
    width_mm: float, height_mm: float, coc_mm: float
) -> None:
    """Diagonal / 1500; no source prints these, they follow from the sensor sizes."""
    assert circle_of_confusion_mm(width_mm, height_mm) == pytest.approx(coc_mm, abs=5e-5)
