"""Bookings: which units are spoken for on which days. No unit is promised twice for a day."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from kitplan.errors import NotFree, StoreError
from kitplan.gear.days import from_to, in_words
from kitplan.gear.history import Booked, Booking, Own
from kitplan.gear.kit import Unit
from kitplan.gear.store.away import Gone, out
from kitplan.gear.store.desk import Desk, as_json
from kitplan.wording import nearest, plain

_FREE_COLUMNS = "id, item, owner, condition, available_from, available_until, away"


class Bookings:
    """Books units, changes bookings and lets go of them; all that is asked for at once, or nothing.

    Rows of a booking that a change leaves alone are not touched, so that the ledger tells what did
    change.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def all(self) -> tuple[Booking, ...]:
        """Return every booking, by its first day."""
        found = self._bookings("", [])
        return tuple(sorted(found, key=lambda each: (each.begins, each.id)))

    def find(self, booking_id: str) -> Booking:
        """Return a booking.

        Raises:
            StoreError: If there is none of that id.
        """
        found = self._bookings(" WHERE bookings.id = ?", [booking_id])
        if not found:
            known = [row["id"] for row in self._desk.rows("SELECT id FROM bookings")]
            near = nearest(booking_id, known)
            raise StoreError(
                f"there is no booking '{plain(booking_id)}'",
                where=self._desk.where,
                fix=f"Did you mean '{near}'?" if near else "`kitplan gear bookings` lists them",
            )
        return found[0]

    def of(self, unit_id: str) -> tuple[tuple[Booking, Booked], ...]:
        """Return what a unit is booked for, with the days, the first ones first."""
        where = " WHERE bookings.id IN (SELECT booking FROM booked WHERE unit = ?)"
        found = [(b, each) for b in self._bookings(where, [unit_id]) for each in b.booked]
        own = [pair for pair in found if pair[1].unit == unit_id]
        return tuple(sorted(own, key=lambda pair: pair[1].begins))

    def book(self, booking: Booking) -> Booking | None:
        """Enter a booking; one of the same id makes way for it. Return the one that was there.

        Raises:
            NotFree: If anything stands in the way: with all of it; then nothing changes.
            StoreError: If a unit does not exist, or the id belongs to another shoot's booking.
        """
        with self._desk.writing("booked"):
            before = self._before(booking)
            own = Own(((booking.plan, booking.title),) if booking.plan else ())
            reasons = [
                *self._double(booking),
                *_bars(self._known(booking), out(self._desk, own), booking),
            ]
            if reasons:
                raise NotFree(
                    reasons,
                    where=self._desk.where,
                    fix="Plan again, which takes only what is free, or release what is in the way",
                )
            self._write(booking, before)
        return before

    def release(self, booking_id: str) -> Booking:
        """Let go of everything that is booked under an id, and return what it was.

        Raises:
            StoreError: If there is none of that id.
        """
        with self._desk.writing("released"):
            booking = self.find(booking_id)
            self._desk.db.execute("DELETE FROM booked WHERE booking = ?", [booking_id])
            self._desk.db.execute("DELETE FROM bookings WHERE id = ?", [booking_id])
        return booking

    # -- what stands in the way ----------------------------------------------------------------

    def _before(self, booking: Booking) -> Booking | None:
        """Return the booking that a new one replaces.

        Raises:
            StoreError: If that is of another shoot.
        """
        found = self._bookings(" WHERE bookings.id = ?", [booking.id])
        if found and (found[0].plan, found[0].title) != (booking.plan, booking.title):
            raise StoreError(
                f"the booking '{booking.id}' is of another shoot, {found[0].title}",
                where=self._desk.where,
                fix="Book under another id with --as, or release that one first",
            )
        return found[0] if found else None

    def _double(self, booking: Booking) -> Iterator[str]:
        """Yield which other bookings, of the same shoot too, have units of it on its days."""
        wanted = [each.model_dump(mode="json") for each in booking.booked]
        rows = self._desk.rows(
            "SELECT DISTINCT booked.unit, booked.begins, booked.ends, bookings.id, bookings.title, "
            "bookings.plan FROM json_each(:wanted) AS new "
            "JOIN booked ON booked.unit = json_extract(new.value, '$.unit') "
            "AND booked.begins <= json_extract(new.value, '$.ends') "
            "AND booked.ends >= json_extract(new.value, '$.begins') "
            "JOIN bookings ON bookings.id = booked.booking AND bookings.id <> :own "
            "ORDER BY booked.begins, bookings.id, booked.unit",
            {"wanted": as_json(wanted), "own": booking.id},
        )
        by_booking: dict[str, list[str]] = {}
        for row in rows:
            begins, ends = date.fromisoformat(row["begins"]), date.fromisoformat(row["ends"])
            words = f"booked for {row['title']} ({row['id']}), {from_to(begins, ends)}"
            by_booking.setdefault(words, []).append(row["unit"])
        yield from (f"{words}: {', '.join(units)}" for words, units in by_booking.items())

    def _known(self, booking: Booking) -> dict[str, Unit]:
        """Return the units of a booking, with what says when they can be had.

        Raises:
            StoreError: If one does not exist.
        """
        rows = self._desk.rows(
            f"SELECT {_FREE_COLUMNS} FROM units WHERE id IN (SELECT value FROM json_each(?))",
            [as_json(booking.units)],
        )
        units = {
            row["id"]: self._desk.record(Unit, row | {"away": json.loads(row["away"])})
            for row in rows
        }
        unknown = [plain(unit) for unit in booking.units if unit not in units]
        if unknown:
            raise StoreError(
                f"not in the inventory: {', '.join(unknown)}",
                where=self._desk.where,
                fix="Book a plan that was made with this inventory",
            )
        return units

    # -- rows ----------------------------------------------------------------------------------

    def _write(self, booking: Booking, before: Booking | None) -> None:
        self._desk.put(
            "bookings",
            {
                "id": booking.id,
                "title": booking.title,
                "begins": booking.begins.isoformat(),
                "ends": booking.ends.isoformat(),
                "plan": booking.plan,
                "note": booking.note,
            },
        )
        old = () if before is None else before.booked
        for each in old:
            if each not in booking.booked:
                self._desk.db.execute(
                    "DELETE FROM booked WHERE booking = ? AND unit = ? AND begins = ?",
                    (booking.id, each.unit, each.begins.isoformat()),
                )
        for each in booking.booked:
            if each not in old:
                self._desk.add("booked", {"booking": booking.id} | each.model_dump(mode="json"))

    def _bookings(self, where: str, values: list[Any]) -> tuple[Booking, ...]:
        rows = self._desk.rows(
            "SELECT bookings.id, title, plan, note, booked.unit, booked.begins, booked.ends "
            f"FROM bookings JOIN booked ON booked.booking = bookings.id{where} "
            "ORDER BY bookings.place, booked.place",
            values,
        )
        found: dict[str, dict[str, Any]] = {}
        for row in rows:
            each = {name: row.pop(name) for name in ("unit", "begins", "ends")}
            found.setdefault(row["id"], row | {"booked": []})["booked"].append(each)
        return tuple(self._desk.record(Booking, data) for data in found.values())


def _bars(units: dict[str, Unit], gone: Gone, booking: Booking) -> Iterator[str]:
    """Yield what else keeps units from being there on their days: of each unit the first reason."""
    by_bar: dict[str, list[str]] = {}
    told: set[str] = set()
    for each in booking.booked:
        unit = gone.there(units[each.unit])
        number = (each.ends - each.begins).days + 1
        for day in (each.begins + timedelta(days=ahead) for ahead in range(number)):
            bar = unit.bar_on(day)
            if bar is not None and unit.id not in told:
                told.add(unit.id)
                by_bar.setdefault(f"{bar}, so not there on {in_words(day)}", []).append(unit.id)
    yield from (f"{words}: {', '.join(ids)}" for words, ids in by_bar.items())
