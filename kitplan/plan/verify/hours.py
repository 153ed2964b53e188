"""Times of day that may or may not carry an offset: compared without ever failing.

A time without an offset is taken to be in the zone of the one it is compared with.
"""

from __future__ import annotations

from datetime import datetime


def is_by(early: datetime, late: datetime) -> bool:
    """Return whether the first time is not after the second."""
    first, second = _aligned(early, late)
    return first <= second


def minutes_between(early: datetime, late: datetime) -> float:
    """Return the minutes from the first time to the second; negative where it is earlier."""
    first, second = _aligned(early, late)
    return (second - first).total_seconds() / 60


def _aligned(one: datetime, other: datetime) -> tuple[datetime, datetime]:
    if (one.tzinfo is None) == (other.tzinfo is None):
        return one, other
    zone = one.tzinfo or other.tzinfo
    return one.replace(tzinfo=zone), other.replace(tzinfo=zone)
