"""Loans: who has which unit, since when, until when. A unit is in one hand at a time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from kitplan.errors import StoreError
from kitplan.gear.history import Loan
from kitplan.gear.records import USABLE, Condition
from kitplan.gear.store.desk import Desk
from kitplan.wording import nearest, plain

_COLUMNS = ", ".join(Loan.model_fields)


class Loans:
    """Signs units out and back; all that is asked for at once, or nothing."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def open(self, *, person: str | None = None) -> tuple[Loan, ...]:
        """Return what is out, in the order it went; of one person where given."""
        where, values = ("", []) if person is None else (" AND person = ?", [person])
        return self._loans(f"back_at IS NULL{where}", values)

    def of(self, unit_id: str) -> tuple[Loan, ...]:
        """Return every loan of a unit, the first one first."""
        return self._loans("unit = ?", [unit_id])

    def holder(self, unit_id: str) -> Loan | None:
        """Return the open loan of a unit; None where it is in."""
        found = self._loans("unit = ? AND back_at IS NULL", [unit_id])
        return found[0] if found else None

    def sign_out(
        self,
        unit_ids: Sequence[str],
        person: str,
        *,
        due: date | None = None,
        list_name: str = "",
        note: str = "",
    ) -> tuple[Loan, ...]:
        """Give units to a person and return the loans.

        Raises:
            StoreError: If one of them does not exist, is not fit to go out, or is out already;
                then none of them goes.
        """
        with self._desk.writing("signed out"):
            conditions = self._conditions(unit_ids)
            self._refuse_unfit(conditions)
            self._refuse_taken(conditions)
            for unit, condition in conditions.items():
                self._desk.add(
                    "loans",
                    {
                        "unit": unit,
                        "person": person,
                        "list": list_name,
                        "out_at": _moment(self._desk),
                        "due": None if due is None else due.isoformat(),
                        "condition_out": condition,
                        "note": note,
                    },
                )
            return tuple(loan for loan in self.open() if loan.unit in conditions)

    def sign_back(
        self, unit_ids: Sequence[str], *, condition: Condition | None = None, note: str = ""
    ) -> tuple[Loan, ...]:
        """Take units back and return the closed loans.

        Args:
            condition: What they are like now; None for as they are on record. A unit that comes
                back missing or worse is changed on record as well.
        Raises:
            StoreError: If one of them does not exist or is not out; then none is taken back.
        """
        with self._desk.writing("signed back"):
            conditions = self._conditions(unit_ids)
            out = {loan.unit for loan in self.open()}
            if inside := [unit for unit in conditions if unit not in out]:
                raise StoreError(
                    f"{_listed(inside)} not signed out",
                    where=self._desk.where,
                    fix="`kitplan gear who` shows what is out",
                )
            for unit, before in conditions.items():
                after = condition or before
                self._desk.db.execute(
                    "UPDATE loans SET back_at = ?, condition_back = ?, "
                    "note = trim(note || ' ' || ?) WHERE unit = ? AND back_at IS NULL",
                    (_moment(self._desk), after, note, unit),
                )
                if after != before:
                    self._desk.db.execute(
                        "UPDATE units SET condition = ? WHERE id = ?", (after, unit)
                    )
            return tuple(self.of(unit)[-1] for unit in conditions)

    def _conditions(self, unit_ids: Iterable[str]) -> dict[str, Condition]:
        """Return the condition of each unit by id.

        Raises:
            StoreError: If there is no such unit.
        """
        found: dict[str, Condition] = {}
        for unit in dict.fromkeys(unit_ids):
            rows = self._desk.rows("SELECT condition FROM units WHERE id = ?", [unit])
            if not rows:
                known = [row["id"] for row in self._desk.rows("SELECT id FROM units")]
                near = nearest(unit, known)
                raise StoreError(
                    f"there is no unit '{plain(unit)}'",
                    where=self._desk.where,
                    fix=f"Did you mean '{near}'?" if near else "`kitplan gear find` searches",
                )
            found[unit] = rows[0]["condition"]
        return found

    def _refuse_unfit(self, conditions: dict[str, Condition]) -> None:
        unfit = [f"{unit} is {word}" for unit, word in conditions.items() if word not in USABLE]
        if unfit:
            raise StoreError(
                "; ".join(unfit),
                where=self._desk.where,
                fix="Change its condition first if that is not so any more",
            )

    def _refuse_taken(self, conditions: dict[str, Condition]) -> None:
        taken = [loan for loan in self.open() if loan.unit in conditions]
        if taken:
            words = "; ".join(
                f"{loan.unit} is with {loan.person} since {loan.out_at:%d %b %Y}" for loan in taken
            )
            raise StoreError(
                words, where=self._desk.where, fix="Sign it back first: `kitplan gear back UNIT`"
            )

    def _loans(self, where: str, values: Sequence[Any]) -> tuple[Loan, ...]:
        rows = self._desk.rows(f"SELECT {_COLUMNS} FROM loans WHERE {where} ORDER BY place", values)
        return tuple(self._desk.record(Loan, row) for row in rows)


def _moment(desk: Desk) -> str:
    return f"{desk.clock():%Y-%m-%dT%H:%M:%SZ}"


def _listed(units: Sequence[str]) -> str:
    return f"{', '.join(units)} {'is' if len(units) == 1 else 'are'}"
