"""Flicker against numerical integration, published safe times and camera operators' angles."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from kitplan.optics.flicker import ripple, safe_times_s
from kitplan.optics.light import shutter_angle_deg

# Mains in Hz, denominator of the time, ripple. Source: numpy.sinc, equal to a scan of 2001 start
# phases integrated by scipy's quad.
RIPPLES = [
    (50.0, 100, 0.0),
    (50.0, 50, 0.0),
    (50.0, 25, 0.0),
    (50.0, 60, 0.1654),
    (50.0, 48, 0.0395),
    (50.0, 120, 0.1910),
    (50.0, 125, 0.2339),
    (50.0, 200, 0.6366),
    (50.0, 250, 0.7568),
    (50.0, 500, 0.9355),
    (50.0, 1000, 0.9836),
    (60.0, 120, 0.0),
    (60.0, 60, 0.0),
    (60.0, 40, 0.0),
    (60.0, 30, 0.0),
    (60.0, 24, 0.0),
    (60.0, 50, 0.1261),
    (60.0, 48, 0.1273),
    (60.0, 25, 0.0390),
    (60.0, 100, 0.1559),
    (60.0, 125, 0.0416),
    (60.0, 250, 0.6618),
]


@pytest.mark.parametrize(("mains_hz", "denominator", "expected"), RIPPLES)
def test_ripple_agrees_with_the_window_transform(
    mains_hz: float, denominator: int, expected: float
) -> None:
    """Worked figures to four decimals, and numpy's own sinc."""
    assert ripple(mains_hz, 1 / denominator) == pytest.approx(expected, abs=0.0001)
    by_numpy = abs(float(np.sinc(2 * mains_hz / denominator)))
    assert ripple(mains_hz, 1 / denominator) == pytest.approx(by_numpy, abs=1e-12)


@pytest.mark.parametrize(
    ("mains_hz", "denominator", "modulation"),
    [(50.0, 60, 0.4), (50.0, 125, 1.0), (60.0, 50, 0.3), (60.0, 250, 0.8), (50.0, 50, 1.0)],
)
def test_ripple_agrees_with_integrated_exposures(
    mains_hz: float, denominator: int, modulation: float
) -> None:
    """Expose a pulsing lamp from 401 start phases and take the largest swing from the mean of 1."""
    time_s = 1 / denominator
    pulse_hz = 2 * mains_hz

    def brightness(moment_s: float) -> float:
        return 1 + modulation * math.cos(2 * math.pi * pulse_hz * moment_s)

    starts_s = np.linspace(0, 1 / pulse_hz, 401)
    exposures = [quad(brightness, start, start + time_s)[0] / time_s for start in starts_s]
    largest_swing = max(abs(exposure - 1) for exposure in exposures)
    assert ripple(mains_hz, time_s, modulation) == pytest.approx(largest_swing, abs=0.0001)


def test_ripple_agrees_with_photographed_lamps() -> None:
    """1/200 s under 50 Hz swings by almost 1 EV between frames, 1/100 s not at all.

    Source: photo-spectrum.info (2017); a modulation of 0.52 gives the reported EV.
    """
    swing = ripple(50.0, 1 / 200, modulation=0.52)
    assert math.log2((1 + swing) / (1 - swing)) == pytest.approx(1.0, abs=0.02)
    assert ripple(50.0, 1 / 100, modulation=0.52) == pytest.approx(0.0, abs=1e-12)


def test_safe_times_agree_with_published_ones() -> None:
    """50 Hz: 1/100, 1/50, 3/100, 1/25; 60 Hz: 1/120, 1/60, 1/40, 1/30, 1/24.

    Source: whole light cycles, photo-spectrum.info (2017); common practice.
    """
    assert safe_times_s(50.0, 25.0) == pytest.approx((1 / 100, 1 / 50, 3 / 100, 1 / 25), abs=1e-9)
    expected_s = (1 / 120, 1 / 60, 1 / 40, 1 / 30, 1 / 24)
    assert safe_times_s(60.0, 24.0) == pytest.approx(expected_s, abs=1e-9)


@pytest.mark.parametrize(
    ("fps", "mains_hz", "angles_deg"),
    [
        (25.0, 60.0, (75.0, 150.0, 225.0, 300.0)),  # camera operators' text
        (25.0, 50.0, (90.0, 180.0, 270.0, 360.0)),  # 180 from memory, the rest follows
        (24.0, 50.0, (86.4, 172.8, 259.2, 345.6)),  # 172.8 common practice, no source
        (24.0, 60.0, (72.0, 144.0, 216.0, 288.0, 360.0)),  # 144 from memory, the rest follows
        (30.0, 50.0, (108.0, 216.0, 324.0)),  # 216 from memory, the rest follows
    ],
)
def test_safe_angles_of_camera_operators(
    fps: float, mains_hz: float, angles_deg: tuple[float, ...]
) -> None:
    """360 * fps * n / (2 * mains)."""
    angles = tuple(shutter_angle_deg(time_s, fps) for time_s in safe_times_s(mains_hz, fps))
    assert angles == pytest.approx(angles_deg, abs=1e-6)
