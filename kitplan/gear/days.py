"""Calendar days: in words, and those around one."""

from __future__ import annotations

from datetime import date, timedelta


def in_words(day: date) -> str:
    """Return a day for people: 3 May 2027."""
    return f"{day.day} {day:%b %Y}"


def from_to(begins: date, ends: date) -> str:
    """Return days for people: '15 May 2027', or '14 May 2027 to 16 May 2027'."""
    return in_words(begins) if begins == ends else f"{in_words(begins)} to {in_words(ends)}"


def around(day: date, days: int) -> tuple[date, date]:
    """Return the first and the last day of those around a day."""
    margin = timedelta(days=days)
    return day - margin, day + margin
