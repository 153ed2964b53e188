"""Figures as they are set: ISO marks, shutter speeds, five-minute steps."""

from __future__ import annotations

import pytest

from kitplan.paper.marks import down_to_step, iso_setting, speed, up_to_step


@pytest.mark.parametrize(
    ("iso", "mark"),
    [(100, 100), (346.5, 320), (1517, 1600), (1780, 1600), (1800, 2000), (25600, 25600), (3, 50)],
)
def test_iso_is_the_nearest_third_stop(iso: float, mark: int) -> None:
    """Nearest in stops, not in numbers: 1600 to 2000 parts at their geometric mean, 1789."""
    assert iso_setting(iso) == mark


@pytest.mark.parametrize(
    ("minutes", "up", "down"), [(0, 0, 0), (5, 5, 5), (5.01, 10, 5), (153, 155, 150)]
)
def test_work_is_rounded_up_and_what_is_available_down(minutes: float, up: int, down: int) -> None:
    """Paper must never promise a minute too many."""
    assert (up_to_step(minutes), down_to_step(minutes)) == (up, down)


def test_shutter_is_a_fraction() -> None:
    """As on the dial."""
    assert speed(0.02) == "1/50 s"
