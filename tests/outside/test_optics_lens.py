"""Angle of view, framing, crop factors and mount rings against figures from outside."""

import cv2
import numpy as np
import pytest
from sympy.physics.optics import lens_formula

from kitplan.optics.lens import (
    angle_of_view_deg,
    crop_factor,
    diagonal_mm,
    frame_height_m,
    ring_is_possible,
    ring_mm,
)

# Focal length in mm; horizontal, vertical and diagonal angle in degrees on 36 x 24 mm.
# Source: table to three decimals on a photographers' mailing list, 1999.
PUBLISHED_ANGLES = [
    (14.0, 104.25, 81.203, 114.182),
    (15.0, 100.389, 77.32, 110.527),
    (17.0, 93.273, 70.435, 103.678),
    (20.0, 83.974, 61.928, 94.493),
    (21.0, 81.203, 59.49, 91.702),
    (24.0, 73.74, 53.13, 84.062),
    (28.0, 65.47, 46.397, 75.381),
    (35.0, 54.432, 37.849, 63.44),
    (50.0, 39.598, 26.991, 46.793),
    (55.0, 36.244, 24.616, 42.943),
    (75.0, 26.991, 18.181, 32.18),
    (90.0, 22.62, 15.189, 27.032),
    (135.0, 15.189, 10.159, 18.208),
    (180.0, 11.421, 7.628, 13.706),
    (200.0, 10.286, 6.867, 12.347),
    (300.0, 6.867, 4.581, 8.249),
    (400.0, 5.153, 3.437, 6.191),
    (1000.0, 2.062, 1.375, 2.479),
]

# Lens and body mount with their flange focal distances in mm, and the ring between them in mm.
# Sources of the distances: mount makers' own pages, a camera dealer's table (PL, E, MFT, M, EF, F),
# a hobby register list (X), an encyclopedia (OCT-19, C). The rings are the differences.
RINGS = [
    ("EF", 44.00, "E", 18.00, 26.00),
    ("F", 46.50, "E", 18.00, 28.50),
    ("PL", 52.00, "EF", 44.00, 8.00),
    ("PL", 52.00, "LPL", 44.00, 8.00),
    ("PL", 52.00, "E", 18.00, 34.00),
    ("EF", 44.00, "RF", 20.00, 24.00),
    ("F", 46.50, "Z", 16.00, 30.50),
    ("F", 46.50, "EF", 44.00, 2.50),
    ("F", 46.50, "X", 17.70, 28.80),
    ("M", 27.80, "E", 18.00, 9.80),
    ("EF", 44.00, "MFT", 19.25, 24.75),
    ("4/3", 38.67, "MFT", 19.25, 19.42),
    ("E", 18.00, "Z", 16.00, 2.00),
]

# Same sources: the lens is made for a shorter distance than the body has.
NO_RINGS = [
    ("EF", 44.00, "F", 46.50),
    ("M42", 45.46, "F", 46.50),
    ("E", 18.00, "EF", 44.00),
    ("Z", 16.00, "E", 18.00),
    ("E", 18.00, "PL", 52.00),
    ("LPL", 44.00, "PL", 52.00),
    ("MFT", 19.25, "L", 20.00),
]


@pytest.mark.parametrize(("focal_mm", "across_deg", "up_deg", "diagonal_deg"), PUBLISHED_ANGLES)
def test_angles_of_view_agree_with_the_published_table(
    focal_mm: float, across_deg: float, up_deg: float, diagonal_deg: float
) -> None:
    """54 values, within the last printed decimal."""
    assert angle_of_view_deg(36.0, focal_mm) == pytest.approx(across_deg, abs=0.001)
    assert angle_of_view_deg(24.0, focal_mm) == pytest.approx(up_deg, abs=0.001)
    full_diagonal_mm = diagonal_mm(36.0, 24.0)
    assert angle_of_view_deg(full_diagonal_mm, focal_mm) == pytest.approx(diagonal_deg, abs=0.001)


