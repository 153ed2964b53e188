"""Records of care: what wants to be looked after, how worn things are, what runs say."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from typing import Literal

from kitplan.gear.health import OLD
from kitplan.gear.kit import Kit
from kitplan.gear.records import Battery, Record

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
    lists: int
    """Packing lists that it went out with."""
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
    hint: str = ""
    """What would make plans truer, where its runs say that minutes on record are not."""


def doubts(kit: Kit, unit_ids: Collection[str], day: date) -> list[str]:
    """Return what to look at before units are used on a day, a sentence for each matter."""
    units = [unit for unit in kit.units if unit.id in unit_ids]
    packs = {item.id for item in kit.of_kind(Battery)}
    listed = {
        "Service overdue by then": [
            f"{unit.id} (due {unit.service_due})"
            for unit in units
            if unit.service_due is not None and unit.service_due < day
        ],
        "With a fault": [f"{unit.id} ({unit.fault})" for unit in units if unit.fault],
        "Worn": [unit.id for unit in units if unit.condition == "worn" and not unit.fault],
        "Old packs": [
            f"{unit.id} ({unit.health:.0%} of its minutes)"
            for unit in units
            if unit.item in packs and unit.health < OLD
        ],
    }
    return [f"{words}: {', '.join(found)}." for words, found in listed.items() if found]
