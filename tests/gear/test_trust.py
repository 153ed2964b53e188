"""Whether the inventory can be relied on: copies, rebuilding, disks and folders that refuse."""

from __future__ import annotations

import os
import resource
import signal
import sqlite3
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from kitplan.errors import StoreError
from kitplan.gear.kit import Kit
from kitplan.gear.store import Store
from tests.gear.changing import changing, findings, kit
from tests.gear.test_store import KIT, stored

if sys.platform == "win32":
    pytest.skip("forks and kills by signal", allow_module_level=True)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """An inventory file with the kit that is changed."""
    file = tmp_path / "inventory.sqlite"
    with Store.open(file, writing=True) as store:
        store.save_kit(kit(), replace=False)
    return file


# -- copies ----------------------------------------------------------------------------------------


def test_a_backup_while_others_write_is_whole(path: Path, tmp_path: Path) -> None:
    """Copies of a file that changes all the time hold one moment each, later ones more."""
    program = changing("hands", path, 2, 15)
    numbers: list[int] = []
    while program.poll() is None or not numbers:
        copy = tmp_path / f"copy-{len(numbers)}.sqlite"
        with Store.open(path, writing=False) as store:
            store.trust.backup(copy)
        assert findings(copy) == []
        with Store.open(copy, writing=False) as store:
            numbers.append(store.ledger.entries(last=1)[0].number)
    program.communicate()
    assert program.returncode == 0
    assert numbers == sorted(numbers)
    assert not list(tmp_path.glob("*.part"))


def test_a_backup_overwrites_nothing(path: Path, tmp_path: Path) -> None:
    """Nor does it leave anything where it cannot be made."""
    there = tmp_path / "there.sqlite"
    there.write_text("mine")
    with Store.open(path, writing=False) as store:
        with pytest.raises(StoreError, match=r"exists already. Give the path of a new file"):
            store.trust.backup(there)
        with pytest.raises(StoreError, match=r"cannot be written.*Choose another folder"):
            store.trust.backup(tmp_path / "no" / "copy.sqlite")
    assert there.read_text() == "mine"


# -- rebuilding ------------------------------------------------------------------------------------


def _with_history(path: Path) -> None:
    with Store.open(path, writing=True) as store:
        store.loans.sign_out(["i0-0", "i0-1"], "Ben")
        store.loans.sign_back(["i0-1"], condition="worn")
        store.change_item("i0", {"mass_kg": 0.1 + 0.2})
        store.retire_unit("i3-5")


def test_an_inventory_is_rebuilt_from_its_ledger(path: Path, tmp_path: Path) -> None:
    """State and ledger are the same, and what is changed then is written down as ever."""
    _with_history(path)
    anew = tmp_path / "anew.sqlite"
    with Store.open(path, writing=False) as store:
        store.trust.rebuild(anew)
        kit_before, entries = store.load(), store.ledger.entries()
    assert findings(anew) == []
    with Store.open(anew, writing=True) as store:
        assert store.load() == kit_before
        assert store.ledger.entries() == entries
        assert [loan.unit for loan in store.loans.open()] == ["i0-0"]
        store.loans.sign_back(["i0-0"])
        assert store.ledger.entries(last=1)[0].number == entries[-1].number + 1
    assert findings(anew) == []


def _tampered(path: Path, *statements: str) -> None:
    """Change an inventory behind its back."""
    with closing(sqlite3.connect(path)) as db, db:
        for statement in statements:
            db.execute(statement)


def test_what_was_changed_behind_the_ledger_is_found_and_undone(path: Path, tmp_path: Path) -> None:
    """A foreign program that takes the triggers away cannot hide; rebuilding brings the truth."""
    _with_history(path)
    with Store.open(path, writing=False) as store:
        before = store.load()
    _tampered(
        path,
        "DROP TRIGGER units_changed_entry",
        "DROP TRIGGER units_taken_entry",
        "DROP TRIGGER units_words_gone",
        "UPDATE units SET owner = 'Eve' WHERE id = 'i1-1'",
        "DELETE FROM units WHERE id = 'i1-2'",
    )
    assert findings(path) == [
        "units i1-1: the ledger tells otherwise",
        "units i1-2: the ledger knows it, the inventory has lost it",
    ]
    anew = tmp_path / "anew.sqlite"
    with Store.open(path, writing=False) as store:
        store.trust.rebuild(anew)
    assert stored(anew) == before
    assert findings(anew) == []


@pytest.mark.parametrize(
    ("verb", "statement", "finding"),
    [
        (
            "erased",
            "DELETE FROM ledger WHERE number = 29",
            "the ledger lacks what was between its entries 28 and 30",
        ),
        (
            "changed",
            "UPDATE ledger SET after = json_set(after, '$.owner', 'Eve') "
            "WHERE id = 'i3-5' AND before IS NULL",
            "entry 34 of the ledger does not follow from those before it",
        ),
        (
            "replaced",
            "REPLACE INTO ledger SELECT number, change, at, who, what, part, row, id, before, "
            "json_set(after, '$.owner', 'Eve') FROM ledger WHERE id = 'i3-5' AND before IS NULL",
            "entry 34 of the ledger does not follow from those before it",
        ),
    ],
)
def test_an_edited_ledger_is_found(path: Path, verb: str, statement: str, finding: str) -> None:
    """It refuses to be edited; who takes that away still leaves a trace."""
    _with_history(path)
    with pytest.raises(sqlite3.IntegrityError, match="the ledger is never edited"):
        _tampered(path, statement)
    _tampered(path, f"DROP TRIGGER ledger_is_never_{verb}", statement)
    assert finding in findings(path)