@pytest.mark.parametrize(
    ("side_mm", "focal_mm", "angle_deg"),
    [(36.0, 50.0, 39.6), (24.0, 50.0, 27.0), (43.2666, 50.0, 46.8), (22.5, 30.0, 41.1)],
)
def test_angles_of_view_agree_with_encyclopedic_tables(
    side_mm: float, focal_mm: float, angle_deg: float
) -> None:
    """Rounded rows; 30 mm on 22.5 mm is worked in the ScienceZero wiki, article Angle of view."""
    assert angle_of_view_deg(side_mm, focal_mm) == pytest.approx(angle_deg, abs=0.05)


@pytest.mark.parametrize("focal_mm", [8.0, 14.0, 24.0, 35.0, 50.0, 85.0, 200.0, 600.0, 1200.0])
def test_angles_of_view_agree_with_a_computer_vision_library(focal_mm: float) -> None:
    """OpenCV's calibrationMatrixValues, principal point in the middle of 3600 x 2400 pixels."""
    pixels_per_mm = 100.0
    camera = np.array(
        [
            [focal_mm * pixels_per_mm, 0.0, 1800.0],
            [0.0, focal_mm * pixels_per_mm, 1200.0],
            [0.0, 0.0, 1.0],
        ]
    )
    across_deg, up_deg, *_ = cv2.calibrationMatrixValues(camera, (3600, 2400), 36.0, 24.0)
    assert angle_of_view_deg(36.0, focal_mm) == pytest.approx(across_deg, abs=1e-9)
    assert angle_of_view_deg(24.0, focal_mm) == pytest.approx(up_deg, abs=1e-9)


@pytest.mark.parametrize(
    ("focal_mm", "distance_m", "width_mm"),
    [(50.0, 5.0, 3564.0), (85.0, 8.0, 3352.235), (24.0, 3.0, 4464.0), (200.0, 20.0, 3564.0)],
)
def test_framing_agrees_with_the_lens_equation_of_a_library(
    focal_mm: float, distance_m: float, width_mm: float
) -> None:
    """Width on 36 mm; sympy's lens_formula gives the image distance (distances before it < 0)."""
    image_mm = float(lens_formula(focal_length=focal_mm, u=-distance_m * 1000))
    frame_mm = 1000 * frame_height_m(focal_mm, distance_m, 36.0)
    assert frame_mm == pytest.approx(36.0 * distance_m * 1000 / image_mm, rel=1e-9)
    assert frame_mm == pytest.approx(width_mm, abs=0.01)


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "factor"),
    [
        (23.6, 15.6, 1.529),
        (22.3, 14.9, 1.613),
        (17.3, 13.0, 2.000),
        (13.2, 8.8, 2.727),
    ],
)
def test_crop_factors_agree_with_an_open_lens_database(
    width_mm: float, height_mm: float, factor: float
) -> None:
    """Factors that the lensfun 0.3.4 database gives for bodies of these sensors."""
    assert crop_factor(width_mm, height_mm) == pytest.approx(factor, abs=0.001)


def test_crop_factor_of_a_two_thirds_inch_image() -> None:
    """The 11 mm diagonal is in BTA S-1005; 43.2666 / 11 = 3.933."""
    assert crop_factor(9.59, 5.39) == pytest.approx(3.933, abs=0.001)


@pytest.mark.parametrize(("lens", "lens_mm", "body", "body_mm", "thickness_mm"), RINGS)
def test_rings_have_the_published_difference(
    lens: str, lens_mm: float, body: str, body_mm: float, thickness_mm: float
) -> None:
    """And can be made, since each is at least 1 mm thick."""
    assert ring_mm(lens_mm, body_mm) == pytest.approx(thickness_mm, abs=1e-9), f"{lens} on {body}"
    assert ring_is_possible(lens_mm, body_mm), f"{lens} on {body}"


@pytest.mark.parametrize(("lens", "lens_mm", "body", "body_mm"), NO_RINGS)
def test_a_lens_for_a_shorter_flange_distance_takes_no_ring(
    lens: str, lens_mm: float, body: str, body_mm: float
) -> None:
    """No focus at infinity without glass."""
    assert not ring_is_possible(lens_mm, body_mm), f"{lens} on {body}"
