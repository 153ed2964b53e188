"""Records of care: what wants to be looked after, how worn a thing is, what runs say of a battery."""

from __future__ import annotations

from datetime import date
from typing import Literal

from kitplan.gear.records import Record

Matter = Literal[
    "service overdue",
    "service due",
    "in repair",
    "repair late",
    "fault",
    "worn",
    "old pack",
    "firmware",
]


class Notice(Record):
    """Something that wants to be looked after."""

    unit: str
    item: str
    owner: str
    matter: Matter
    words: str = ""
    day: date | None = None
    """When it is due or expected, or since when it is so."""


class Wear(Record):
    """How much a unit was used, as far as anybody wrote it down."""

    unit: str
    times_out: int
    """Loans."""
    bookings: int
    charges: int
    """Runs of a battery: each began on a full one."""
    minutes: float
    """Minutes of all its runs."""
    cycles: float | None
    """The same in full charges; None where nobody knows what a new one gives."""


class Health(Record):
    """What runs say of a battery."""

    unit: str
    before: float
    """Health on record."""
    after: float
    """Health as it is now; the same where runs say too little."""
    why: str
