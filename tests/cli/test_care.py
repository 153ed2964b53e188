"""`kitplan gear fault, mended, care, note-run, find, value` from end to end."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.gear import gear_app
from kitplan.errors import BadInput, KitplanError, SettingError, StoreError
from kitplan.gear.store import Store
from tests.gear.test_care import KIT
from tests.stored import stored_plan


@pytest.fixture(autouse=True)
def db(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An inventory told through the environment."""
    path = tmp_path / "inventory.sqlite"
    monkeypatch.setenv("KITPLAN_DB", str(path))
    monkeypatch.setenv("KITPLAN_BY", "Cleo")
    with Store.open(path, writing=True) as store:
        store.save_kit(KIT, replace=False)
    return path


def result_of(*arguments: str) -> Result:
    """Run a command that must succeed."""
    result = CliRunner().invoke(gear_app, arguments, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result


def run(*arguments: str) -> str:
    """Return what a command that must succeed prints."""
    return result_of(*arguments).stdout


def refusal(*arguments: str) -> KitplanError:
    """Run a command that must refuse, and return its error."""
    result = CliRunner().invoke(gear_app, arguments)
    assert isinstance(result.exception, KitplanError), result.output
    return result.exception


def test_a_fault_from_the_first_word_to_the_bill(db: Path) -> None:
    """It is told of until it is mended, signed by whoever says so."""
    assert run("fault", "wide-1", "ring slips", "--expected", "2099-01-02") == (
        "wide-1 is in-repair: ring slips, expected back on 2 Jan 2099.\n"
    )
    assert "in repair" in run("find", "ring slips")
    rows = json.loads(run("care", "--json"))
    assert {"unit": "wide-1", "matter": "in repair", "words": "ring slips"}.items() <= next(
        row for row in rows if row["matter"] == "in repair"
    ).items()
    assert run("mended", "wide-1", "--cost", "80", "--condition", "worn").startswith(
        "wide-1 is worn. It was: ring slips, since "
    )
    assert "ring slips" in run("care", "wide-1")
    with Store.open(db, writing=False) as store:
        entries = store.ledger.entries(record_id="wide-1")
    assert [(entry.who, entry.what) for entry in entries[-4:]] == [
        ("Cleo", "noted a fault"),
        ("Cleo", "noted a fault"),
        ("Cleo", "mended"),
        ("Cleo", "mended"),
    ]


def test_what_care_is_refused() -> None:
    """Units, conditions and words that are none."""
    assert isinstance(refusal("fault", "wide-9", "x"), StoreError)
    assert isinstance(refusal("fault", "wide-1", "\x07"), BadInput)
    assert isinstance(refusal("mended", "wide-1"), StoreError)
    error = refusal("mended", "wide-1", "--condition", "goood")
    assert isinstance(error, SettingError)
    assert "Did you mean 'good'" in error.fix
    assert "'wide' is an item" in str(refusal("care", "wide"))


def test_runs_and_what_they_say() -> None:
    """Tried first, noted then, shown with the unit."""
    run("note-run", "cell-1", "60", "--to-flat", "--day", "2020-05-01")
    run("note-run", "cell-1", "61,5".replace(",", "."), "--to-flat", "--day", "2020-05-02")
    third = ("note-run", "cell-1", "60", "--to-flat")
    assert "would go from 100% to 60%" in run(*third, "--dry-run")
    assert "cell-1: health goes from 100% to 60% (3 runs, 3 to flat" in run(*third)
    record = json.loads(run("care", "cell-1", "--json"))
    assert (record["health"], record["charges"], len(record["runs"])) == (0.6, 3, 3)
    assert record["cycles"] == pytest.approx(1.81, abs=0.01)
    assert "cell-1" in run("care", "--wear")
    assert "health stays at 60%" in run("note-run", "cell-1", "10")


def test_runs_that_are_refused() -> None:
    """No battery, no minutes, two ways at once."""
    assert isinstance(refusal("note-run", "wide-1", "10"), StoreError)
    assert isinstance(refusal("note-run", "cell-1"), SettingError)
    assert isinstance(refusal("note-run", "cell-1", "0"), BadInput)
    assert isinstance(refusal("note-run", "--rota", "r.csv"), SettingError)
    assert isinstance(
        refusal("note-run", "cell-1", "9", "--plan", "p", "--rota", "r"), SettingError
    )


def test_the_rota_of_a_plan_there_and_back(db: Path, tmp_path: Path) -> None:
    """The empty sheet is printed; filled in, its runs are noted once."""
    old = stored_plan("depot-brass")
    text = old.model_dump_json(by_alias=True).replace("2027-", "2025-")  # a day that is past
    plan = tmp_path / "plan.json"
    plan.write_text(text, encoding="utf-8")
    db.unlink()
    with Store.open(db, writing=True) as store:
        store.save_kit(old.kit, replace=False)
    sheet = run("note-run", "--plan", str(plan))
    filled = tmp_path / "rota.csv"
    filled.write_text(sheet, encoding="utf-8")
    assert isinstance(refusal("note-run", "--plan", str(plan), "--rota", str(filled)), SettingError)
    lines = sheet.splitlines()
    lines[1] = lines[1].removesuffix(",").removesuffix(",") + ",50,x"
    filled.write_text("\n".join(lines), encoding="utf-8")
    for _ in range(2):
        told = json.loads(run("note-run", "--plan", str(plan), "--rota", str(filled), "--json"))
        assert len(told) == 1
    with Store.open(db, writing=False) as store:
        (noted,) = store.care.runs(told[0]["unit"])
    assert (noted.minutes, noted.is_to_flat, noted.day) == (50, True, date(2025, 5, 15))


def test_find_prints_tables_csv_and_json(tmp_path: Path) -> None:
    """The same units in each."""
    run("change", "wide-1", "--set", "serial==1+1")
    assert "with Ana" in run("find", "wide")
    (row,) = json.loads(run("find", "wide", "--json"))
    assert (row["unit"], row["where"], row["until"]) == ("wide-1", "with Ana", None)
    lines = run("find", "wide", "--csv", "-").splitlines()
    assert lines[0].startswith("unit,item,name")
    assert "'=1+1" in lines[1]
    path = tmp_path / "found.csv"
    run("find", "--kind", "lens", "--csv", str(path))
    assert path.read_bytes().startswith(b"\xef\xbb\xbfunit,")
    assert run("find", "--owner", "Zoe") == "Nothing fits.\n"
    assert run("find", "Zoe") == "Nothing fits. --where NAME says what somebody has.\n"


@pytest.mark.parametrize(
    ("days", "free"),
    [("2030-01-01", True), ("2030-01-01..03", True), ("2030-01-30..02-02", False)],
)
def test_free_takes_a_day_or_days(days: str, free: bool) -> None:
    """The last day may leave out what it shares with the first one."""
    run("change", "wide-1", "--set", "away=[{begins: 2030-02-02, why: a wedding}]")
    assert ("wide-1" in run("find", "wide", "--free", days)) == free


def test_questions_that_are_none() -> None:
    """Kinds, conditions and days that are not known."""
    assert "Did you mean 'lens'" in refusal("find", "--kind", "lense").fix
    assert "Did you mean 'good'" in refusal("find", "--condition", "goood").fix
    for days in ("soon", "2030-01-05..04", "2030-02-30", ".."):
        assert refusal("find", "--free", days).where == "--free"


def test_the_schedule_flags_what_is_missing(tmp_path: Path) -> None:
    """Serials and values; totals for each owner and all, also in the CSV."""
    run("change", "wide-1", "--set", "value=900", "--set", "serial=007")
    text = run("value")
    assert "NO SERIAL" in text
    assert "NO VALUE" in text
    data = json.loads(run("value", "--json"))
    assert [(t["owner"], t["value"]) for t in data["totals"]] == [
        ("Ana", 900),
        ("Ben", 0),
        ("", 900),
    ]
    path = tmp_path / "schedule.csv"
    assert "Wrote 4 rows" in run("value", "--owner", "Ana", "--csv", str(path))
    assert path.read_text(encoding="utf-8-sig").splitlines()[-1].startswith("total,,,Ana,,900")
    assert run("value", "--owner", "Zoe") == "Nothing of Zoe is on record.\n"


def test_photographs_that_are_not_there_are_told(db: Path) -> None:
    """Paths are kept as they are given; one beside the inventory is fine."""
    (db.parent / "wide.jpg").write_bytes(b"")
    assert result_of("change", "wide-1", "--set", "photos=wide.jpg").stderr == ""
    lost = result_of("change", "wide-1", "--set", "photos=[wide.jpg, gone.jpg]")
    assert lost.stderr == "wide-1: no photograph at gone.jpg.\n"
    assert "gone.jpg" in run("value")
