"""`kitplan gear` from end to end: what is printed, and what stands in the file afterwards."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from typer.main import get_command
from typer.testing import CliRunner, Result

from kitplan.cli.common import WIDEST_TABLE, table_text
from kitplan.cli.gear import gear_app
from kitplan.errors import BadInput, KitplanError, SettingError, StoreError
from kitplan.gear.kit import Kit
from kitplan.gear.store import Store

WIDE = [
    part
    for fact in (
        "mount=MFT",
        "focal_min_mm=8",
        "focal_max_mm=8",
        "stop_wide=2,8",
        "closest_focus_m=0.2",
        "image_circle_mm=21.6",
        "measured=[mass_kg]",
        "mass_kg=0,315",
    )
    for part in ("--set", fact)
]


@pytest.fixture
def db(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A place for an inventory, told through the environment."""
    path = tmp_path / "inventory.sqlite"
    monkeypatch.setenv("KITPLAN_DB", str(path))
    return path


@pytest.fixture
def filled(db: Path) -> Path:
    """An inventory with one lens and two units."""
    run("add", "lens", "wide", "--name", "8 mm =wide", *WIDE, "--units", "2", "--owner", "Ana Ö")
    return db


def run(*arguments: str) -> Result:
    """Run a command that must succeed."""
    result = CliRunner().invoke(gear_app, arguments, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result


def run_json(*arguments: str) -> Any:
    """Run a command that must succeed, and return the JSON that it prints."""
    return json.loads(run(*arguments).stdout)


def refusal(*arguments: str) -> KitplanError:
    """Run a command that must refuse, and return its error."""
    result = CliRunner().invoke(gear_app, arguments)
    assert isinstance(result.exception, KitplanError), result.output
    return result.exception


def stored(db: Path) -> Kit:
    """Return what stands in the file."""
    with Store.open(db, writing=False) as store:
        return store.load()


def test_add_makes_an_item_and_its_units(filled: Path) -> None:
    """Decimal commas and lists are read; units are numbered."""
    kit = stored(filled)
    lens = kit.items_by_id["wide"]
    assert (lens.name, lens.mass_kg, lens.measured) == ("8 mm =wide", 0.315, ("mass_kg",))
    assert [(unit.id, unit.owner) for unit in kit.units] == [
        ("wide-1", "Ana Ö"),
        ("wide-2", "Ana Ö"),
    ]


def test_add_makes_one_more_unit(filled: Path) -> None:
    """With a serial that keeps its zeros."""
    run("add", "unit", "wide-x", "--owner", "Ben", "--set", "item=wide", "--set", "serial=0042")
    assert stored(filled).units[-1].serial == "0042"


@pytest.mark.parametrize(
    ("arguments", "error", "message"),
    [
        (["add", "lnes", "x"], SettingError, "no kind 'lnes'. Did you mean 'lens'?"),
        (["add", "battery", "x"], BadInput, "name is missing. Add name: text"),
        (["add", "battery", "x", "--set", "mass_kg"], SettingError, "is not NAME=VALUE"),
        (["add", "battery", "x", "--set", "a=1", "--set", "a=2"], SettingError, "given twice"),
        (["add", "battery", "x", "--set", "a=[1"], BadInput, "--set a"),
        (["add", "battery", "x", "--name", "x", "--units", "1"], SettingError, "Give --units and"),
        (["add", "battery", "x", "--name", "x", "--set", "mas=1"], BadInput, "'mass_kg'?"),
        (["add", "battery", "wide", "--name", "x"], StoreError, "already: wide"),
        (["change", "wide"], SettingError, "Give --set NAME=VALUE"),
        (["change", "wid", "--set", "mass_kg=1"], StoreError, "Did you mean 'wide'?"),
        (["change", "wide", "--set", "mass_kg=-1"], BadInput, "Write a number at least 0"),
        (["show", "wid"], StoreError, "Did you mean 'wide"),
        (["retire", "zzz"], StoreError, "`kitplan gear list` shows"),
        (["list", "--kind", "lenss"], SettingError, "Did you mean 'lens'?"),
        (["import", "no.yaml"], BadInput, "there is no such file"),
        (["export", "kit.ods"], SettingError, "Give a name ending in .xlsx or .yaml, or a folder"),
    ],
)
def test_mistakes_are_refused_and_change_nothing(
    filled: Path, arguments: list[str], error: type[KitplanError], message: str
) -> None:
    """Each with its remedy."""
    before = stored(filled)
    refused = refusal(*arguments)
    assert isinstance(refused, error)
    assert message in str(refused)
    assert stored(filled) == before


@pytest.mark.usefixtures("filled")
def test_list_shows_items_or_units() -> None:
    """Filters leave out what was not asked for."""
    run("add", "battery", "cell", "--name", "cell")
    run("retire", "wide-2")
    lines = run("list").output.splitlines()
    assert lines[0].split() == ["kind", "id", "name", "mass_kg", "units", "usable"]
    assert lines[2].split() == ["lens", "wide", "8", "mm", "=wide", "0.315", "2", "1"]
    assert len(run("list", "--kind", "battery").output.splitlines()) == 3
    assert len(run("list", "--units", "--owner", "Ana Ö").output.splitlines()) == 4
    assert len(run("list", "--units", "--owner", "Ben").output.splitlines()) == 2


@pytest.mark.usefixtures("filled")
def test_list_prints_json() -> None:
    """For other programs."""
    assert json.loads(run("list", "--json").output) == [
        {
            "kind": "lens",
            "id": "wide",
            "name": "8 mm =wide",
            "mass_kg": 0.315,
            "units": 2,
            "usable": 2,
        }
    ]
    units = json.loads(run("list", "--units", "--json").output)
    assert [unit["id"] for unit in units] == ["wide-1", "wide-2"]


@pytest.mark.usefixtures("filled")
def test_show_tells_measured_from_assumed() -> None:
    """Every fact has its source; units follow."""
    lines = [line.split() for line in run("show", "wide").output.splitlines()]
    assert ["mass_kg", "0.315", "measured"] in lines
    assert ["stop_wide", "2.8", "assumed"] in lines
    assert lines[-1][:2] == ["wide-2", "wide"]
    shown = json.loads(run("show", "wide", "--json").output)
    assert (shown["measured"], len(shown["units"])) == (["mass_kg"], 2)
    assert ["owner", "Ana", "Ö"] in [
        line.split() for line in run("show", "wide-1").output.splitlines()
    ]
    assert json.loads(run("show", "wide-1", "--json").output)["item"] == "wide"


def test_change_reaches_items_and_units(filled: Path) -> None:
    """An empty value takes a fact back to its default."""
    run("change", "wide", "--set", "mass_kg=", "--set", "iris=electronic")
    run("change", "wide-1", "--set", "condition=worn", "--set", "available_until=2026-05-31")
    kit = stored(filled)
    assert kit.items_by_id["wide"].mass_kg == 0
    assert (kit.units[0].condition, str(kit.units[0].available_until)) == ("worn", "2026-05-31")


def test_retire_takes_units_out_of_use(filled: Path) -> None:
    """One, or all of an item."""
    assert "Retired wide-1." in run("retire", "wide-1").output
    assert [unit.condition for unit in stored(filled).units] == ["retired", "good"]
    assert "Retired wide-1, wide-2." in run("retire", "wide").output
    assert {unit.condition for unit in stored(filled).units} == {"retired"}


@pytest.mark.parametrize("name", ["kit.yaml", "sheets"])
def test_export_and_import_agree(filled: Path, tmp_path: Path, name: str) -> None:
    """What is exported fills another inventory with the same kit."""
    target = tmp_path / name
    run("export", str(target))
    assert "exists already. Give another path, or use --replace" in str(
        refusal("export", str(target))
    )
    run("export", str(target), "--replace")
    other = tmp_path / "other.sqlite"
    run("import", str(target), "--db", str(other))
    assert stored(other) == stored(filled)
    assert "in the inventory already" in str(refusal("import", str(target), "--db", str(other)))
    run("import", str(target), "--db", str(other), "--replace")
    assert stored(other) == stored(filled)


def test_import_may_refer_to_what_is_owned(filled: Path, tmp_path: Path) -> None:
    """A sheet of units alone is enough for another unit of an item in the inventory."""
    sheet = tmp_path / "units.csv"
    sheet.write_text("id,item,owner\nwide-3,wide,Ben\n", encoding="utf-8")
    run("import", str(sheet))
    assert [unit.id for unit in stored(filled).units] == ["wide-1", "wide-2", "wide-3"]


def test_a_wrong_file_is_imported_not_at_all(filled: Path, tmp_path: Path) -> None:
    """One fault anywhere keeps everything out."""
    before = stored(filled)
    file = tmp_path / "kit.yaml"
    file.write_text("items:\n- {kind: battery, id: a, name: a}\n- {kind: battery, id: b}\n")
    assert "kit.yaml:3: items 'b', name is missing" in str(refusal("import", str(file)))
    assert stored(filled) == before


def test_reading_without_inventory_tells_how_to_begin(db: Path) -> None:
    """And makes no file."""
    assert "Add gear with `kitplan gear import FILE`" in str(refusal("list"))
    assert not db.exists()


def test_the_default_inventory_lies_in_the_users_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its folder is made on the first write."""
    monkeypatch.delenv("KITPLAN_DB", raising=False)
    monkeypatch.setattr("platformdirs.user_data_path", lambda *_, **__: tmp_path / "a" / "b")
    run("add", "battery", "cell", "--name", "cell")
    assert [item.id for item in stored(tmp_path / "a" / "b" / "inventory.sqlite").items] == ["cell"]


def test_tables_stay_within_the_page() -> None:
    """The widest column wraps; nothing is cut off."""
    text = table_text(["id", "note"], [["a", "word " * 60], ["b", None]])
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE
    assert text.count("word") == 60


def test_every_command_has_help_with_an_example() -> None:
    """Help is what a stranger reads first."""
    for command in gear_app.registered_commands:
        assert command.callback is not None
        assert "Example: kitplan gear " in (command.callback.__doc__ or "")


def test_the_module_starts_light() -> None:
    """Nothing heavy is imported before a command runs."""
    code = (
        "import sys, kitplan.cli.gear\n"
        "heavy = {'numpy', 'ortools', 'pandas', 'sqlite_utils', 'ruamel.yaml', 'pydantic'}\n"
        "assert not heavy & set(sys.modules), heavy & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


COMMANDS = getattr(get_command(gear_app), "commands")  # noqa: B009  # those of a group
READERS = {"list", "show", "export", "who", "slip", "bookings", "find", "value", "care"}
READERS |= {"check", "backup"}


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_names_its_file_answers_machines_and_signs(name: str) -> None:
    """Which inventory, JSON, and for all that changes anything: who does it."""
    options = {option for each in COMMANDS[name].params for option in each.opts}
    wanted = {"--db", "--json"} | (set() if name in READERS else {"--by"})
    assert wanted <= options


def test_the_kit_is_kept_in_json_and_signed(db: Path) -> None:
    """A unit that is added, changed and retired, by whom; who still has it is told."""
    assert len(run_json("add", "lens", "wide", "--name", "w", *WIDE, "--json")["units"]) == 0
    unit = ("unit", "wide-2", "--set", "item=wide", "--owner", "Ana")
    assert run_json("add", *unit, "--json", "--by", "Cleo")["owner"] == "Ana"
    changed = ("wide-2", "--set", "serial=77", "--json", "--by", "Cleo")
    assert run_json("change", *changed)["serial"] == "77"
    item = run_json("change", "wide", "--set", "mass_kg=0.4", "--json")
    assert (item["item"]["mass_kg"], [each["id"] for each in item["units"]]) == (0.4, ["wide-2"])
    run("out", "wide-2", "--to", "Ben")
    retired = run("retire", "wide-2", "--by", "Cleo")
    assert "wide-2 is still signed out to Ben." in retired.output
    assert [each["condition"] for each in run_json("retire", "wide", "--json")] == ["retired"]
    with Store.open(db, writing=False) as store:
        who = [entry.who for entry in store.ledger.entries(record_id="wide-2")]
    assert who.count("Cleo") == 3
