"""The pinhole camera against OpenCV's projection, and shares of the frame against counted rays."""

from __future__ import annotations

from math import asin, atan, atan2, degrees, radians, tan

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from kitplan.stage.frame import Pinhole, pinhole, project, share_of_frame

Floats = NDArray[np.float64]
Place = tuple[float, float, float]
WIDTH_PX, HEIGHT_PX = 3840, 2160
VIEW_DEG = 2 * degrees(atan(20.25 / 2 / 50))
"""50 mm on an active area of 36 x 20.25 mm."""


def _camera(place: Place, aim: Place) -> Pinhole:
    return pinhole(np.array([place]), np.array([aim]), np.array([VIEW_DEG]), 16 / 9)


@pytest.mark.parametrize(
    ("right_m", "down_m", "ahead_m", "expected_px"),
    [
        # OpenCV 5.0.0, cv2.projectPoints with f 50 mm on 36 x 20.25 mm: fx = fy = 5333.333 px
        (1, 0, 10, (2453.33333, 1080.0)),
        (0, -0.5, 5, (1920.0, 546.66667)),
        (1.8, 1.0125, 5, (3840.0, 2160.0)),  # the lower right corner
        (-3.6, -2.025, 10, (0.0, 0.0)),  # the upper left one
        (0.3, 0.2, 2.5, (2560.0, 1506.66667)),
    ],
)
def test_worked_points_before_a_level_camera(
    right_m: float, down_m: float, ahead_m: float, expected_px: tuple[float, float]
) -> None:
    """Points given to the right, down and ahead of the lens."""
    point = np.array([(right_m, ahead_m, -down_m)], dtype=np.float64)
    u, v, depth = project(_camera((0, 0, 0), (0, 1, 0)), point)
    found = (float(u[0, 0]) * WIDTH_PX, float(v[0, 0]) * HEIGHT_PX)
    assert found == pytest.approx(expected_px, abs=0.001)
    assert depth[0, 0] == pytest.approx(ahead_m)


FRONT, HIGH, ASIDE = (
    ((0, -10, 1.5), (0, 0, 1.5)),
    ((0, -10, 3), (0, 0, 1)),
    ((4, -8, 1.6), (0, 0, 1.2)),
)


@pytest.mark.parametrize(
    ("camera", "point", "expected_px"),
    [
        # OpenCV 5.0.0, cv2.Rodrigues and cv2.projectPoints; axes x right, y upstage, z up
        (FRONT, (0, 0, 1.75), (1920.0, 946.667)),
        (FRONT, (-1, 0, 0), (1386.667, 1880.0)),
        (FRONT, (0, 2, 1.75), (1920.0, 968.889)),
        (HIGH, (0, 0, 0), (1920.0, 1583.145)),
        (HIGH, (0, 0, 1.75), (1920.0, 689.756)),
        (HIGH, (1, 0, 1.75), (2450.63, 689.756)),
        (ASIDE, (0, 0, 1.75), (1920.0, 751.797)),
        (ASIDE, (1, 0, 1.75), (2482.409, 747.073)),
        (ASIDE, (0, 2, 1.75), (2365.167, 766.755)),
    ],
)
def test_worked_points_of_the_venue(
    camera: tuple[Place, Place], point: Place, expected_px: tuple[float, float]
) -> None:
    """Nine points before three cameras fall where OpenCV puts them."""
    u, v, _ = project(_camera(*camera), np.array([point]))
    found = (float(u[0, 0]) * WIDTH_PX, float(v[0, 0]) * HEIGHT_PX)
    assert found == pytest.approx(expected_px, abs=0.01)


def test_tilt_and_pan_of_the_worked_cameras() -> None:
    """atan2(-2, 10) = -11.3099 degrees down, atan2(-4, 8) = -26.5651 degrees to the left."""
    high, aside = _camera(*HIGH).forward[0], _camera(*ASIDE).forward[0]
    assert degrees(asin(high[2])) == pytest.approx(-11.3099, abs=1e-4)
    assert degrees(atan2(aside[0], aside[1])) == pytest.approx(-26.5651, abs=1e-4)


