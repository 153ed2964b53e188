"""The ledger: every change of every row, in order, and the state that follows from it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime
from itertools import groupby
from typing import Any

from kitplan.gear.history import Change, Entry
from kitplan.gear.store.desk import Desk, stored_moment
from kitplan.gear.store.migrations import PARTS

State = dict[str, dict[int, dict[str, Any]]]
"""Rows by table and place."""


class Ledger:
    """Reads what the triggers of the inventory have written."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def entries(
        self, *, record_id: str | None = None, last: int | None = None
    ) -> tuple[Entry, ...]:
        """Return the entries in order.

        Args:
            record_id: Only those about this item, unit or booking.
            last: Only so many, the latest.
        """
        where = "" if record_id is None else " WHERE id = ?"
        limit = "" if last is None else f" LIMIT {int(last)}"
        rows = self._desk.rows(
            f"SELECT * FROM ledger{where} ORDER BY number DESC{limit}",
            [] if record_id is None else [record_id],
        )
        return tuple(map(self._entry, reversed(rows)))

    def changes(
        self,
        *,
        record_id: str | None = None,
        who: str | None = None,
        begins: datetime | None = None,
        ends: datetime | None = None,
        last: int | None = None,
    ) -> tuple[Change, ...]:
        """Return the changes in order, each with its entries.

        Args:
            record_id: Only those about this item, unit or booking, and of them what is about it.
            who: Only those of this person.
            begins: Only those from this moment on.
            ends: Only those before this moment.
            last: Only so many, the latest.
        """
        filters = {
            "id = ?": record_id,
            "lower(who) = lower(?)": who,
            "at >= ?": None if begins is None else stored_moment(begins),
            "at < ?": None if ends is None else stored_moment(ends),
        }
        asked = {where: value for where, value in filters.items() if value is not None}
        where, values = " AND ".join(asked) or "TRUE", list(asked.values())
        rows = self._desk.rows(
            f"SELECT * FROM ledger WHERE {where} AND change IN (SELECT DISTINCT change FROM ledger "
            f"WHERE {where} ORDER BY change DESC LIMIT ?) ORDER BY number",
            [*values, *values, -1 if last is None else last],
        )
        entries = map(self._entry, rows)
        return tuple(Change(tuple(those)) for _, those in groupby(entries, lambda e: e.change))

    def replayed(self) -> State:
        """Return the state that follows from the entries alone."""
        state: State = {part: {} for part in PARTS}
        for row in self._desk.rows("SELECT part, row, after FROM ledger ORDER BY number"):
            _put(state[row["part"]], row["row"], _plain(row["after"]))
        return state

    def rows(self) -> dict[int, dict[str, Any]]:
        """Return the entries as they are stored, by number."""
        found = self._desk.rows(
            f"SELECT {', '.join(Entry.model_fields)} FROM ledger ORDER BY number"
        )
        return {row["number"]: row for row in found}

    def breaks(self) -> Iterator[str]:
        """Yield where the ledger does not hang together: an entry is gone, or one begins with
        another row than the one before it left behind.
        """
        last = 0
        state: State = {part: {} for part in PARTS}
        for row in self.rows().values():
            number, at = row["number"], state[row["part"]]
            if number != last + 1:
                yield f"the ledger lacks what was between its entries {last} and {number}"
            last = number
            if not _agree(_plain(row["before"]), at.get(row["row"])):
                yield f"entry {number} of the ledger does not follow from those before it"
            _put(at, row["row"], _plain(row["after"]))

    def present(self) -> State:
        """Return the state that the tables hold."""
        return {
            part: {row["place"]: row for row in self._desk.rows(f"SELECT * FROM {part}")}
            for part in PARTS
        }

    def _entry(self, row: dict[str, Any]) -> Entry:
        sides = {side: _plain(row[side]) for side in ("before", "after")}
        return self._desk.record(Entry, row | sides)


def _plain(text: str | None) -> dict[str, Any] | None:
    return None if text is None else json.loads(text)


def _put(rows: dict[int, dict[str, Any]], place: int, after: dict[str, Any] | None) -> None:
    """Leave a row as an entry says."""
    if after is None:
        rows.pop(place, None)
    else:
        rows[place] = after


def _agree(before: dict[str, Any] | None, left: dict[str, Any] | None) -> bool:
    """Whether a row is the one that was left behind; columns may have come between, by a later
    kitplan."""
    if before is None or left is None:
        return before is left
    return all(before[name] == left[name] for name in before.keys() & left.keys())
