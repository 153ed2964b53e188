"""Figures as they are set on a camera or stand on paper: ISO, shutter, steps of five minutes."""

from __future__ import annotations

from math import ceil, log

STEP_MIN = 5
"""Times on paper stand in steps of five minutes."""
THIRD_STOP_ISOS = (50, 64, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1250, 1600)
"""The usual series of ISO settings; it goes on by doubling. Common practice."""
LEAST_ND_STOPS = 0.1


def up_to_step(minutes: float) -> int:
    """Return minutes for paper, rounded up to a step of five."""
    return ceil(round(minutes, 6) / STEP_MIN) * STEP_MIN


def down_to_step(minutes: float) -> int:
    """Return minutes for paper, rounded down to a step of five."""
    return int(round(minutes, 6) // STEP_MIN) * STEP_MIN


def iso_setting(iso: float) -> int:
    """Return the setting of the usual third-stop series that is nearest to an ISO speed."""
    factor = 1
    while iso > THIRD_STOP_ISOS[-1] * factor * 1.1:
        factor *= 2
    return min((factor * mark for mark in THIRD_STOP_ISOS), key=lambda mark: abs(log(mark / iso)))


def speed(shutter_s: float) -> str:
    """Return a shutter time as it is set: '1/50 s'."""
    return f"1/{1 / shutter_s:.4g} s"
