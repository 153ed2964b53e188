"""Opening the inventory file: migrations, transactions, and SQLite's failures in plain words."""

from __future__ import annotations

import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

import kitplan.gear.store.migrations as migrations
from kitplan.errors import StoreError
from kitplan.wording import file_name

if TYPE_CHECKING:
    from sqlite_utils import Database, Migrations

BUSY_TIMEOUT_S = 30.0
"""Writers take milliseconds, but those who wait are served in no order: among eight that never
pause, now and then one waits for some seconds."""


def _sqlite_utils() -> ModuleType:
    """Import sqlite-utils without pandas and numpy, which would more than double the start-up.

    It takes both along where they are installed, only to guess column types from their values.
    They are hidden during this one import; do not call this while another thread imports them.
    """
    hidden = [name for name in ("pandas", "numpy") if name not in sys.modules]
    for name in hidden:
        sys.modules[name] = None  # type: ignore[assignment]  # makes the import system refuse it
    try:
        import sqlite_utils
    finally:
        for name in hidden:
            del sys.modules[name]
    return sqlite_utils


def _migrations() -> Migrations:
    """Return the numbered steps from an empty file to today's tables."""
    found: Migrations = _sqlite_utils().Migrations("kitplan")
    for step in migrations.STEPS:
        found()(step)
    return found


@contextmanager
def transaction(db: Database, begin: str = "BEGIN IMMEDIATE") -> Iterator[None]:
    """Run a block as one transaction; inside another one it becomes part of that.

    `Database.atomic` begins a deferred one, which fails instead of waiting when a second writer
    comes between its first read and its first write; hence the lock is taken here at once, and
    what sqlite-utils does inside nests as savepoints.
    """
    if db.conn.in_transaction:
        yield
        return
    db.execute(begin)
    try:
        yield
        db.commit()
    except BaseException:
        db.rollback()
        raise


def database(connection: sqlite3.Connection) -> Database:
    """Return a connection as a database whose foreign keys are watched."""
    db: Database = _sqlite_utils().Database(connection, execute_plugins=False)
    db.execute("PRAGMA foreign_keys = ON")
    return db


def _connected(path: Path, mode: str) -> Database:
    """Return an open database whose header has been read."""
    if path.is_dir():
        fix = "Give the path of an inventory file"
        raise StoreError("this is a folder", where=file_name(path), fix=fix)
    uri = f"{path.absolute().as_uri()}?mode={mode}"
    connection = sqlite3.connect(uri, uri=True, timeout=BUSY_TIMEOUT_S)  # the busy_timeout pragma
    try:
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        return database(connection)
    except BaseException:
        connection.close()
        raise


def opened_for_reading(path: Path) -> Database:
    """Return a read-only database with today's tables; an older file is migrated first.

    Raises:
        StoreError: If there is none, or it is no inventory.
        sqlite3.Error: If it cannot be opened.
    """
    if not path.exists():
        raise StoreError(
            f"there is no inventory at {file_name(path)}",
            where="inventory",
            fix="Add gear with `kitplan gear import FILE`, or name another with --db FILE",
        )
    db = _connected_read_only(path)
    applied, known = _steps(db)
    if not applied:
        db.close()
        raise _not_ours(path)
    if set(known) <= set(applied):
        return db
    db.close()
    opened_for_writing(path).close()
    return _connected_read_only(path)


def _connected_read_only(path: Path) -> Database:
    try:
        return _connected(path, "ro")
    except sqlite3.OperationalError as error:
        # Reading beside a write-ahead log needs a shared-memory file, which cannot be made in a
        # folder that is read-only, nor on a full disk. Without a log nobody is writing, and what
        # cannot be written to can be read alone.
        log = path.with_name(f"{path.name}-wal")
        has_log = log.exists() and log.stat().st_size > 0
        is_full = error.sqlite_errorname.startswith(("SQLITE_IOERR_SHM", "SQLITE_FULL"))
        if has_log or (os.access(path.parent, os.W_OK) and not is_full):
            raise
        return _connected(path, "ro&immutable=1")


def opened_for_writing(path: Path) -> Database:
    """Return a database with today's tables, made or migrated where needed.

    Raises:
        StoreError: If it was written by a newer kitplan or is no inventory.
        sqlite3.Error: If it cannot be opened.
    """
    db = _connected(path, "rwc")
    try:
        applied, known = _steps(db)
        if not set(applied) <= set(known):
            raise StoreError(
                "the inventory was written by a newer kitplan",
                where=file_name(path),
                fix="Update kitplan to change it",
            )
        if not applied and db.table_names():
            raise _not_ours(path)
        if db.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            db.execute("PRAGMA journal_mode = WAL").fetchone()
        db.execute("PRAGMA synchronous = FULL")  # what is committed survives a power cut as well
        if set(applied) != set(known):
            migrate(db)
    except BaseException:
        db.close()
        raise
    return db


def close(db: Database) -> None:
    """Close a database after writing its log back into the file.

    SQLite does that itself when the last one closes, unless that one only reads. With it here, who
    copies the file by hand has all that was committed, whoever has it open.
    """
    with suppress(sqlite3.Error):  # it can wait: nothing is lost
        db.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
    db.close()


def _steps(db: Database) -> tuple[list[str], list[str]]:
    """Return the names of the migrations that a file has had, and of all that are known."""
    return [step.name for step in _migrations().applied(db)], [
        step.__name__ for step in migrations.STEPS
    ]


def migrate(db: Database) -> None:
    """Take every migration that the file has not had, all of them or none."""
    with transaction(db):
        _migrations().apply(db)


def _not_ours(path: Path) -> StoreError:
    return StoreError(
        "this database is not an inventory of kitplan",
        where=file_name(path),
        fix="Give the path of an inventory, or of a new file",
    )


_FAILURES = {
    "BUSY": ("somebody else is writing to it", "Try again in a moment"),
    "LOCKED": ("somebody else is writing to it", "Try again in a moment"),
    "READONLY": ("it may not be written to", "Check the permissions of the file and its folder"),
    "CANTOPEN": ("the file cannot be opened", "Check that its folder exists and is yours to use"),
    "NOTADB": ("this is not an inventory", "Give the path of an inventory, or of a new file"),
    "CORRUPT": ("the file is damaged", "Restore a copy, or import an export into a new file"),
    "FULL": ("the disk is full", "Free some space and try again"),
    "IOERR": ("the disk does not read or write as it should", "Check it, and free some space"),
}


@contextmanager
def told(where: str) -> Iterator[None]:
    """Turn what SQLite raises into a `StoreError`, by its error code."""
    try:
        yield
    except sqlite3.Error as error:
        code = getattr(error, "sqlite_errorname", "SQLITE_").split("_")[1]
        otherwise = (f"the inventory cannot do it ({error})", "Check the file, or restore a copy")
        problem, fix = _FAILURES.get(code, otherwise)
        raise StoreError(problem, where=where, fix=fix) from error
    except UnicodeDecodeError as error:
        problem, fix = _FAILURES["CORRUPT"]
        raise StoreError(problem, where=where, fix=fix) from error
    except UnicodeEncodeError as error:
        raise StoreError(
            "a word holds characters that are not text", where=where, fix="Type it again"
        ) from error
