"""Sound on its way: how fast it travels, how late it arrives, how far clocks drift apart."""

from __future__ import annotations

from math import sqrt

from kitplan.optics.lens import OpticsError

ZERO_C_M_PER_S, ZERO_C_K = 331.3, 273.15
"""Speed of sound in dry air at 0 degrees Celsius, and that temperature in kelvin (textbooks)."""


def sound_m_per_s(air_c: float) -> float:
    """Return the speed of sound in air in m/s: 331.3 * sqrt(1 + T / 273.15), T in degrees Celsius.

    Raises:
        OpticsError: At or below the absolute zero.
    """
    if air_c <= -ZERO_C_K:
        raise OpticsError(f"{air_c:g} degrees Celsius is no temperature")
    return ZERO_C_M_PER_S * sqrt(1 + air_c / ZERO_C_K)


def delay_s(distance_m: float, air_c: float) -> float:
    """Return how much later than the picture a sound arrives, in s."""
    return distance_m / sound_m_per_s(air_c)


def drift_s(length_s: float, clock_ppm: float) -> float:
    """Return how far two clocks drift apart within a time, in s, if one is off by so many parts in
    a million against the other.
    """
    return length_s * clock_ppm / 1e6
