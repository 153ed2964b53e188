"""Measure questions to the inventory, beside plain sqlite3 answering the same.

    python -m tests.bench.finding [--units 1000 10000 100000] [--append docs/bench.md]

Plain sqlite3 holds one flat table of the same gear, and asks it by hand: words by LIKE, no joins
but those that a question needs, rows as they come. It says nothing of where a unit is now. Times
are those of the processor, the best of five.
"""

from __future__ import annotations

import argparse
import sqlite3
import tempfile
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

from tabulate import tabulate

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Battery, Case, Lens
from kitplan.gear.store import Store
from kitplan.gear.store.finding import Question

DAY = date(2027, 5, 15)
BOOKED = ("2027-05-14", "2027-05-16")
_FREE = (
    "condition IN ('good', 'worn') AND unit NOT IN (SELECT unit FROM loans) "
    "AND unit NOT IN (SELECT unit FROM booked WHERE begins <= ? AND ends >= ?)"
)
QUESTIONS: tuple[tuple[str, Question, str, Sequence[str]], ...] = (
    ("a serial number", Question(("SN000777",)), "text LIKE ?", ("%SN000777%",)),
    (
        "two words",
        Question(("f/3", "owner 3")),
        "text LIKE ? AND text LIKE ? AND text LIKE ?",
        ("%f/3%", "%owner%", "%3%"),
    ),
    ("what somebody has", Question(where="Ben"), "unit IN (SELECT unit FROM loans)", ()),
    ("what is in a case", Question(where="crate-3"), "home = ?", ("crate-3",)),
    ("in repair", Question(condition="in-repair"), "condition = 'in-repair'", ()),
    (
        "lenses of an owner free on a day",
        Question(kind="lens", owner="Owner 3", free=(DAY, DAY)),
        f"kind = 'lens' AND owner = ? AND {_FREE}",
        ("Owner 3", "2027-05-15", "2027-05-15"),
    ),
    (
        "all that is free on a day",
        Question(free=(DAY, DAY)),
        _FREE,
        ("2027-05-15", "2027-05-15"),
    ),
)


def kit_of(count: int) -> Kit:
    """Return lenses and batteries in crates of a hundred, of seven owners."""
    zooms = [
        Lens(
            id=f"zoom-{number}",
            name=f"{20 + number % 60}-{70 + number} f/{2 + number % 4} zoom",
            mount="E",
            focal_min_mm=20,
            focal_max_mm=70,
            stop_wide=2,
            closest_focus_m=0.3,
            image_circle_mm=43,
        )
        for number in range(count // 20)
    ]
    crates = [Unit(id=f"crate-{n}", item="crate", owner="Owner 0") for n in range(count // 100)]
    things = [
        Unit(
            id=f"thing-{number}",
            item=f"zoom-{number % len(zooms)}" if number % 2 else "cell",
            owner=f"Owner {number % 7}",
            serial=f"SN{number:06d}",
            condition="in-repair" if number % 50 == 7 else "good",
            case=f"crate-{number // 100}",
        )
        for number in range(count - len(crates))
    ]
    crate = Case(id="crate", name="crate", volume_l=60, most_load_kg=20)
    return Kit(items=(*zooms, Battery(id="cell", name="cell"), crate), units=(*crates, *things))


def fill(path: Path, kit: Kit) -> tuple[list[str], list[str]]:
    """Write an inventory; a twentieth is lent, another one booked. Return the ids of both."""
    usable = [unit.id for unit in kit.units if unit.condition == "good"]
    lent, booked = usable[3::20], usable[4::20]
    with Store.open(path, writing=True) as store:
        store.save_kit(kit, replace=False)
        store.loans.sign_out(lent, "Ben")
    with closing(sqlite3.connect(path)) as db, db:
        db.execute(
            "INSERT INTO bookings (id, title, begins, ends) VALUES ('gala', 'Gala', ?, ?)", BOOKED
        )
        db.executemany(
            "INSERT INTO booked (booking, unit, begins, ends) VALUES ('gala', ?, ?, ?)",
            [(unit, *BOOKED) for unit in booked],
        )
    return lent, booked


def fill_plainly(path: Path, kit: Kit, lent: Sequence[str], booked: Sequence[str]) -> None:
    """Write the same as flat tables."""
    with closing(sqlite3.connect(path)) as db, db:
        db.execute(
            "CREATE TABLE gear (unit TEXT PRIMARY KEY, item, name, kind, owner, serial, condition, "
            "home, text)"
        )
        db.execute("CREATE TABLE loans (unit TEXT PRIMARY KEY)")
        db.execute("CREATE TABLE booked (unit TEXT PRIMARY KEY, begins, ends)")
        rows = []
        for unit in kit.units:
            item = kit.items_by_id[unit.item]
            row = (unit.id, item.id, item.name, item.kind, unit.owner, unit.serial)
            home = unit.case or ""
            rows.append((*row, unit.condition, home, " ".join((*row, unit.condition, home))))
        db.executemany("INSERT INTO gear VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", rows)
        db.executemany("INSERT INTO loans VALUES (?)", [(unit,) for unit in lent])
        db.executemany("INSERT INTO booked VALUES (?, ?, ?)", [(u, *BOOKED) for u in booked])


def best_ms(work: Callable[[], Sequence[Any]]) -> tuple[float, int]:
    """Return the best of five times in milliseconds, and how many answers there were."""
    times = []
    for _ in range(5):
        start = time.process_time()
        answers = work()
        times.append(time.process_time() - start)
    return min(times) * 1000, len(answers)


def rows_of(count: int, folder: Path) -> list[list[object]]:
    """Return the times of all questions at so many units."""
    kit, ours, plain = kit_of(count), folder / f"{count}.ours", folder / f"{count}.plain"
    fill_plainly(plain, kit, *fill(ours, kit))
    table: list[list[object]] = []
    with Store.open(ours, writing=False) as store, closing(sqlite3.connect(plain)) as db:
        for name, question, where, values in QUESTIONS:
            sql = f"SELECT * FROM gear WHERE {where}"
            own_ms, answers = best_ms(lambda: store.finding.find(question))  # noqa: B023
            plain_ms, plain_answers = best_ms(lambda: db.execute(sql, values).fetchall())  # noqa: B023
            assert answers == plain_answers, (name, answers, plain_answers)
            table.append([name, count, answers, own_ms, plain_ms, own_ms / plain_ms])
    return table


def main() -> None:
    """Time questions."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--units", type=int, nargs="+", default=[1000, 10_000, 100_000])
    parser.add_argument("--append", type=Path)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        table = [row for count in asked.units for row in rows_of(count, Path(name))]
    headers = ["question", "units", "answers", "kitplan ms", "plain ms", "ratio"]
    text = tabulate(table, headers, tablefmt="github", floatfmt=".2f")
    print(text)
    if asked.append:
        before = asked.append.read_text(encoding="utf-8")
        title = "# Questions to the inventory\n\n`python -m tests.bench.finding`"
        asked.append.write_text(f"{before}\n{title}\n\n{text}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
