"""Copies of the inventory while it is in use, a check of everything in it, and its rebuilding."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Any

from kitplan.errors import StoreError
from kitplan.gear.checks import faults
from kitplan.gear.kit import Kit
from kitplan.gear.store.connection import database, migrate, transaction
from kitplan.gear.store.desk import Desk
from kitplan.gear.store.ledger import Ledger, State
from kitplan.gear.store.migrations import follow, unfollow
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
        with _new_file(path) as part, closing(sqlite3.connect(part)) as copy:
            self._desk.db.conn.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
            _require_sound(copy, path)

    def rebuild(self, path: Path) -> None:
        """Write a new inventory whose state follows from the ledger alone, and the ledger with it.

        Raises:
            StoreError: If there is such a file already, it cannot be written, or the ledger tells
                of what this version does not know.
        """
        ledger = Ledger(self._desk)
        with _new_file(path) as part, closing(sqlite3.connect(part)) as connection:
            db = database(connection)
            with transaction(db):
                migrate(db)
                unfollow(db)
                db.execute("PRAGMA defer_foreign_keys = ON")
                desk = Desk(db, file_name(path), self._desk.who)
                for table, rows in {**ledger.replayed(), "ledger": ledger.rows()}.items():
                    self._fill(desk, table, rows.values())
                follow(db)
            db.execute("PRAGMA journal_mode = DELETE")
            _require_sound(connection, path)

    def _fill(self, desk: Desk, table: str, rows: Iterable[dict[str, Any]]) -> None:
        known = {row[1] for row in desk.db.execute(f"PRAGMA table_info({table})").fetchall()}
        for row in rows:
            if strange := row.keys() - known:
                raise self._desk.unreadable(_called(row), f"{', '.join(strange)} is not known")
            desk.add(table, row)

    def findings(self, kit: Kit) -> Iterator[str]:
        """Yield everything that is wrong: pages, references, the ledger in itself and against the
        state, rules of gear.

        Args:
            kit: What the inventory holds.
        """
        ledger = Ledger(self._desk)
        try:
            for row in self._desk.db.execute("PRAGMA integrity_check").fetchall():
                if row[0] != "ok":
                    yield f"the file is damaged: {row[0]}"
            query = "PRAGMA foreign_key_check"
            for table, place, other, _ in self._desk.db.execute(query).fetchall():
                yield f"row {place} of {table} names something that is not in {other}"
            yield from ledger.breaks()
            yield from _differences(ledger.replayed(), ledger.present())
        except sqlite3.DatabaseError as error:
            yield f"the file is damaged: {error}"
        for fault in faults(kit):
            yield fault.wrong


@contextmanager
def _new_file(path: Path) -> Iterator[Path]:
    """Yield where to write a new file, which gets its name when all went well.

    Raises:
        StoreError: If there is such a file already, or it cannot be written.
    """
    if path.exists():
        fix = "Give the path of a new file"
        raise StoreError("the file exists already", where=file_name(path), fix=fix)
    part = path.with_name(f"{path.name}.part")
    try:
        part.unlink(missing_ok=True)
        yield part
        part.replace(path)
    except (OSError, sqlite3.OperationalError) as error:
        raise StoreError(
            f"the copy cannot be written ({getattr(error, 'strerror', None) or error})",
            where=file_name(path),
            fix="Choose another folder",
        ) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _require_sound(copy: sqlite3.Connection, path: Path) -> None:
    wrong = [row[0] for row in copy.execute("PRAGMA integrity_check")]
    if wrong != ["ok"]:
        raise StoreError(
            f"the copy is damaged ({wrong[0]})",
            where=file_name(path),
            fix="Try another disk; `kitplan gear check` looks at the inventory itself",
        )


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
