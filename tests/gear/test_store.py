"""The inventory in SQLite: round trips, refusals, migrations, files that are not right."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, given, settings

from kitplan.errors import BadInput, StoreError
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Battery, Body, Case, Charger, Lens
from kitplan.gear.store import Store, connection, migrations
from tests.gear.test_records import BODY, OPTIC
from tests.strategies import kits

if TYPE_CHECKING:
    from sqlite_utils import Database

CELL = Battery(id="cell", name="cell")
WIDE = Lens(**OPTIC, id="wide", name="wide", mount="E", image_circle_mm=43)
CAM = Body.model_validate(BODY | {"battery": "cell", "battery_min": 90})
CRATE = Case(id="crate", name="crate", volume_l=60, most_load_kg=20)
KIT = Kit(
    items=(CAM, WIDE, CELL, CRATE),
    units=(
        Unit(id="wide-1", item="wide", owner="Ana", case="crate-1"),
        Unit(id="wide-2", item="wide", owner="Ben"),
        Unit(id="crate-1", item="crate", owner="Ana"),
    ),
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """An inventory file that holds the small kit."""
    file = tmp_path / "inventory.sqlite"
    with Store.open(file, writing=True) as store:
        store.save_kit(KIT, replace=False)
    return file


def stored(path: Path) -> Kit:
    """Return what a fresh reader sees."""
    with Store.open(path, writing=False) as store:
        return store.load()


def test_what_is_saved_is_loaded(path: Path) -> None:
    """Homes may be named before the case itself comes."""
    assert stored(path) == KIT


@given(kit=kits())
@settings(max_examples=25, deadline=None)
def test_round_trip_loses_nothing(kit: Kit) -> None:
    """Any valid kit comes back equal from memory."""
    with Store.in_memory(kit) as store:
        assert store.load() == kit


@given(kit=kits())
@settings(
    max_examples=5, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_round_trip_through_a_file(tmp_path: Path, kit: Kit) -> None:
    """And from a file."""
    file = tmp_path / "i.sqlite"
    file.unlink(missing_ok=True)
    with Store.open(file, writing=True) as store:
        store.save_kit(kit, replace=False)
    assert stored(file) == kit


def test_units_are_filtered(path: Path) -> None:
    """By item, by kind of item, by owner."""
    with Store.open(path, writing=False) as store:
        assert [unit.id for unit in store.units(item="wide")] == ["wide-1", "wide-2"]
        assert [unit.id for unit in store.units(kind="case")] == ["crate-1"]
        assert [unit.id for unit in store.units(owner="Ana", kind="lens")] == ["wide-1"]
        assert store.units(owner="x' OR 1=1 --") == ()


def test_taken_ids_are_refused_as_a_whole_unless_replaced(path: Path) -> None:
    """Nothing of a refused kit is stored; a replaced record keeps its place."""
    heavier = WIDE.model_copy(update={"mass_kg": 1.5})
    kit = Kit(items=(Battery(id="new", name="new"), heavier))
    with (
        Store.open(path, writing=True) as store,
        pytest.raises(
            StoreError, match=r"in the inventory already: wide. Choose other .* --replace"
        ),
    ):
        store.save_kit(kit, replace=False)
    assert stored(path) == KIT
    with Store.open(path, writing=True) as store:
        store.save_kit(kit, replace=True)
    assert [item.id for item in stored(path).items] == ["cam", "wide", "cell", "new", "crate"]
    assert stored(path).items_by_id["wide"].mass_kg == 1.5


@pytest.mark.parametrize(
    ("write", "message"),
    [
        (lambda s: s.add_item(CELL), "already: cell"),
        (lambda s: s.add_unit(Unit(id="x", item="wid", owner="A")), "Did you mean 'wide'?"),
        (lambda s: s.add_unit(Unit(id="wide", item="cell", owner="A")), "already: wide"),
        (
            lambda s: s.add_item(Charger(id="c", name="c", batteries=("wide",), charge_min=1)),
            "'wide', which is not a battery",
        ),
        (lambda s: s.change_item("wid", {}), "there is no 'wid'.*Did you mean 'wide'?"),
        (lambda s: s.change_item("wide-1", {}), "there is no 'wide-1'"),
        (lambda s: s.change_item("wide", {"mount": "Ee"}), "'Ee', which is not in the mount"),
        (lambda s: s.change_unit("wide-1", {"case": "wide-2"}), "'wide-2', which is not a case"),
        (lambda s: s.retire_item("nothing"), "`kitplan gear list` shows"),
    ],
)
def test_refused_writes_change_nothing(
    path: Path, write: Callable[[Store], object], message: str
) -> None:
    """The state after an expected failure is the state before it."""
    with Store.open(path, writing=True) as store, pytest.raises(StoreError, match=message):
        write(store)
    assert stored(path) == KIT


@pytest.mark.parametrize(
    ("facts", "message"),
    [
        ({"mas": 1}, "unknown key 'mas'. Did you mean 'mass_kg'?"),
        ({"mass_kg": "heavy"}, "mass_kg is 'heavy'. Write a number at least 0"),
        ({"focal_max_mm": "1"}, "focal_min_mm 8 is above focal_max_mm 1. Swap them"),
        ({"id": "other"}, "id cannot be changed. Add a new one and retire this one"),
        ({"kind": "body"}, "kind cannot be changed"),
        ({"mount": None}, "mount is missing. Add mount"),
    ],
)
def test_wrong_facts_are_refused(path: Path, facts: dict[str, object], message: str) -> None:
    """With the same words as in a file."""
    with Store.open(path, writing=True) as store, pytest.raises(BadInput, match=message):
        store.change_item("wide", facts)
    assert stored(path) == KIT


def test_facts_are_changed_and_taken_back(path: Path) -> None:
    """Words are read by the type of the fact; None goes back to the default."""
    with Store.open(path, writing=True) as store:
        assert store.change_item("wide", {"mass_kg": "0,31", "iris": "electronic"}).mass_kg == 0.31
        store.change_unit("wide-2", {"available_until": "2026-05-31", "owner_only": "yes"})
    unit = stored(path).units_by_item["wide"][1]
    assert (unit.available_until, unit.owner_only) == (date(2026, 5, 31), True)
    with Store.open(path, writing=True) as store:
        store.change_item("wide", {"mass_kg": None, "iris": None})
        store.change_unit("wide-2", {"available_until": None, "owner_only": None})
    assert stored(path) == KIT


def test_a_dot_reaches_into_the_built_in_lens(path: Path) -> None:
    """The lens of a camcorder is changed fact by fact."""
    camcorder = Body.model_validate(
        BODY | {"id": "corder", "mount": None, "built_in": OPTIC, "runs_on_mains": True}
    )
    with Store.open(path, writing=True) as store:
        store.add_item(camcorder, [Unit(id="corder-1", item="corder", owner="Ana")])
        store.change_item("corder", {"built_in.stop_wide": 1.8})
    changed = stored(path).items_by_id["corder"]
    assert isinstance(changed, Body)
    assert changed.built_in is not None
    assert (changed.built_in.stop_wide, changed.built_in.focal_max_mm) == (1.8, 16)


def test_retired_units_stay_on_record(path: Path) -> None:
    """One unit, or all of an item."""
    with Store.open(path, writing=True) as store:
        assert store.retire_unit("crate-1").condition == "retired"
        assert [unit.id for unit in store.retire_item("wide")] == ["wide-1", "wide-2"]
        assert store.retire_item("cell") == ()
    assert {unit.condition for unit in stored(path).units} == {"retired"}


# -- the file ------------------------------------------------------------------------------------


def test_a_missing_inventory_tells_how_to_make_one(tmp_path: Path) -> None:
    """Reading makes no file."""
    missing = tmp_path / "none.sqlite"
    with (
        pytest.raises(StoreError, match=r"no inventory at .*none.sqlite. Add gear with `kitplan"),
        Store.open(missing, writing=False),
    ):
        pass
    assert not missing.exists()


def _garbage(path: Path) -> None:
    path.write_bytes(b"not a database at all, just text " * 100)


def _foreign(path: Path) -> None:
    path.unlink()
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE other (x)")
    other.close()


def _folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def _cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:5000])


@pytest.mark.parametrize("writing", [False, True])
@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (_garbage, "this is not an inventory. Give the path"),
        (_foreign, "not an inventory of kitplan"),
        (_folder, "this is a folder. Give the path"),
        (_cut, "damaged. Restore a copy"),
    ],
)
def test_wrong_files_are_refused(
    path: Path, spoil: Callable[[Path], None], message: str, writing: bool
) -> None:
    """Never a traceback, and a foreign database is not touched."""
    spoil(path)
    with (
        pytest.raises(StoreError, match=message),
        Store.open(path, writing=writing) as store,
    ):
        store.load()


def test_a_missing_folder_is_refused(tmp_path: Path) -> None:
    """The store makes files, not folders."""
    with (
        pytest.raises(StoreError, match="Check that its folder exists"),
        Store.open(tmp_path / "no" / "i.sqlite", writing=True),
    ):
        pass


def test_a_busy_inventory_is_told(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A writer that never ends makes the next one give up with a clear word; readers go on."""
    monkeypatch.setattr(connection, "BUSY_TIMEOUT_S", 0.05)
    blocker = sqlite3.connect(path, isolation_level=None)
    blocker.execute("BEGIN IMMEDIATE")
    with (
        pytest.raises(StoreError, match=r"somebody else is writing to it. Try again"),
        Store.open(path, writing=True) as store,
    ):
        store.retire_unit("wide-1")
    assert stored(path) == KIT
    blocker.close()


