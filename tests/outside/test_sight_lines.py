"""Sight over heads against the C-value of stadium design and against similar triangles.

The C-value is how high the sight line of a row passes over the eyes of the row before it: with D
from those eyes to the point of focus, R their height over it, N the riser and T the depth of a row,
C = D (N + R) / (D + T) - R. Source: Guide to Safety at Sports Grounds, 5th ed. 2008, section 12.3
and diagram 12.1. A head that rises by just C over the eyes therefore just touches the ray from the
row behind, and so it does here: the lens is the eye behind, the block the head before.
"""

from __future__ import annotations

import numpy as np
import pytest

from kitplan.options.sights import blocked_at
from kitplan.shoot.scenery import heads
from tests.small import small_shoot

MILLIMETRE = 0.001


def is_blocked(
    lens: tuple[float, float],
    target_m: float,
    head: tuple[float, float],
    depth_m: float = 0.5,
) -> bool:
    """Return whether heads stop the ray from a lens to a target at y = 0.

    Args:
        lens: How far before the target it is, and how high, in metres.
        target_m: Height of the target.
        head: How far before the target the nearest head is, and how high.
        depth_m: How far people sit behind that one towards the lens; below 0 towards the target.
    """
    (lens_m, lens_height_m), (head_m, head_height_m) = lens, head
    low, high = sorted((-head_m, -head_m - depth_m))
    shoot = small_shoot(
        audience=({"id": "rows", "outline_m": ((-2, low), (2, low), (2, high), (-2, high))},),
        rules={"heads_seated_m": head_height_m},
    )
    place, point = np.array([[0, -lens_m, lens_height_m]]), np.array([0, 0, target_m])
    return bool(blocked_at(place, point, heads(shoot, shoot.passes[0]))[0])


def is_just_free(lens: tuple[float, float], *figures: float, **more: float) -> bool:
    """Return whether a millimetre lower a lens is blocked and a millimetre higher it is free."""
    target_m, head_m, head_height_m = figures
    head = (head_m, head_height_m)
    lower = is_blocked((lens[0], lens[1] - MILLIMETRE), target_m, head, **more)
    higher = is_blocked((lens[0], lens[1] + MILLIMETRE), target_m, head, **more)
    return lower and not higher


# -- C-values --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("c_m", "riser_m"),
    [
        (0.15, 0.48833),  # Plus magazine, University of Cambridge: Stadium Sightline
        (0.0, 0.33333),  # the same, over the eyes themselves
        (0.06, 0.39533),  # the grades of the Guide: 31 / 30 * (10 + C) - 10
        (0.09, 0.42633),
        (0.12, 0.45733),
    ],
)
def test_the_stadium_of_the_puzzle(c_m: float, riser_m: float) -> None:
    """D = 30 m, R = 10 m, T = 1 m: the riser that gives the row behind so much over the heads."""
    assert 30 * (riser_m + 10) / 31 - 10 == pytest.approx(c_m, abs=1e-5)
    assert is_just_free((31, 10 + riser_m), 0.0, 30, 10 + c_m)


ROW_M, RISER_M, SETBACK_M = 0.6096, 0.295275, 0.15
"""Rows of 24 in, risers of 11 5/8 in, eyes 0.15 m before the rear edge of their row."""


@pytest.mark.parametrize(
    ("front_m", "eye_m", "c_mm"),
    [
        # a public sight-line study of an arena (2026): rows 2 to 6
        (7.62, 1.2, (190, 178, 167, 157, 149)),
        (3.048, 1.2, (74, 64, 57, 51, 46)),
        (7.62, 1.6, (162, 152, 142, 134, 127)),
    ],
    ids=["seated-25-ft", "seated-10-ft", "standing-25-ft"],
)
def test_the_rows_of_an_arena(front_m: float, eye_m: float, c_mm: tuple[int, ...]) -> None:
    """The printed C-values, in whole millimetres, are those over which a row just sees.

    Row n looks over the eyes of row n - 1, at D = front + (n - 1) rows - setback and R = eye + (n -
    2) risers. A head half a millimetre and a hair lower than printed leaves the ray free, one that
    much higher stops it.
    """
    for row, printed_mm in enumerate(c_mm, start=2):
        before_m = front_m + (row - 1) * ROW_M - SETBACK_M
        eyes_m = eye_m + (row - 2) * RISER_M
        lens = (before_m + ROW_M, eyes_m + RISER_M)
        low_m, high_m = (eyes_m + (printed_mm + off) / 1000 for off in (-0.6, 0.6))
        assert not is_blocked(lens, 0.0, (before_m, low_m))
        assert is_blocked(lens, 0.0, (before_m, high_m))


# -- similar triangles -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lens_m", "target_m", "head_m", "head_height_m", "gap_m", "height_m"),
    [
        (20, 0.0, 5, 1.3, 0.0, 5.2),
        (20, 1.0, 5, 1.3, 0.1, 2.6),
        (15, 0.6, 12, 1.75, 0.1, 2.1625),
        (25, 1.0, 22, 1.75, 0.0, 1.8523),
        (25, 0.0, 22, 1.75, 0.0, 1.9886),
        (10, 1.2, 8, 1.2, 0.12, 1.35),
        (31, 0.0, 30, 10.0, 0.15, 10.48833),  # R + N of the puzzle above
    ],
)
def test_a_lens_over_heads(
    lens_m: float,
    target_m: float,
    head_m: float,
    head_height_m: float,
    gap_m: float,
    height_m: float,
) -> None:
    """h = z_t + (z_h + g - z_t) X / x, over heads and a wanted gap over them."""
    top_m = head_height_m + gap_m
    assert target_m + (top_m - target_m) * lens_m / head_m == pytest.approx(height_m, abs=1e-4)
    exact_m = target_m + (top_m - target_m) * lens_m / head_m
    assert is_just_free((lens_m, exact_m), target_m, head_m, top_m)


def test_a_target_above_the_heads_is_seen_past_the_last_row() -> None:
    """From 12 m to a target 2 m up over heads of 1.75 m that end 6 m from it: 1.5 m will do.

    2 + (1.75 - 2) * 12 / 6 = 1.5. Here those nearest to the lens decide.
    """
    assert is_just_free((12, 1.5), 2.0, 6, 1.75, depth_m=-2)


@pytest.mark.parametrize(("target_m", "deciding_m"), [(0.0, 5.0), (1.0, 5.0), (2.0, 15.0)], ids=str)
def test_which_row_decides(target_m: float, deciding_m: float) -> None:
    """Heads of 1.3 m from 5 to 15 m, a lens at 20 m: for a target under them the row next to the
    stage, for one above them the row next to the lens.
    """
    height_m = target_m + (1.3 - target_m) * 20 / deciding_m
    assert is_just_free((20, height_m), target_m, 5, 1.3, depth_m=10)
