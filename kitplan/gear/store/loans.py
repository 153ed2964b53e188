"""Loans: who has which unit, since when, until when. A unit is in one hand at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from kitplan.checked import validated
from kitplan.errors import NotFree, StoreError
from kitplan.gear.days import in_words
from kitplan.gear.history import Loan, SignedOut
from kitplan.gear.records import USABLE, Condition
from kitplan.gear.store.care import Care
from kitplan.gear.store.desk import Desk, as_json, local_day
from kitplan.wording import nearest, plain

_COLUMNS = ", ".join(Loan.model_fields)
_AMONG = "IN (SELECT value FROM json_each(?))"
_MOST_NAMED = 12
"""A sentence about more units than these names the first ones."""


class Loans:
    """Signs units out and back; all that is asked for at once, or nothing."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def open(
        self, *, person: str | None = None, units: Iterable[str] | None = None
    ) -> tuple[Loan, ...]:
        """Return what is out, in the order it went; of a person or among units where given."""
        where, values = "back_at IS NULL", []
        if person is not None:
            where, values = f"{where} AND person = ?", [person]
        if units is not None:
            where, values = f"{where} AND unit {_AMONG}", [*values, as_json([*units])]
        return self._loans(where, values)

    def of(self, unit_id: str) -> tuple[Loan, ...]:
        """Return every loan of a unit, the first one first."""
        return self._loans("unit = ?", [unit_id])

    def holder(self, unit_id: str) -> Loan | None:
        """Return the open loan of a unit; None where it is in."""
        found = self.open(units=[unit_id])
        return found[0] if found else None

    def people(self) -> tuple[str, ...]:
        """Return who ever borrowed or owns something."""
        rows = self._desk.rows("SELECT person FROM loans UNION SELECT owner FROM units")
        return tuple(row["person"] for row in rows)

    def at_home(self, case_id: str) -> tuple[str, ...]:
        """Return what should be in a case, itself included: all that lives in it and in the cases
        within, and is neither signed out nor missing or retired.

        Raises:
            StoreError: If there is no such unit.
        """
        self._conditions([case_id])
        rows = self._desk.rows(
            "WITH RECURSIVE found (id) AS (VALUES (?) UNION "
            "SELECT units.id FROM units JOIN found ON units.home_case = found.id) "
            "SELECT units.id FROM found JOIN units USING (id) "
            "WHERE condition NOT IN ('missing', 'retired') AND NOT EXISTS "
            "(SELECT 1 FROM loans WHERE loans.unit = units.id AND back_at IS NULL)",
            [case_id],
        )
        return tuple(row["id"] for row in rows)

    # -- out -----------------------------------------------------------------------------------

    def sign_out(
        self,
        unit_ids: Sequence[str],
        person: str,
        *,
        due: date | None = None,
        list_name: str = "",
        note: str = "",
        only_free: bool = False,
        despite_bookings: bool = False,
    ) -> SignedOut:
        """Give units to a person.

        What the person has already stays with them; a due date that is given holds for it too.

        Args:
            list_name: What they go out with: a shoot and its pass, `depot-brass/show`.
            only_free: Take what can be had and leave the rest, rather than nothing at all.
            despite_bookings: Give out what another shoot has booked for one of the days as well.
        Raises:
            NotFree: If somebody else has one of them, has it booked, or it is not fit to go out:
                with all that stands in the way; then none of them goes.
            StoreError: If one of them does not exist.
            BadInput: If the person has no name, or a text holds what no paper can show.
        """
        with self._desk.writing("signed out"):
            conditions = self._conditions(unit_ids)
            held = {loan.unit: loan for loan in self.open(units=conditions)}
            own = {unit: loan for unit, loan in held.items() if _is_same(loan.person, person)}
            wanted = {unit: word for unit, word in conditions.items() if unit not in own}
            booked = {} if despite_bookings else self._booked(wanted, due, list_name)
            left = booked | _bars(wanted, held)
            if left and not only_free:
                raise NotFree(
                    grouped_reasons(left), where=self._desk.where, fix=_way_out(left, held, booked)
                )
            for unit, condition in conditions.items():
                if unit not in left and unit not in own:
                    self._add(unit, person, due, condition, list_name, note)
            if due is not None:
                self._prolong(own, due)
            open_ended = [unit for unit in conditions if unit not in left and due is None]
            later = self._booked(open_ended, date.max, list_name)
            now = self.open(units=[unit for unit in conditions if unit not in left])
        return SignedOut(
            loans=tuple(loan for loan in now if loan.unit not in own),
            already=tuple(loan for loan in now if loan.unit in own),
            left=left,
            booked_later={
                loan.unit: later[loan.unit]
                for loan in now
                if loan.due is None and loan.unit in later
            },
        )

    def _prolong(self, units: Iterable[str], due: date) -> None:
        self._desk.db.execute(
            f"UPDATE loans SET due = ? WHERE back_at IS NULL AND due IS NOT ? AND unit {_AMONG}",
            (due.isoformat(), due.isoformat(), as_json([*units])),
        )

    def _add(
        self,
        unit: str,
        person: str,
        due: date | None,
        condition: Condition,
        list_name: str,
        note: str,
    ) -> None:
        data = {
            "unit": unit,
            "person": person,
            "list": list_name,
            "out_at": self._desk.moment(),
            "due": due,
            "condition_out": condition,
            "note": note,
        }
        loan = validated(Loan, data, file="the loan", line_of=lambda _: 0)
        self._desk.add("loans", loan.model_dump(mode="json", exclude_unset=True))

    # -- back ----------------------------------------------------------------------------------

    def sign_back(
        self, unit_ids: Sequence[str], *, condition: Condition | None = None, note: str = ""
    ) -> tuple[Loan, ...]:
        """Take units back and return the closed loans.

        A unit that is not out but was missing is found again where its condition is given; it has
        no loan to close.

        Args:
            condition: What they are like now; None for as they are on record. A unit that comes
                back missing or worse is changed on record as well.
        Raises:
            StoreError: If one of them does not exist.
            NotFree: If one of them is not out, or was missing and nobody says what it is like:
                with all of them; then none is taken back.
        """
        with self._desk.writing("signed back"):
            before = self._conditions(unit_ids)
            out = [loan.unit for loan in self.open(units=before)]
            missing = [unit for unit, word in before.items() if word == "missing"]
            wrong = {u: "not signed out" for u in before if u not in out and u not in missing}
            if condition is None:
                words = "missing on record: say what it is like with --condition"
                wrong |= dict.fromkeys(missing, words)
            if wrong:
                fix = "`kitplan gear who` shows what is out"
                raise NotFree(grouped_reasons(wrong), where=self._desk.where, fix=fix)
            for unit, as_it_was in before.items():
                self._close(unit, condition or as_it_was, note)
            return self._closed(out)

    def settle(
        self,
        back: Sequence[str] = (),
        *,
        missing: Sequence[str] = (),
        swaps: Sequence[tuple[str, str]] = (),
        conditions: Mapping[str, Condition] | None = None,
        note: str = "",
    ) -> tuple[Loan, ...]:
        """Write down what a count has found, as one change, and return the closed loans.

        Args:
            back: Units that are here: those that are out are taken back.
            missing: Units that are lost: their loans end, and they are missing on record.
            swaps: Pairs of a unit that should have come and the one that came in its place, which
                the crew takes as it is: whoever had signed for the second has the first now; where
                nobody had, the first counts as back.
            conditions: What units are like now, where that is not what is on record. What was
                missing and is here counts as good unless it stands there.
        Raises:
            StoreError: If one of them does not exist.
        """
        words: dict[str, Condition] = dict(conditions or {})
        listed = [unit for unit, _ in swaps]
        came = [unit for _, unit in swaps]
        named = [*back, *missing, *listed, *came, *words]
        with self._desk.writing("counted"):
            before = self._conditions(named)
            out = {loan.unit: loan for loan in self.open(units=before)}
            for unit in dict.fromkeys([*back, *came, *words]):
                found = "good" if before[unit] == "missing" else before[unit]
                self._close(unit, words.get(unit, found), note)
            for unit in missing:
                self._close(unit, "missing", note)
            for unit, other in swaps:
                self._close(unit, before[unit], f"{other} came in its place")
                if other in out:
                    loan = out[other]
                    self._add(unit, loan.person, loan.due, before[unit], loan.list, f"for {other}")
            return self._closed(out)

    def _close(self, unit: str, condition: Condition, note: str) -> None:
        """End the loan of a unit, if it is out, and write down what it is like."""
        self._desk.db.execute(
            "UPDATE loans SET back_at = ?, condition_back = ?, note = trim(note || ' ' || ?) "
            "WHERE unit = ? AND back_at IS NULL",
            (self._desk.moment(), condition, note, unit),
        )
        self._desk.db.execute(
            "UPDATE units SET condition = ?1 WHERE id = ?2 AND condition <> ?1", (condition, unit)
        )
        if condition == "in-repair":
            Care(self._desk).came_broken(unit, note)

    def _closed(self, units: Iterable[str]) -> tuple[Loan, ...]:
        """Return the last loan of each unit that has ended."""
        last = f"SELECT max(place) FROM loans WHERE unit {_AMONG} AND back_at IS NOT NULL"
        return self._loans(f"place IN ({last} GROUP BY unit)", [as_json([*units])])

    # -- looking up ----------------------------------------------------------------------------

    def item_by_unit(self, ids: Iterable[str]) -> dict[str, str]:
        """Return the items of units by id; those that differ in small and capital letters only are
        there too where an id is not known as it is written.
        """
        wanted = list(ids)
        query = "SELECT id, item FROM units WHERE"
        found = self._desk.rows(f"{query} id {_AMONG}", [as_json(wanted)])
        if strange := {*wanted} - {row["id"] for row in found}:
            folded = as_json([each.lower() for each in strange])
            found += self._desk.rows(f"{query} lower(id) {_AMONG}", [folded])
        return {row["id"]: row["item"] for row in found}

    def _booked(self, units: Iterable[str], due: date | None, list_name: str) -> dict[str, str]:
        """Return which units other shoots have booked from today until a loan is due, and why."""
        today = self._desk.today()
        rows = self._desk.rows(
            "SELECT booked.unit, booked.begins, bookings.title FROM booked "
            "JOIN bookings ON bookings.id = booked.booking "
            f"WHERE booked.unit {_AMONG} AND booked.begins <= ? AND booked.ends >= ? "
            "AND bookings.plan <> ? ORDER BY booked.begins DESC",
            [
                as_json([*units]),
                (due or today).isoformat(),
                today.isoformat(),
                list_name.partition("/")[0] or "/",
            ],
        )
        return {
            row["unit"]: f"booked for {row['title']} from "
            f"{in_words(date.fromisoformat(row['begins']))}"
            for row in rows
        }

    def _conditions(self, unit_ids: Iterable[str]) -> dict[str, Condition]:
        """Return the condition of each unit by id.

        Raises:
            StoreError: If there is no such unit.
        """
        ids = list(dict.fromkeys(unit_ids))
        rows = self._desk.rows(f"SELECT id, condition FROM units WHERE id {_AMONG}", [as_json(ids)])
        found: dict[str, Condition] = {row["id"]: row["condition"] for row in rows}
        if unknown := [unit for unit in ids if unit not in found]:
            known = [row["id"] for row in self._desk.rows("SELECT id FROM units")]
            near = nearest(unknown[0], known)
            many = f"these units are unknown: {_named(unknown)}"
            raise StoreError(
                f"there is no unit '{plain(unknown[0])}'" if len(unknown) == 1 else many,
                where=self._desk.where,
                fix=f"Did you mean '{near}'?" if near else "`kitplan gear list --units` shows all",
            )
        return {unit: found[unit] for unit in ids}

    def _loans(self, where: str, values: Sequence[Any]) -> tuple[Loan, ...]:
        rows = self._desk.rows(f"SELECT {_COLUMNS} FROM loans WHERE {where} ORDER BY place", values)
        return tuple(self._desk.record(Loan, row) for row in rows)


