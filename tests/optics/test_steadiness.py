"""Tremors that add as the root of the sum of squares, and what they do to a picture."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.optics.steadiness import movement_share, tremor_deg

degrees = st.floats(0, 1)
stops = st.floats(0, 6)


@pytest.mark.parametrize(
    ("support_deg", "floor_deg", "wind_deg", "found"),
    [
        (0.03, 0.04, 0, 0.05),  # 3-4-5
        (0.012, 0, 0, 0.012),
        (0, 0, 0.015, 0.015),
        (0.02, 0.04, 0.04, 0.06),  # 2-4-4: 4 + 16 + 16 = 36
    ],
)
def test_independent_tremors_add_as_squares(
    support_deg: float, floor_deg: float, wind_deg: float, found: float
) -> None:
    """The root of the sum of the squares."""
    assert float(tremor_deg(support_deg, floor_deg, wind_deg)) == pytest.approx(found)


def test_a_stop_of_stabilisation_halves_its_part() -> None:
    """0.12 by two stops is 0.03, 0.08 by one stop is 0.04: together 0.05. Wind is not helped."""
    assert float(tremor_deg(0.12, 0.08, 0, 2, 1)) == pytest.approx(0.05)
    assert float(tremor_deg(0, 0, 0.015, 9, 9)) == pytest.approx(0.015)


@given(degrees, degrees, degrees, stops, stops)
def test_no_tremor_is_less_than_its_parts_or_more_than_their_sum(
    support_deg: float, floor_deg: float, wind_deg: float, hand: float, floor: float
) -> None:
    """A stabiliser never makes it worse."""
    parts = (support_deg / 2**hand, floor_deg / 2**floor, wind_deg)
    found = float(tremor_deg(support_deg, floor_deg, wind_deg, hand, floor))
    assert max(parts) - 1e-12 <= found <= sum(parts) + 1e-12
    assert found <= float(tremor_deg(support_deg, floor_deg, wind_deg)) + 1e-12


def test_cameras_are_taken_all_at_once() -> None:
    """Each with its own stabiliser."""
    found = tremor_deg(0.08, 0, 0, np.array([0, 1, 3]))
    assert found == pytest.approx([0.08, 0.04, 0.01])


@pytest.mark.parametrize(("view_deg", "share"), [(5, 0.04), (60, 1 / 300), (0.2, 1)])
def test_a_movement_is_a_share_of_the_angle_of_view(view_deg: float, share: float) -> None:
    """0.2 degrees of 5 are 4 % of the frame's height, of 60 a third of a percent."""
    assert float(movement_share(np.array(0.2), np.array(view_deg))) == pytest.approx(share)
