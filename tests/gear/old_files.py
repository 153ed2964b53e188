"""Inventories as earlier versions wrote them, stored as SQL: they stand for users' files.

    python -m tests.gear.old_files

writes those that are missing. What is there never changes: once a step is released, the file that
it leaves behind is kept here for good.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from kitplan.gear.store import connection, migrations

FOLDER = Path(__file__).parent.parent / "data" / "inventories"
STEPS = {step.__name__.split("_")[0]: number for number, step in enumerate(migrations.STEPS, 1)}
_ITEMS = """
INSERT INTO items (place, id, kind, name, mass_kg, facts, measured, note) VALUES
    (1, 'cell', 'battery', 'long cell', 0.30000000000000004, '{"energy_wh": 16.0}',
        '["mass_kg"]', ''),
    (2, 'crate', 'case', 'plastic crate', 3.0, '{"volume_l": 60.0, "most_load_kg": 20.0}', '[]',
        'lid is ''loose'''),
    (5, 'wide', 'lens', '8 mm =wide', 0.2, '{"mount": "MFT", "focal_min_mm": 8.0,
        "focal_max_mm": 8.0, "stop_wide": 2.8, "closest_focus_m": 0.2, "image_circle_mm": 21.6}',
        '[]', '');
INSERT INTO units (place, id, item, owner, serial, condition, value, home_case, available_from,
        available_until, owner_only, health, note) VALUES
    (1, 'cell-1', 'cell', 'Ana', '007', 'good', 20.0, 'crate-1', '2026-05-01', NULL, 0, 0.8, ''),
    (2, 'crate-1', 'crate', 'Ana Ö', '', 'worn', NULL, NULL, NULL, NULL, 0, 1.0, ''),
    (7, 'wide-1', 'wide', 'Ben', '0042', 'in-repair', 333.3333333333333, NULL, NULL, '2027-01-31',
        1, 1.0, 'two' || char(10) || 'lines')
"""
"""Odd places, numbers, letters and gaps, as files that were used have them."""
_LATER = {"m002": "UPDATE units SET hire = 12.5 WHERE id = 'wide-1'"}
"""What a version can say that the one before it could not."""


def write(name: str) -> None:
    """Write the file that the steps up to a name leave behind, as SQL."""
    with closing(sqlite3.connect(":memory:")) as memory:
        db = connection.database(memory)
        found = connection._sqlite_utils().Migrations("kitplan")
        for step in migrations.STEPS[: STEPS[name]]:
            found()(step)
        found.apply(db)
        memory.executescript(_ITEMS)
        for step_name, statement in _LATER.items():
            if step_name <= name:
                memory.executescript(statement)
        text = "\n".join(memory.iterdump())
    path_of(name).write_text(f"{text}\n", encoding="utf-8")


def path_of(name: str) -> Path:
    """Return where the file of a version is stored."""
    return FOLDER / f"{name}.sql"


def restored(name: str, path: Path) -> None:
    """Make the file of an earlier version."""
    with closing(sqlite3.connect(path)) as db:
        db.executescript(path_of(name).read_text(encoding="utf-8"))


if __name__ == "__main__":
    for each in list(STEPS)[:-1]:
        if not path_of(each).exists():
            write(each)
