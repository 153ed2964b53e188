"""Copies of the inventory while it is in use, and a check of everything in it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from kitplan.errors import StoreError
from kitplan.gear.checks import faults
from kitplan.gear.records import Kit
from kitplan.gear.store.desk import Desk
from kitplan.gear.store.ledger import Ledger, State
from kitplan.wording import file_name


class Trust:
    """Backs up and checks an open inventory."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def backup(self, path: Path) -> None:
        """Write a copy as it is at one moment, whoever writes meanwhile; it is checked first.

        Raises:
            StoreError: If there is such a file already, it cannot be written, or the copy is bad.
        """
        if path.exists():
            fix = "Give the path of a new file"
            raise StoreError("the file exists already", where=file_name(path), fix=fix)
        part = path.with_name(f"{path.name}.part")
        try:
            with closing(sqlite3.connect(part)) as copy:
                self._desk.db.conn.backup(copy)
                copy.execute("PRAGMA journal_mode = DELETE")
                wrong = [row[0] for row in copy.execute("PRAGMA integrity_check")]
            if wrong != ["ok"]:
                raise StoreError(
                    f"the copy is damaged ({wrong[0]})",
                    where=file_name(path),
                    fix="Try another disk; `kitplan gear check` looks at the inventory itself",
                )
            part.replace(path)
        except OSError as error:
            raise StoreError(
                f"the copy cannot be written ({error.strerror or error})",
                where=file_name(path),
                fix="Choose another folder",
            ) from error
        finally:
            part.unlink(missing_ok=True)

    def findings(self, kit: Kit) -> Iterator[str]:
        """Yield everything that is wrong: pages, references, ledger against state, rules of gear.

        Args:
            kit: What the inventory holds.
        """
        for row in self._desk.db.execute("PRAGMA integrity_check").fetchall():
            if row[0] != "ok":
                yield f"the file is damaged: {row[0]}"
        for table, place, other, _ in self._desk.db.execute("PRAGMA foreign_key_check").fetchall():
            yield f"row {place} of {table} names something that is not in {other}"
        ledger = Ledger(self._desk)
        yield from _differences(ledger.replayed(), ledger.present())
        for fault in faults(kit):
            yield fault.wrong


def _differences(told: State, there: State) -> Iterator[str]:
    """Yield where the ledger tells of another state than there is."""
    for part, rows in there.items():
        for place in sorted({*rows, *told[part]}):
            row, said = rows.get(place), told[part].get(place)
            if row is None:
                yield f"{part} {_called(said)}: the ledger knows it, the inventory has lost it"
            elif said is None:
                yield f"{part} {_called(row)}: the ledger does not know it"
            elif said != {name: value for name, value in row.items() if name in said}:
                yield f"{part} {_called(row)}: the ledger tells otherwise"


def _called(row: dict[str, object] | None) -> str:
    return str((row or {}).get("id") or (row or {}).get("unit") or "?")