def grouped_reasons(by_unit: Mapping[str, str]) -> list[str]:
    """Return sentences about units, one for each reason: 'a-1, b-1 are missing'."""
    units: dict[str, list[str]] = {}
    for unit, why in by_unit.items():
        units.setdefault(why, []).append(unit)
    return [
        f"{_named(those)} {'is' if len(those) == 1 else 'are'} {why}"
        for why, those in units.items()
    ]


def _bars(conditions: Mapping[str, Condition], held: Mapping[str, Loan]) -> dict[str, str]:
    """Return why units cannot go out, by unit."""
    found: dict[str, str] = {}
    for unit, condition in conditions.items():
        if unit in held:
            since = local_day(held[unit].out_at)
            found[unit] = f"with {held[unit].person} since {in_words(since)}"
        elif condition not in USABLE:
            found[unit] = "in repair" if condition == "in-repair" else condition
    return found


def _way_out(left: Mapping[str, str], held: Mapping[str, Loan], booked: Mapping[str, str]) -> str:
    """Return what can be done where units cannot go out."""
    ways = ["take the rest with --what-is-free"]
    if held.keys() & left.keys():
        ways.append("have it signed back first (`kitplan gear back UNIT`)")
    if any(left[unit] == why for unit, why in booked.items()):
        ways.append("give out what is booked with --even-if-booked")
    words = ", or ".join(ways)
    return f"{words[0].upper()}{words[1:]}"


def _is_same(one: str, other: str) -> bool:
    """Whether two spellings are of one person."""
    return one.casefold().split() == other.casefold().split()


def _named(units: Sequence[str]) -> str:
    rest = len(units) - _MOST_NAMED
    first = ", ".join(map(plain, units[:_MOST_NAMED]))
    return f"{first} and {rest} more" if rest > 0 else first