NUMBER = 10_000


def test_random_cameras_project_as_opencv_does() -> None:
    """Ten thousand cameras, some steeply tilted, one point ahead of each: to 1e-6 of the frame.

    OpenCV gets the turn of each camera as three axes of its own: right = ahead x up, down = ahead x
    right, and the focal length from the angle of view.
    """
    dice = np.random.default_rng(7)
    places = dice.uniform((-15, -30, 0.5), (15, -5, 20), (NUMBER, 3))
    aims = dice.uniform((-5, 0, 0), (5, 8, 3), (NUMBER, 3))
    points = aims + dice.uniform(-1, 1, (NUMBER, 3))
    views_deg = dice.uniform(3, 70, NUMBER)
    u, v, _ = project(pinhole(places, aims, views_deg, 16 / 9), points[:, None, :])
    expected = np.array(
        [_by_opencv(*each) for each in zip(places, aims, points, views_deg, strict=True)]
    )
    assert len(expected) == NUMBER
    assert np.abs(u[:, 0] - expected[:, 0]).max() < 1e-6
    assert np.abs(v[:, 0] - expected[:, 1]).max() < 1e-6


def _by_opencv(place: Floats, aim: Floats, point: Floats, view_deg: float) -> tuple[float, float]:
    """u and v of one point by cv2.projectPoints."""
    ahead = (aim - place) / np.linalg.norm(aim - place)
    right = np.array([ahead[1], -ahead[0], 0.0]) / np.hypot(ahead[0], ahead[1])
    turn = np.stack([right, np.cross(ahead, right), ahead])
    focal = 0.5 / tan(radians(view_deg) / 2)
    matrix = np.array([[focal * 9 / 16, 0, 0.5], [0, focal, 0.5], [0, 0, 1]])
    seen, _ = cv2.projectPoints(point, cv2.Rodrigues(turn)[0], -turn @ place, matrix, None)
    return float(seen[0, 0, 0]), float(seen[0, 0, 1])


def test_what_is_behind_the_lens_is_not_seen() -> None:
    """OpenCV projects points behind the camera too: (0.5, 0.25, -10) before it to pixel (1653.333,
    946.667). A frame must not show them.
    """
    u, v, depth = project(_camera((0, 0, 0), (0, 1, 0)), np.array([[0.5, -10.0, -0.25]]))
    assert np.isnan(u[0, 0])
    assert np.isnan(v[0, 0])
    assert depth[0, 0] < 0


def test_shares_of_the_frame_equal_counted_rays() -> None:
    """Floor areas under twenty cameras, one of them around the camera: a ray through each of 200 x
    200 points of the frame meets the floor inside the area as often as the share says, to 1 %.
    """
    dice = np.random.default_rng(11)
    for _ in range(20):
        camera = pinhole(
            dice.uniform((-8, -16, 2), (8, -4, 6), (1, 3)),
            dice.uniform((-3, 0, 0), (3, 5, 1), (1, 3)),
            dice.uniform(15, 60, 1),
            16 / 9,
        )
        low, high = np.sort(dice.uniform((-10, -18), (10, 4), (2, 2)), axis=0)
        outline = np.array(
            [(low[0], low[1], 0), (high[0], low[1], 0), (high[0], high[1], 0), (low[0], high[1], 0)]
        )
        share = float(share_of_frame(camera, outline)[0])
        assert share == pytest.approx(_counted(camera, low, high), abs=0.01)


def _counted(camera: Pinhole, low: Floats, high: Floats) -> float:
    steps = (np.arange(200) + 0.5) / 100 - 1
    u, v = np.meshgrid(steps * camera.half_width[0], steps * camera.half_height[0])
    rays = camera.forward[0] + u[..., None] * camera.right[0] + v[..., None] * camera.down[0]
    with np.errstate(divide="ignore"):
        reach = -camera.place_m[0, 2] / rays[..., 2]
    floor = camera.place_m[0, :2] + reach[..., None] * rays[..., :2]
    inside = ((floor >= low) & (floor <= high)).all(axis=-1) & (reach > 0)
    return float(inside.mean())
