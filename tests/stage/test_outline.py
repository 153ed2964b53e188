"""How wide an outline looks from a place."""

from __future__ import annotations

from math import atan2, degrees, hypot, radians, tan

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kitplan.stage.outline import centre_of, width_seen_m

STAGE = ((-4.0, 0.0), (4.0, 0.0), (4.0, 6.0), (-4.0, 6.0))


def test_the_centre_is_that_of_the_bounding_box() -> None:
    """Corners that crowd on one side do not pull it there."""
    assert centre_of(STAGE) == (0, 3)
    assert centre_of(((0, 0), (4, 0), (4, 1), (3.9, 1), (3.8, 2))) == (2, 1)


def test_from_the_front_the_near_edge_is_the_widest() -> None:
    """12 m before the stage, aimed at its middle 15 m away.

    The near corners are 4 m off the axis at 12 m: 4 / 12 * 15 = 5 m to either side at the aim.
    The far corners at 18 m: 4 / 18 * 15 = 3.33 m.
    """
    assert width_seen_m(STAGE, (0, -12), (0, 3)) == pytest.approx(10)


def test_from_far_away_it_is_as_wide_as_it_is() -> None:
    """8 m, and a little for the near edge."""
    assert width_seen_m(STAGE, (0, -10_000), (0, 3)) == pytest.approx(8, rel=1e-3)


def test_from_the_side_the_depth_is_seen() -> None:
    """20 m to the side of the middle: the near corners are 3 m off at 16 m: 3 / 16 * 20 * 2."""
    assert width_seen_m(STAGE, (-20, 3), (0, 3)) == pytest.approx(2 * 3 / 16 * 20)


def test_off_the_middle_the_wider_half_counts_twice() -> None:
    """Aimed at the left edge: the right corners are 8 m off the axis at 12 m, of 15 m: 10 m."""
    assert width_seen_m(STAGE, (-4, -12), (-4, 3)) == pytest.approx(20)


def test_a_corner_beside_the_camera_is_seen_at_80_degrees() -> None:
    """No frame holds it: tan(80 deg) * 2 m to either side at 2 m of distance."""
    triangle = ((-3.0, -1.0), (3.0, -1.0), (0.0, 2.0))
    assert width_seen_m(triangle, (0, 0), (0, 2)) == pytest.approx(
        2 * 2 * tan(radians(80)), rel=1e-6
    )


def test_straight_above_the_outline_is_seen_in_full() -> None:
    """The farthest corner counts, to both sides."""
    assert width_seen_m(STAGE, (0, 3), (0, 3)) == 8


def widest_by_rays(
    outline: tuple[tuple[float, float], ...], camera: tuple[float, float], aim: tuple[float, float]
) -> float:
    """The same by angles: each corner's angle off the axis, its tangent at the aim's distance."""
    axis = atan2(aim[1] - camera[1], aim[0] - camera[0])
    distance = hypot(aim[0] - camera[0], aim[1] - camera[1])
    widest = 0.0
    for x, y in outline:
        off = atan2(y - camera[1], x - camera[0]) - axis
        off = abs((off + np.pi) % (2 * np.pi) - np.pi)
        off = min(off, np.radians(80))
        widest = max(widest, 2 * distance * tan(off))
    return float(widest)


@given(
    st.floats(-30, 30),
    st.floats(-30, -2),
    st.lists(st.tuples(st.floats(-5, 5), st.floats(0, 8)), min_size=3, max_size=6),
)
def test_rays_to_the_corners_agree(x: float, y: float, corners: list[tuple[float, float]]) -> None:
    """Angles off the axis instead of projections."""
    outline, aim = tuple(corners), centre_of(tuple(corners))
    assume(hypot(aim[0] - x, aim[1] - y) > 0.5)
    expected = widest_by_rays(outline, (x, y), aim)
    assert width_seen_m(outline, (x, y), aim) == pytest.approx(expected, rel=1e-6, abs=1e-6)


@given(st.floats(-30, 30), st.floats(-30, -2))
def test_a_mirror_changes_no_width(x: float, y: float) -> None:
    """The stage is the same on both sides."""
    assert width_seen_m(STAGE, (x, y), (0, 3)) == pytest.approx(
        width_seen_m(STAGE, (-x, y), (0, 3))
    )


@pytest.mark.parametrize("angle_deg", [0, 20, 40, 60])
def test_every_corner_is_in_the_frame(angle_deg: float) -> None:
    """Half the width at the aim's distance is an angle that no corner is beyond."""
    camera = (20 * np.sin(np.radians(angle_deg)), 3 - 20 * np.cos(np.radians(angle_deg)))
    half_deg = degrees(atan2(width_seen_m(STAGE, camera, (0, 3)) / 2, 20))
    for x, y in STAGE:
        to_corner = np.array([x, y]) - camera
        to_aim = np.array([0, 3]) - camera
        cosine = to_corner @ to_aim / np.linalg.norm(to_corner) / np.linalg.norm(to_aim)
        assert degrees(np.arccos(cosine)) <= half_deg + 1e-6