def test_the_schema_itself_refuses_nonsense(path: Path) -> None:
    """Even a foreign program cannot store an unknown kind, condition, item or broken facts."""
    other = sqlite3.connect(path)
    other.execute("PRAGMA foreign_keys = ON")
    for statement in (
        "UPDATE items SET kind = 'toy'",
        "UPDATE items SET facts = '{'",
        "UPDATE units SET condition = 'lost'",
        "UPDATE units SET item = 'nothing'",
    ):
        with pytest.raises(sqlite3.IntegrityError), other:
            other.execute(statement)
    other.close()


def test_damaged_facts_are_told(path: Path) -> None:
    """Facts that this version does not know name the item and suggest an update."""
    other = sqlite3.connect(path)
    other.execute("UPDATE items SET facts = json_set(facts, '$.from_2040', 1) WHERE id = 'wide'")
    other.commit()
    with pytest.raises(StoreError, match=r"'wide' cannot be read: unknown key.*update kitplan"):
        stored(path)
    other.execute("UPDATE items SET facts = '[1]' WHERE id = 'wide'")
    other.commit()
    other.close()
    with pytest.raises(StoreError, match="'wide' cannot be read"):
        stored(path)


# A file as the first version wrote it. Never change this text: it stands for users' files.
FIRST_VERSION = """
CREATE TABLE _sqlite_migrations (
    id INTEGER PRIMARY KEY, migration_set TEXT, name TEXT, applied_at TEXT);
CREATE UNIQUE INDEX idx__sqlite_migrations_migration_set_name
    ON _sqlite_migrations (migration_set, name);
INSERT INTO _sqlite_migrations VALUES
    (1, 'kitplan', 'm001_items_and_units', '2026-01-01 00:00:00+00:00');
CREATE TABLE items (
    place INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, name TEXT NOT NULL,
    mass_kg REAL NOT NULL, facts TEXT NOT NULL, measured TEXT NOT NULL, note TEXT NOT NULL);
CREATE TABLE units (
    place INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, item TEXT NOT NULL REFERENCES items (id),
    owner TEXT NOT NULL, serial TEXT NOT NULL, condition TEXT NOT NULL, value REAL,
    home_case TEXT REFERENCES units (id) DEFERRABLE INITIALLY DEFERRED, available_from TEXT,
    available_until TEXT, owner_only INTEGER NOT NULL, health REAL NOT NULL, note TEXT NOT NULL);
INSERT INTO items VALUES (1, 'cell', 'battery', 'cell', 0.1, '{"energy_wh": 16.0}', '[]', '');
INSERT INTO units VALUES
    (1, 'cell-1', 'cell', 'Ana', '007', 'good', 20.0, NULL, '2026-05-01', NULL, 0, 0.8, '');
"""


