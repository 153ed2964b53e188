"""How papers are printed: page size, units of length, form of dates and times.

Lengths come in metres, times as datetimes; what is returned is text for people.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

PaperSize = Literal["a4", "letter"]
Units = Literal["m", "ft"]
Clock = Literal["24", "12"]
MM_PER_INCH = 25.4
PAGES_MM: dict[PaperSize, tuple[float, float]] = {
    "a4": (210.0, 297.0),
    "letter": (8.5 * MM_PER_INCH, 11.0 * MM_PER_INCH),
}
"""Width and height upright (ISO 216; ANSI/ASME Y14.1)."""
HALVES_MM: dict[PaperSize, tuple[float, float]] = {
    "a4": (148.0, 210.0),
    "letter": (5.5 * MM_PER_INCH, 8.5 * MM_PER_INCH),
}
M_PER_FOOT = 0.3048


@dataclass(frozen=True)
class Setting:
    """What the user chose."""

    paper: PaperSize = "a4"
    units: Units = "m"
    clock: Clock = "24"

    def length(self, metres: float) -> str:
        """Return a length: '3.4 m', '11 ft 2 in'."""
        if self.units == "m":
            return f"{metres:.1f} m"
        feet, inches = divmod(round(metres / M_PER_FOOT * 12), 12)
        return f"{feet} ft {inches} in" if inches else f"{feet} ft"

    def time(self, when: datetime) -> str:
        """Return a time of day: '18:30', '6:30 pm'."""
        if self.clock == "24":
            return f"{when:%H:%M}"
        return f"{when.hour % 12 or 12}:{when:%M} {'am' if when.hour < 12 else 'pm'}"

    def second(self, when: datetime) -> str:
        """Return a time of day to the second: '18:30:05', '6:30:05 pm'."""
        if self.clock == "24":
            return f"{when:%H:%M:%S}"
        return f"{when.hour % 12 or 12}:{when:%M:%S} {'am' if when.hour < 12 else 'pm'}"

    def day(self, when: date) -> str:
        """Return a day: 'Sat 15 May 2027', 'Sat, May 15, 2027'."""
        if self.clock == "24":
            return f"{when:%a} {when.day} {when:%b %Y}"
        return f"{when:%a, %b} {when.day}, {when.year}"
