"""When units are away, as it follows from open loans, bookings and open repairs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from itertools import chain
from typing import Any

from kitplan.gear.history import Own
from kitplan.gear.records import Away, Kit
from kitplan.gear.store.desk import Desk

AwayByUnit = Mapping[str, tuple[Away, ...]]


def away_by_unit(desk: Desk, own: Own) -> AwayByUnit:
    """Return the days on which units are away from everybody but a shoot, by unit id."""
    return _by_unit(chain(_lent(desk, own), _booked(desk, own), _in_repair(desk)))


def out_by_unit(desk: Desk, own: Own) -> AwayByUnit:
    """Return the same without what is booked: loans and repairs."""
    return _by_unit(chain(_lent(desk, own), _in_repair(desk)))


def _by_unit(pairs: Iterable[tuple[str, Away]]) -> AwayByUnit:
    found: dict[str, list[Away]] = defaultdict(list)
    for unit, away in pairs:
        found[unit].append(away)
    return {unit: tuple(days) for unit, days in found.items()}


def with_away(kit: Kit, away: AwayByUnit) -> Kit:
    """Return a kit whose units are away on further days than they say themselves."""
    units = tuple(
        unit.model_copy(update={"away": (*unit.away, *away[unit.id])}) if unit.id in away else unit
        for unit in kit.units
    )
    return Kit.model_construct(items=kit.items, units=units)


def _lent(desk: Desk, own: Own) -> Iterator[tuple[str, Away]]:
    """Yield open loans: until they are due; further where nobody knows, or that day is over."""
    today = desk.clock().date()
    for row in desk.rows("SELECT * FROM loans WHERE back_at IS NULL ORDER BY place"):
        if not own.has_signed_out(row["list"]):
            begins, why = _day(row["out_at"]), f"signed out to {row['person']}"
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
    """Yield open repairs: until the day they are expected back; see `_lent`."""
    today = desk.clock().date()
    for row in desk.rows("SELECT * FROM repairs WHERE ended IS NULL ORDER BY place"):
        why = f"in repair ({row['fault']})"
        yield row["unit"], _away(_day(row["begins"]), row["expected"], why, today)


def _away(begins: date, until: Any, why: str, today: date) -> Away:
    ends = None if until is None else _day(until)
    is_known = ends is not None and ends >= max(today, begins)
    return Away(begins=begins, ends=ends if is_known else None, why=_name(why))


def _day(text: str) -> date:
    """Return the day of a stored day or moment."""
    return date.fromisoformat(text[:10])


def _name(words: str) -> str:
    """Return words as short as names are: both parts of them may be that long by themselves."""
    return words if len(words) <= 300 else f"{words[:297]}..."