@pytest.mark.parametrize("writing", [False, True])
def test_files_of_the_first_version_still_open(tmp_path: Path, writing: bool) -> None:
    """Reading and writing both bring them up to date."""
    file = tmp_path / "old.sqlite"
    old = sqlite3.connect(file)
    old.executescript(FIRST_VERSION)
    old.close()
    with Store.open(file, writing=writing) as store:
        assert store.load() == Kit(
            items=(Battery(id="cell", name="cell", mass_kg=0.1, energy_wh=16),),
            units=(
                Unit(
                    id="cell-1",
                    item="cell",
                    owner="Ana",
                    serial="007",
                    value=20,
                    available_from=date(2026, 5, 1),
                    health=0.8,
                ),
            ),
        )


def test_pending_migrations_are_taken_on_opening(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reader of an older file migrates it first; an older program then only reads it."""

    def m099_colour(db: Database) -> None:
        db.execute("ALTER TABLE units ADD COLUMN colour TEXT")

    with monkeypatch.context() as newer:
        newer.setattr(migrations, "STEPS", (*migrations.STEPS, m099_colour))
        assert stored(path) == KIT
    assert stored(path) == KIT
    with (
        pytest.raises(StoreError, match=r"written by a newer kitplan. Update kitplan"),
        Store.open(path, writing=True),
    ):
        pass


WRITER = """
import sys
from pathlib import Path
from kitplan.gear.records import Battery
from kitplan.gear.store import Store

for number in range(int(sys.argv[3])):
    with Store.open(Path(sys.argv[1]), writing=True) as store:
        store.add_item(Battery(id=f"{sys.argv[2]}-{number}", name="x"))
"""


def _writer(path: Path, name: str, count: int) -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-c", WRITER, str(path), name, str(count)])


def test_writers_take_turns(tmp_path: Path) -> None:
    """Three programs that make and fill a new inventory at once all succeed."""
    file = tmp_path / "shared.sqlite"
    writers = [_writer(file, name, 5) for name in "abc"]
    assert [writer.wait(timeout=120) for writer in writers] == [0, 0, 0]
    assert len(stored(file).items) == 15


@pytest.mark.skipif(sys.platform == "win32", reason="kills by signal")
def test_a_killed_writer_leaves_whole_records(path: Path) -> None:
    """After a kill the inventory opens, and holds what was committed in order."""
    writer = _writer(path, "k", 10_000)
    deadline = time.monotonic() + 120
    while len(stored(path).items) < len(KIT.items) + 3 and time.monotonic() < deadline:
        time.sleep(0.01)
    os.kill(writer.pid, signal.SIGKILL)
    writer.wait(timeout=120)
    added = [item.id for item in stored(path).items if item.id.startswith("k-")]
    assert added == [f"k-{number}" for number in range(len(added))]
    assert len(added) >= 3


def test_opening_the_store_leaves_pandas_alone() -> None:
    """sqlite-utils takes pandas along where it is installed; start-up cannot afford it."""
    code = (
        "import sys; from kitplan.gear.store import Store; from kitplan.gear.kit import Kit\n"
        "with Store.in_memory(Kit.EMPTY) as s: s.load()\n"
        "assert 'sqlite_utils' in sys.modules\n"
        "assert not {'pandas', 'numpy'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