def test_numbers_are_in_the_ledger_as_they_are(path: Path) -> None:
    """All seventeen digits: 0.1 + 0.2 is not 0.3."""
    with Store.open(path, writing=True) as store:
        store.change_item("i0", {"mass_kg": 0.1 + 0.2})
        store.change_unit("i0-0", {"value": 1e5 / 3, "health": 1 / 3})
        assert store.ledger.replayed() == store.ledger.present()
        (entry,) = store.ledger.changes(record_id="i0-0", last=1)[0].entries
    assert entry.changed == {"value": (None, 1e5 / 3), "health": (1.0, 1 / 3)}


# -- the place where it lies -----------------------------------------------------------------------


def test_closing_leaves_one_whole_file(path: Path) -> None:
    """The log is written back when the last one closes: the file can be copied as it is."""
    assert [file.name for file in path.parent.iterdir()] == [path.name]


def test_the_file_alone_has_all_while_others_read(path: Path, tmp_path: Path) -> None:
    """Who copies it by hand, without its log, misses nothing."""
    with Store.open(path, writing=False) as reader:
        assert len(reader.units()) == 24
        with Store.open(path, writing=True) as store:
            store.loans.sign_out(["i0-0"], "Ben")
        alone = tmp_path / "elsewhere.sqlite"
        alone.write_bytes(path.read_bytes())
        assert reader.loans.holder("i0-0") is not None
    with Store.open(alone, writing=False) as store:
        assert [loan.unit for loan in store.loans.open()] == ["i0-0"]


def test_a_full_disk_changes_nothing(path: Path) -> None:
    """What was there stays; with room again all goes on."""
    before = stored(path)
    with (
        pytest.raises(StoreError, match=r"the disk is full. Free some space and try again"),
        Store.open(path, writing=True) as store,
        _one_page_left(store),
    ):
        store.save_kit(_much(), replace=False)
    assert stored(path) == before
    assert findings(path) == []
    with Store.open(path, writing=True) as store:
        store.save_kit(_much(), replace=False)
    assert findings(path) == []


@contextmanager
def _one_page_left(store: Store) -> Iterator[None]:
    db = store._desk.db
    pages = db.execute("PRAGMA page_count").fetchone()[0]
    db.execute(f"PRAGMA max_page_count = {pages + 1}")
    yield


def _much() -> Kit:
    return Kit(
        items=tuple(
            KIT.items[2].model_copy(update={"id": f"m{n}", "note": "x" * 500}) for n in range(60)
        )
    )


@contextmanager
def _file_limit(most_bytes: int) -> Iterator[None]:
    """Let this process write no file beyond a size: the system refuses, as a full quota does."""
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, ignored)


def test_a_disk_that_refuses_changes_nothing(path: Path) -> None:
    """Refused by the system in the middle of a commit."""
    before = stored(path)
    with (
        _file_limit(40_000),
        pytest.raises(StoreError, match=r"the disk (is full|does not read or write)"),
        Store.open(path, writing=True) as store,
    ):
        store.save_kit(_much(), replace=False)
    assert stored(path) == before
    assert findings(path) == []


def test_what_a_full_disk_holds_can_still_be_read(path: Path) -> None:
    """Beside an empty log as well: phones find things while somebody makes room."""
    before = stored(path)
    path.with_name(f"{path.name}-wal").touch()
    with _file_limit(1_000):  # the shared memory of a log does not fit
        assert stored(path) == before


def test_a_read_only_folder_can_be_read_but_not_written() -> None:
    """By somebody to whom it does not belong; copies of it work as well."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        file = folder / "inventory.sqlite"
        with Store.open(file, writing=True) as store:
            store.save_kit(kit(), replace=False)
        file.chmod(0o444)
        folder.chmod(0o555)
        try:
            _as_nobody(lambda: _reads_but_does_not_write(file))
        finally:
            folder.chmod(0o755)


def _reads_but_does_not_write(file: Path) -> None:
    assert len(stored(file).units) == 24
    assert findings(file) == []
    with (
        pytest.raises(StoreError, match=r"may not be written to. Check the permissions"),
        Store.open(file, writing=True) as store,
    ):
        store.loans.sign_out(["i0-0"], "Ana")


def _as_nobody(check: Callable[[], None]) -> None:
    """Run a check without the rights of the superuser, where the tests have them."""
    if os.geteuid() != 0:
        check()
        return
    os.setresuid(65534, 65534, 0)
    try:
        check()
    finally:
        os.setresuid(0, 0, 0)


@pytest.mark.parametrize(
    ("statement", "message"),
    [
        (
            "INSERT INTO _sqlite_migrations (migration_set, name) VALUES ('kitplan', 'm999_later')",
            "written by a newer kitplan. Update kitplan",
        ),
        ("DROP TABLE _sqlite_migrations", "not an inventory of kitplan"),
    ],
)
def test_what_is_newer_or_foreign_is_not_touched(path: Path, statement: str, message: str) -> None:
    """Not even its journal mode is changed: byte by byte it stays what it was."""
    _tampered(path, statement)
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA journal_mode = DELETE")
    before = path.read_bytes()
    with pytest.raises(StoreError, match=message), Store.open(path, writing=True):
        pass
    assert path.read_bytes() == before
    assert [file.name for file in path.parent.iterdir()] == [path.name]
