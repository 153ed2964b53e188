"""Measure loans and the questions about them, beside plain sqlite3 doing the same.

    python -m tests.bench.loans [--units 1000 10000 100000] [--runs 15] [--append docs/bench.md]

The plain program keeps units and loans in two tables of the same columns and indexes, in the same
kind of file, as durable on disk: no ledger, no words to search, no records, no sentences. Signing
out and back opens the file each time, as a command does; questions are asked of an open file. The
ratio is what ours costs; medians.
"""

from __future__ import annotations

import argparse
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path

from tabulate import tabulate

from kitplan.gear.counting import counted
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Accessory
from kitplan.gear.store import Store

LOANS, A_LIST = 300, 30
"""Units that are out when the questions are asked; units that go together."""
_TABLES = """
    CREATE TABLE units (place INTEGER PRIMARY KEY, id TEXT UNIQUE, item TEXT, owner TEXT,
        condition TEXT);
    CREATE TABLE loans (place INTEGER PRIMARY KEY, unit TEXT, person TEXT, list TEXT, out_at TEXT,
        due TEXT, condition_out TEXT, back_at TEXT, condition_back TEXT, note TEXT);
    CREATE UNIQUE INDEX one_hand ON loans (unit) WHERE back_at IS NULL;
    CREATE INDEX by_unit ON loans (unit);
"""


