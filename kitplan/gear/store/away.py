"""When units are away, as it follows from open loans, bookings and open repairs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from itertools import chain
from typing import Any

from kitplan.gear.history import Own
from kitplan.gear.kit import Away, Kit, Unit
from kitplan.gear.store.desk import Desk, local_day


@dataclass(frozen=True)
class Gone:
    """What loans, bookings and repairs say of units, beside what they say themselves."""

    away: Mapping[str, tuple[Away, ...]]
    """Days away by unit id."""
    mended: frozenset[str]
    """Units in repair that are expected back on a day: until then they are away."""

    def there(self, unit: Unit) -> Unit:
        """Return a unit as it is there; one that comes back from repair counts as worn."""
        if unit.id not in self.away:
            return unit
        facts: dict[str, Any] = {"away": (*unit.away, *self.away[unit.id])}
        if unit.id in self.mended:
            facts["condition"] = "worn"
        return unit.model_copy(update=facts)

    def in_kit(self, kit: Kit) -> Kit:
        """Return a kit with its units as they are there."""
        return Kit.model_construct(items=kit.items, units=tuple(map(self.there, kit.units)))


def gone(desk: Desk, own: Own) -> Gone:
    """Return what keeps units from everybody but a shoot."""
    return _gone(desk, chain(_lent(desk, own), _booked(desk, own)))


def out(desk: Desk, own: Own) -> Gone:
    """Return the same without what is booked: loans and repairs."""
    return _gone(desk, _lent(desk, own))


def _gone(desk: Desk, others: Iterable[tuple[str, Away]]) -> Gone:
    repairs = [*_in_repair(desk)]
    found: dict[str, list[Away]] = defaultdict(list)
    for unit, away in chain(others, repairs):
        found[unit].append(away)
    return Gone(
        {unit: tuple(days) for unit, days in found.items()},
        frozenset(unit for unit, away in repairs if away.ends is not None),
    )


def _lent(desk: Desk, own: Own) -> Iterator[tuple[str, Away]]:
    """Yield open loans: until they are due; further where nobody knows, or that day is over."""
    today = desk.today()
    for row in desk.rows("SELECT * FROM loans WHERE back_at IS NULL ORDER BY place"):
        if not own.has_signed_out(row["list"]):
            begins, why = _out_on(row["out_at"]), f"signed out to {row['person']}"
            yield row["unit"], _away(begins, row["due"], why, today)


def _booked(desk: Desk, own: Own) -> Iterator[tuple[str, Away]]:
    """Yield what others have booked."""
    for row in desk.rows(
        "SELECT booked.unit, booked.begins, booked.ends, bookings.title, bookings.plan FROM booked "
        "JOIN bookings ON bookings.id = booked.booking ORDER BY booked.begins, booked.place"
    ):
        if not own.has_booked(row["plan"], row["title"]):
            why, begins = f"booked for {row['title']}", _day(row["begins"])
            yield row["unit"], Away(begins=begins, ends=_day(row["ends"]), why=_name(why))


def _in_repair(desk: Desk) -> Iterator[tuple[str, Away]]:
    """Yield open repairs: until the day they are expected back; see `_lent`. What works in spite of
    its fault is not away.
    """
    today = desk.today()
    for row in desk.rows(
        "SELECT repairs.* FROM repairs JOIN units ON units.id = repairs.unit "
        "WHERE ended IS NULL AND condition = 'in-repair' ORDER BY repairs.place"
    ):
        why = f"in repair ({row['fault']})"
        yield row["unit"], _away(_day(row["begins"]), row["expected"], why, today)


def _away(begins: date, until: Any, why: str, today: date) -> Away:
    ends = None if until is None else _day(until)
    is_known = ends is not None and ends >= max(today, begins)
    return Away(begins=begins, ends=ends if is_known else None, why=_name(why))


def _out_on(moment: str) -> date:
    return local_day(datetime.fromisoformat(moment))


def _day(text: str) -> date:
    return date.fromisoformat(text)


def _name(words: str) -> str:
    """Return words as short as names are: both parts of them may be that long by themselves."""
    return words if len(words) <= 300 else f"{words[:297]}..."
