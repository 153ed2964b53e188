"""Measure taking gear in, beside plain csv or openpyxl and sqlite3 doing the same.

    python -m tests.bench.gear [--rows 10000] [--append docs/bench.md]

The plain program reads the same file and writes the same rows into one table in one transaction: no
units of measure, no checks, no ledger, no words to search. The ratio is what those cost.
"""

from __future__ import annotations

import argparse
import csv
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from openpyxl import Workbook, load_workbook
from tabulate import tabulate

from kitplan.gear.grids import read_grids
from kitplan.gear.intake.reading import Wishes, read_lists
from kitplan.gear.kit import Kit
from kitplan.gear.store import Store

HEADER = ("Item", "Type", "Belongs to", "S/N", "Weight (g)", "Mount", "Value", "State", "Case")
Row = tuple[str | float, ...]


def rows_of_gear(count: int) -> Iterator[Row]:
    """Yield rows as people keep them: a bag for every hundred, lenses, cards, tripods, sandbags."""
    for number in range(count):
        owner, bag = f"Owner {number % 7}", f"BAG-{number // 100}"
        if number % 100 == 0:
            yield f"Bag {number // 100}", "Bag", owner, bag, 1800, "", 60, "good", ""
            continue
        name, kind, mass_g, mount, value = (
            (f"{24 + number % 40}-{70 + number % 50} f/2.8 zoom", "Lens", 900, "E", 900),
            ("128 GB card", "Card", 10, "", 40),
            (f"Tripod {number % 30}", "Tripod", 3300, "", 190),
            ("Sandbag", "Accessory", 5000, "", 12),
        )[number % 4]
        yield (
            name,
            kind,
            owner,
            f"SN{number:06d}",
            mass_g,
            mount,
            value,
            "used",
            f"Bag {number // 100}",
        )


def write_both(folder: Path, count: int) -> tuple[Path, Path]:
    """Write the same rows as CSV and as a workbook."""
    rows = list(rows_of_gear(count))
    as_csv, as_book = folder / "gear.csv", folder / "gear.xlsx"
    with as_csv.open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream).writerows([HEADER, *rows])
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Gear")
    for row in (HEADER, *rows):
        sheet.append(row)
    book.save(as_book)
    return as_csv, as_book


def take_in(path: Path, db: Path) -> int:
    """Import a file as `kitplan gear import` does; return how many units."""
    found = read_lists(read_grids(path), Kit.EMPTY, Wishes())
    assert not found.problems
    assert not found.bad_rows, found.bad_rows[0].problems
    with Store.open(db, writing=True) as store:
        store.save_kit(found.kit, replace=False)
    return len(found.kit.units)


def take_in_plainly(path: Path, db: Path) -> int:
    """Read the same file and write its rows into one table."""
    connection = sqlite3.connect(db)
    connection.execute("PRAGMA journal_mode = WAL")
    columns = ", ".join(f"c{number}" for number in range(len(HEADER)))
    connection.execute(f"CREATE TABLE gear (place INTEGER PRIMARY KEY, {columns})")
    marks = ", ".join("?" * len(HEADER))
    if path.suffix == ".csv":
        with path.open(newline="", encoding="utf-8") as stream:
            rows = list(csv.reader(stream))[1:]
    else:
        book = load_workbook(path, read_only=True, data_only=True)
        rows = list(book.worksheets[0].iter_rows(min_row=2, values_only=True))
        book.close()
    with connection:
        connection.executemany(f"INSERT INTO gear ({columns}) VALUES ({marks})", rows)
    connection.close()
    return len(rows)


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> None:
    """Time imports."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rows", type=int, default=10_000)
    parser.add_argument("--append", type=Path)
    asked = parser.parse_args()
    table = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path in write_both(folder, asked.rows):
            ours = _seconds(lambda: take_in(path, folder / f"{path.suffix}.ours"))  # noqa: B023
            plain = _seconds(lambda: take_in_plainly(path, folder / f"{path.suffix}.plain"))  # noqa: B023
            table.append([f"import {path.suffix}", asked.rows, ours, plain, ours / plain])
    text = tabulate(
        table, ["what", "rows", "kitplan s", "plain s", "ratio"], tablefmt="github", floatfmt=".2f"
    )
    print(text)
    if asked.append:
        before = asked.append.read_text(encoding="utf-8")
        title = "# Gear, measured\n\n`python -m tests.bench.gear`"
        asked.append.write_text(f"{before}\n{title}\n\n{text}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