def kit_of(count: int) -> Kit:
    """Return a kit of so many units, a hundred of each item."""
    items = [Accessory(id=f"i{n}", name=f"item {n}", serves="cable") for n in range(count // 100)]
    units = [Unit(id=f"u{n}", item=f"i{n // 100}", owner=f"Owner {n % 7}") for n in range(count)]
    return Kit(items=tuple(items), units=tuple(units))


class Ours:
    """What kitplan does."""

    def __init__(self, path: Path, kit: Kit) -> None:
        self.path = path
        with Store.open(path, writing=True) as store:
            store.save_kit(kit, replace=False)

    def out(self, units: Sequence[str], person: str) -> None:
        """Sign units out."""
        with Store.open(self.path, writing=True) as store:
            store.loans.sign_out(units, person)

    def back(self, units: Sequence[str]) -> None:
        """Sign units back."""
        with Store.open(self.path, writing=True) as store:
            store.loans.sign_back(units)

    def questions(self) -> dict[str, Callable[[], object]]:
        """Return questions to an open file; the file stays open with them."""
        opened = Store.open(self.path, writing=False)
        store = opened.__enter__()
        loans = store.loans
        seen = [f"u{n}" for n in range(A_LIST)]
        return {
            "who has what": loans.open,
            "what one person has": lambda: loans.open(person="Ana"),
            "who has this unit": lambda: loans.holder("u7"),
            "every loan of a unit": lambda: loans.of("u7"),
            "count a list": lambda: counted(seen, seen, loans.item_by_unit(seen)),
            "latest 30 changes": lambda: store.ledger.changes(last=30),
            "all that happened to a unit": lambda: store.ledger.changes(record_id="u7"),
            "close": lambda: opened.__exit__(None, None, None),
        }


class Plain:
    """The same with plain sqlite3."""

    def __init__(self, path: Path, kit: Kit) -> None:
        self.path = path
        with closing(self._opened()) as db, db:
            db.executescript(f"PRAGMA journal_mode = WAL;{_TABLES}")
            rows = ((unit.id, unit.item, unit.owner, unit.condition) for unit in kit.units)
            statement = "INSERT INTO units (id, item, owner, condition) VALUES (?, ?, ?, ?)"
            db.executemany(statement, rows)

    def _opened(self) -> sqlite3.Connection:
        db = sqlite3.connect(self.path, timeout=30)
        db.execute("PRAGMA synchronous = FULL")
        return db

    def out(self, units: Sequence[str], person: str) -> None:
        """Sign units out, if all of them are in and fit."""
        with closing(self._opened()) as db, db:
            db.execute("BEGIN IMMEDIATE")
            for unit in units:
                fit = "SELECT condition FROM units WHERE id = ? AND condition IN ('good', 'worn')"
                (condition,) = db.execute(fit, (unit,)).fetchone()
                db.execute(
                    "INSERT INTO loans (unit, person, out_at, condition_out) VALUES (?, ?, ?, ?)",
                    (unit, person, "2027-05-01T10:00:00Z", condition),
                )

    def back(self, units: Sequence[str]) -> None:
        """Sign units back."""
        with closing(self._opened()) as db, db:
            db.execute("BEGIN IMMEDIATE")
            for unit in units:
                db.execute(
                    "UPDATE loans SET back_at = ?, condition_back = condition_out "
                    "WHERE unit = ? AND back_at IS NULL",
                    ("2027-05-02T10:00:00Z", unit),
                )

    def questions(self) -> dict[str, Callable[[], object]]:
        """Return the questions that can be asked without a ledger."""
        db = self._opened()

        def asked(sql: str, *values: object) -> Callable[[], object]:
            return lambda: db.execute(sql, values).fetchall()

        seen = [f"u{n}" for n in range(A_LIST)]
        one = "SELECT item FROM units WHERE id = ?"
        return {
            "who has what": asked("SELECT * FROM loans WHERE back_at IS NULL ORDER BY place"),
            "what one person has": asked(
                "SELECT * FROM loans WHERE back_at IS NULL AND person = ?", "Ana"
            ),
            "who has this unit": asked(
                "SELECT * FROM loans WHERE unit = ? AND back_at IS NULL", "u7"
            ),
            "every loan of a unit": asked("SELECT * FROM loans WHERE unit = ?", "u7"),
            "count a list": lambda: [db.execute(one, (each,)).fetchone() for each in seen],
            "close": db.close,
        }


def _median_ms(work: Callable[[int], object], runs: int) -> float:
    times = []
    for number in range(runs):
        start = time.perf_counter()
        work(number)
        times.append(time.perf_counter() - start)
    return 1000 * statistics.median(times)


def _measure(side: Ours | Plain, runs: int) -> dict[str, float]:
    """Return milliseconds by what was done."""
    lists = [[f"u{n}"] for n in range(100, 100 + runs)]
    long = [[f"u{200 + run * A_LIST + n}" for n in range(A_LIST)] for run in range(runs)]
    found = {
        "sign out 1": _median_ms(lambda run: side.out(lists[run], "Ana"), runs),
        "sign back 1": _median_ms(lambda run: side.back(lists[run]), runs),
        f"sign out {A_LIST}": _median_ms(lambda run: side.out(long[run], "Ana"), runs),
        f"sign back {A_LIST}": _median_ms(lambda run: side.back(long[run]), runs),
    }
    side.out([f"u{n}" for n in range(LOANS)], "Ana")
    questions = side.questions()
    close = questions.pop("close")
    found |= {name: _median_ms(_asking(ask), runs) for name, ask in questions.items()}
    close()
    return found


def _asking(ask: Callable[[], object]) -> Callable[[int], object]:
    return lambda _: ask()


def main() -> None:
    """Time both at each size."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--units", type=int, nargs="+", default=[1_000, 10_000, 100_000])
    parser.add_argument("--runs", type=int, default=15)
    parser.add_argument("--append", type=Path)
    asked = parser.parse_args()
    table = []
    for count in asked.units:
        with tempfile.TemporaryDirectory() as name:
            kit = kit_of(count)
            ours = _measure(Ours(Path(name) / "ours.sqlite", kit), asked.runs)
            plain = _measure(Plain(Path(name) / "plain.sqlite", kit), asked.runs)
        for what, took in ours.items():
            other = plain.get(what)
            table.append([what, count, took, other, None if other is None else took / other])
    headers = ["what", "units", "kitplan ms", "plain ms", "ratio"]
    text = tabulate(table, headers, tablefmt="github", floatfmt=".2f", intfmt=",")
    print(text)
    if asked.append:
        before = asked.append.read_text(encoding="utf-8")
        title = "# Loans, measured\n\n`python -m tests.bench.loans`"
        asked.append.write_text(f"{before}\n{title}\n\n{text}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
