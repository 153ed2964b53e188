"""How papers are printed: page size, units of length, form of dates and times.

Lengths come in metres, times as datetimes; what is returned is text for people.
"""

from __future__ import annotations

from collections.abc import Mapping
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
MARGIN_MM = 14.0
"""Left free on either side of a full page."""
M_PER_FOOT = 0.3048
LETTER_LANDS = frozenset(
    ("CA", "CL", "CO", "CR", "DO", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE")
)
"""Where printers hold Letter (CLDR supplemental data: paperSize US-Letter)."""
FEET_LANDS = frozenset(("LR", "US"))
"""Where stages are measured in feet (CLDR: measurementSystem US)."""
CLOCK_12_LANDS = frozenset(("AU", "CA", "CO", "EG", "IN", "MX", "NZ", "PH", "PK", "PR", "SA", "US"))
"""Where people say 6:30 pm (CLDR: preferred hours h)."""


@dataclass(frozen=True)
class Setting:
    """What the user chose."""

    paper: PaperSize = "a4"
    units: Units = "m"
    clock: Clock = "24"

    @property
    def text_width_mm(self) -> float:
        """Width of what stands on a full page upright, between its margins."""
        return PAGES_MM[self.paper][0] - 2 * MARGIN_MM

    def length(self, metres: float) -> str:
        """Return a length: '3.4 m', '11 ft 2 in', '8 in'."""
        if self.units == "m":
            return f"{metres:.1f} m"
        feet, inches = divmod(round(metres / M_PER_FOOT * 12), 12)
        parts = (f"{feet} ft" if feet or not inches else "", f"{inches} in" if inches else "")
        return " ".join(filter(None, parts))

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


def usual(environment: Mapping[str, str]) -> Setting:
    """Return what is usual in the land that the environment names.

    Args:
        environment: `LC_ALL` goes before `LC_PAPER`, `LC_MEASUREMENT` and `LC_TIME`, these before
            `LANG`; without any, or with one that names no land: A4, metres, 24 hours.
    """
    paper, measure, time = (
        _land(environment, name) for name in ("LC_PAPER", "LC_MEASUREMENT", "LC_TIME")
    )
    return Setting(
        "letter" if paper in LETTER_LANDS else "a4",
        "ft" if measure in FEET_LANDS else "m",
        "12" if time in CLOCK_12_LANDS else "24",
    )


def _land(environment: Mapping[str, str], category: str) -> str:
    """The land of a locale: US for `en_US.UTF-8`."""
    names = (environment.get(name, "") for name in ("LC_ALL", category, "LANG"))
    locale = next(filter(None, names), "")
    return locale.partition(".")[0].partition("@")[0].partition("_")[2].upper()
