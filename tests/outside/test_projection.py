"""The pinhole camera against OpenCV's projection, and shares of the frame against counted rays."""

from __future__ import annotations

from math import atan, degrees

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from kitplan.stage.frame import Pinhole, pinhole, project, share_of_frame

Floats = NDArray[np.float64]
WIDTH_PX, HEIGHT_PX = 3840, 2160
VIEW_DEG = 2 * degrees(atan(20.25 / 2 / 50))
"""50 mm on an active area of 36 x 20.25 mm."""


def _camera(place: tuple[float, float, float], aim: tuple[float, float, float]) -> Pinhole:
    return pinhole(np.array([place]), np.array([aim]), np.array([VIEW_DEG]), 16 / 9)


@pytest.mark.parametrize(
    ("place", "aim", "point", "expected_px"),
    [
        # worked with cv2.projectPoints 5.0.0 on the same axes: x right, y upstage, z up
        ((0, -10, 3), (0, 0, 1), (0, 0, 1.75), (1920.0, 689.756)),
        ((0, -10, 3), (0, 0, 1), (0, 0, 0), (1920.0, 1583.145)),
        ((4, -8, 1.6), (0, 0, 1.2), (1, 0, 1.75), (2482.409, 747.073)),
    ],
)
def test_worked_points(
    place: tuple[float, float, float],
    aim: tuple[float, float, float],
    point: tuple[float, float, float],
    expected_px: tuple[float, float],
) -> None:
    """Three points of a worked example fall where OpenCV puts them."""
    u, v, _ = project(_camera(place, aim), np.array([point]))
    found = (float(u[0, 0]) * WIDTH_PX, float(v[0, 0]) * HEIGHT_PX)
    assert found == pytest.approx(expected_px, abs=0.01)


def test_random_cameras_project_as_opencv_does() -> None:
    """A thousand cameras, one point ahead of each: equal to 1e-6 of the frame."""
    dice = np.random.default_rng(7)
    places = dice.uniform((-15, -30, 0.5), (15, -5, 6), (1000, 3))
    aims = dice.uniform((-5, 0, 0), (5, 8, 3), (1000, 3))
    points = aims + dice.uniform(-1, 1, (1000, 3))
    views = dice.uniform(3, 70, 1000)
    cameras = pinhole(places, aims, views, 16 / 9)
    u, v, _ = project(cameras, points[:, None, :])
    for n in range(1000):
        turn = np.stack([cameras.right[n], cameras.down[n], cameras.forward[n]])
        half = float(cameras.half_height[n])
        matrix = np.array([[0.5 / (half * 16 / 9), 0, 0.5], [0, 0.5 / half, 0.5], [0, 0, 1]])
        shift = -turn @ places[n]
        seen, _ = cv2.projectPoints(points[n], cv2.Rodrigues(turn)[0], shift, matrix, None)
        assert (u[n, 0], v[n, 0]) == pytest.approx(tuple(seen.ravel()), abs=1e-6)


def test_what_is_behind_the_lens_is_not_seen() -> None:
    """OpenCV projects points behind the camera too; a frame must not show them."""
    u, v, depth = project(_camera((0, -10, 2), (0, 0, 2)), np.array([[0.5, -20.0, 2.0]]))
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
