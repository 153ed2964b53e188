"""Files of every earlier version: brought up to date without loss, and with a ledger that holds."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Battery, Case, Lens
from kitplan.gear.store import Store, migrations
from tests.gear.old_files import STEPS, path_of, restored

if TYPE_CHECKING:
    from sqlite_utils import Database

EARLIER = list(STEPS)[:-1]
KIT = Kit(
    items=(
        Lens(
            id="wide",
            name="8 mm =wide",
            mass_kg=0.2,
            mount="MFT",
            focal_min_mm=8,
            focal_max_mm=8,
            stop_wide=2.8,
            closest_focus_m=0.2,
            image_circle_mm=21.6,
        ),
        Battery(
            id="cell", name="long cell", mass_kg=0.1 + 0.2, measured=("mass_kg",), energy_wh=16
        ),
        Case(
            id="crate",
            name="plastic crate",
            mass_kg=3,
            volume_l=60,
            most_load_kg=20,
            note="lid is 'loose'",
        ),
    ),
    units=(
        Unit(
            id="cell-1",
            item="cell",
            owner="Ana",
            serial="007",
            value=20,
            case="crate-1",
            available_from=date(2026, 5, 1),
            health=0.8,
        ),
        Unit(id="crate-1", item="crate", owner="Ana Ö", condition="worn"),
        Unit(
            id="wide-1",
            item="wide",
            owner="Ben",
            serial="0042",
            condition="in-repair",
            value=333.3333333333333,
            available_until=date(2027, 1, 31),
            owner_only=True,
            note="two\nlines",
        ),
    ),
)


def kit_of(name: str) -> Kit:
    """Return what the file of a version says."""
    if name < "m002":
        return KIT
    *others, wide = KIT.units
    return Kit(items=KIT.items, units=(*others, wide.model_copy(update={"hire": 12.5})))


def test_there_is_a_file_of_every_earlier_version() -> None:
    """Whoever adds a step stores the file that the one before it leaves behind."""
    assert [name for name in EARLIER if not path_of(name).exists()] == []


@pytest.mark.parametrize("writing", [False, True])
@pytest.mark.parametrize("name", EARLIER)
def test_an_earlier_file_is_brought_up_to_date(tmp_path: Path, name: str, writing: bool) -> None:
    """By reading it and by writing to it: nothing is lost, the ledger replays to its state, and
    everything goes on as in a new file.
    """
    file = tmp_path / "old.sqlite"
    restored(name, file)
    with Store.open(file, writing=writing) as store:
        assert store.load() == kit_of(name)
    with Store.open(file, writing=True, who="Ana") as store:
        assert store.ledger.replayed() == store.ledger.present()
        assert list(store.trust.findings(store.load())) == []
        (first,) = store.ledger.changes()
        assert (first.who, first.what, len(first.entries)) == ("kitplan", "taken over", 6)
        store.loans.sign_out(["cell-1"], "Ben")
        store.change_unit("crate-1", {"shelf": "left"})
        assert list(store.trust.findings(store.load())) == []
    with Store.open(file, writing=False) as store:
        store.trust.rebuild(tmp_path / "anew.sqlite")
    with Store.open(tmp_path / "anew.sqlite", writing=False) as store:
        assert [unit.shelf for unit in store.units()] == ["", "left", ""]


@pytest.mark.parametrize("name", EARLIER)
def test_an_earlier_file_has_the_tables_of_a_new_one(tmp_path: Path, name: str) -> None:
    """Tables, columns, indexes and triggers: the same, whichever way they came."""
    old, new = tmp_path / "old.sqlite", tmp_path / "new.sqlite"
    restored(name, old)
    for file in (old, new):
        with Store.open(file, writing=True):
            pass
    assert _schema(old) == _schema(new)


def _schema(path: Path) -> set[tuple[str, str]]:
    query = "SELECT type, name FROM sqlite_master UNION SELECT 'column of ' || m.name, p.name "
    query += "FROM sqlite_master AS m, pragma_table_info(m.name) AS p"
    with closing(sqlite3.connect(path)) as db:
        return {(str(row[0]), str(row[1])) for row in db.execute(query)}


@pytest.mark.parametrize("name", EARLIER)
def test_a_step_that_fails_leaves_the_earlier_file(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All steps are one transaction: the next try begins where this one did."""
    file = tmp_path / "old.sqlite"
    restored(name, file)
    before = _schema(file)

    def m099_fails(db: Database) -> None:
        db.execute("ALTER TABLE units ADD COLUMN colour TEXT")
        raise KeyboardInterrupt

    with monkeypatch.context() as newer:
        newer.setattr(migrations, "STEPS", (*migrations.STEPS, m099_fails))
        with pytest.raises(KeyboardInterrupt), Store.open(file, writing=True):
            pass
    assert _schema(file) == before
    with Store.open(file, writing=False) as store:
        assert store.load() == kit_of(name)
