"""Conversions and the one place where the solver's whole numbers are rounded to the safe side.

Metres on stage, millimetres in optics, kilograms, litres, minutes, lux. The solver counts in
grams, centimetres, centilitres and tenths of a minute; what a rig needs is rounded up, what is
allowed is rounded down.
"""

from __future__ import annotations

from math import ceil, floor

MM_PER_M = 1000.0
SECONDS_PER_MINUTE = 60.0
_DIGITS = 6  # 4.03 * 1000 is a hair above 4030: round the product before taking ceil or floor


def _up(value: float) -> int:
    return ceil(round(value, _DIGITS))


def _down(value: float) -> int:
    return floor(round(value, _DIGITS))


def load_g(mass_kg: float) -> int:
    """Whole grams, rounded up: the solver must never see a load lighter than it is."""
    return _up(mass_kg * 1000)


def limit_g(mass_kg: float) -> int:
    """Whole grams, rounded down, for the same reason."""
    return _down(mass_kg * 1000)


def span_cm(length_m: float) -> int:
    """Whole centimetres that a thing takes up, rounded up."""
    return _up(length_m * 100)


def room_cm(length_m: float) -> int:
    """Whole centimetres that are free, rounded down."""
    return _down(length_m * 100)


def bulk_cl(volume_l: float) -> int:
    """Whole centilitres that a thing takes up, rounded up."""
    return _up(volume_l * 100)


def room_cl(volume_l: float) -> int:
    """Whole centilitres that are free, rounded down."""
    return _down(volume_l * 100)


def work_tenths(minutes: float) -> int:
    """Tenths of a minute that a job takes, rounded up."""
    return _up(minutes * 10)


def budget_tenths(minutes: float) -> int:
    """Tenths of a minute that are available, rounded down."""
    return _down(minutes * 10)


def work_s(minutes: float) -> int:
    """Whole seconds that a job takes, rounded up."""
    return _up(minutes * SECONDS_PER_MINUTE)


def budget_s(minutes: float) -> int:
    """Whole seconds that are available, rounded down."""
    return _down(minutes * SECONDS_PER_MINUTE)


def clock(minutes: float) -> str:
    """Return a length of time in words: '45 min', '2 h 05'."""
    whole = round(minutes)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d}"
