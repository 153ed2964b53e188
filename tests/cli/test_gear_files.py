"""`kitplan gear import, export, lookup, ask` from end to end."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from openpyxl import Workbook, load_workbook
from typer.testing import CliRunner, Result

from kitplan.cli.gear import gear_app
from kitplan.errors import BadInput, KitplanError, SettingError, StoreError
from kitplan.gear.kit import Kit
from kitplan.gear.store import Store
from kitplan.tables import folder
from tests.strategies import kits

LIST = """\
Item,Qty,Belongs to,S/N,Weight (g),Case
Camera bag,1,Ana,,1800,
Sandbag,2,Ben,,5000,
Lens cap,1,Ana,C1,heavy,Camera bag
"""


@pytest.fixture
def db(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A place for an inventory, told through the environment."""
    path = tmp_path / "inventory.sqlite"
    monkeypatch.setenv("KITPLAN_DB", str(path))
    return path


@pytest.fixture
def listed(tmp_path: Path) -> Path:
    """A list of gear with one row that cannot be read."""
    path = tmp_path / "list.csv"
    path.write_text(LIST, encoding="utf-8")
    return path


def run(*arguments: str | Path, typed: str = "") -> Result:
    """Run a command that must succeed."""
    result = CliRunner().invoke(
        gear_app, list(map(str, arguments)), input=typed, catch_exceptions=False
    )
    assert result.exit_code == 0, result.output
    return result


def refusal(*arguments: str | Path) -> KitplanError:
    """Run a command that must refuse, and return its error."""
    result = CliRunner().invoke(gear_app, list(map(str, arguments)))
    assert isinstance(result.exception, KitplanError), result.output
    return result.exception


def stored(db: Path) -> Kit:
    """Return what stands in the file."""
    with Store.open(db, writing=False) as store:
        return store.load()


def test_one_bad_row_keeps_the_whole_list_out(db: Path, listed: Path) -> None:
    """Nothing is written by half."""
    refused = refusal("import", listed)
    assert isinstance(refused, BadInput)
    assert "list.csv:4: column E 'Weight (g)' is 'heavy'. Write a number" in str(refused)
    assert not db.exists()


def test_bad_rows_may_be_left_out_and_mended(db: Path, listed: Path, tmp_path: Path) -> None:
    """They are told on stderr, written to a file, and taken in by themselves later."""
    mend = tmp_path / "mend.csv"
    result = run("import", listed, "--skip-bad", "--bad-rows", mend, "--by", "Ana")
    assert "Imported 2 items and 3 units" in result.output
    assert "Left out: " in result.stderr
    assert "1 row left out" in result.output
    mend.write_text(mend.read_text(encoding="utf-8").replace("heavy", "20"), encoding="utf-8")
    run("import", mend)
    cap = stored(db).units[-1]
    assert (cap.item, cap.serial, cap.case) == ("lens-cap", "C1", "camera-bag-1")
    with Store.open(db, writing=False) as store:
        assert "Ana" in {entry.who for entry in store.ledger.entries(last=100)}


def test_a_dry_run_writes_nothing(db: Path, listed: Path) -> None:
    """It shows what would be new, changed or refused."""
    result = run("import", listed, "--skip-bad", "--dry-run")
    assert "Would import 2 items and 3 units" in result.output
    assert "sandbag-2" in result.output
    assert not db.exists()
    run("import", listed, "--skip-bad")
    again = run("import", listed, "--skip-bad", "--dry-run")
    assert "'sandbag' is in the inventory already" in again.stderr
    assert "Would import 0 items and 0 units" in again.output


def test_a_dry_run_of_overwriting_shows_before_and_after(db: Path, listed: Path) -> None:
    """A second time with another weight; the same list changes nothing."""
    run("import", listed, "--skip-bad")
    before = stored(db)
    same = run("import", listed, "--skip-bad", "--dry-run", "--replace")
    assert "Nothing would change." in same.output
    listed.write_text(LIST.replace("5000", "6000"), encoding="utf-8")
    found = json.loads(
        run("import", listed, "--skip-bad", "--dry-run", "--replace", "--json").stdout
    )
    changed = [each for each in found["changes"] if each["what"] == "changed"]
    assert [(each["id"], each["facts"]) for each in changed] == [
        ("sandbag", {"mass_kg": {"before": 5, "after": 6}})
    ]
    assert [each["row"] for each in found["left_out"]] == [4]
    assert stored(db) == before


def test_further_units_join_those_that_are_there(db: Path, listed: Path) -> None:
    """--more counts on; without it the list is refused."""
    run("import", listed, "--skip-bad")
    refused = refusal("import", listed)
    assert "'sandbag' is in the inventory already. Use --more" in str(refused)
    run("import", listed, "--skip-bad", "--more")
    ids = [unit.id for unit in stored(db).units if unit.item == "sandbag"]
    assert ids == ["sandbag-1", "sandbag-2", "sandbag-3", "sandbag-4"]


@pytest.mark.parametrize(
    ("arguments", "error", "message"),
    [
        (["--more", "--replace"], SettingError, "--more and --replace are given"),
        (["--kind", "lnes"], SettingError, "Did you mean 'lens'?"),
        (["--columns", "no.yaml"], BadInput, "there is no such file"),
        (["--sheet", "Gear"], BadInput, "there is no sheet 'Gear'"),
    ],
)
@pytest.mark.usefixtures("db")
def test_options_that_make_no_sense_are_refused(
    listed: Path, arguments: list[str], error: type[KitplanError], message: str
) -> None:
    """One clear line each."""
    refused = refusal("import", listed, *arguments)
    assert isinstance(refused, error)
    assert message in str(refused)


def test_a_workbook_with_a_sheet_of_ones_own_words(db: Path, tmp_path: Path) -> None:
    """Sheets by kind, columns mapped by a file, owner for all."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Lenses"
    for row in (("What", "Heft", "Bayonet"), ("35 mm f/1.4", 0.66, "X")):
        sheet.append(row)
    book.save(tmp_path / "gear.xlsx")
    (tmp_path / "columns.yaml").write_text("What: name\nHeft: mass_kg in lb\n", encoding="utf-8")
    run("import", tmp_path / "gear.xlsx", "--columns", tmp_path / "columns.yaml", "--owner", "Ana")
    (lens,) = stored(db).items
    assert (lens.kind, round(lens.mass_kg, 3)) == ("lens", 0.299)


def test_a_list_may_name_gear_of_an_exact_file_beside_it(
    db: Path, listed: Path, tmp_path: Path
) -> None:
    """YAML as it is, the spreadsheet by its words, in one go."""
    exact = tmp_path / "kit.yaml"
    exact.write_text(
        "items:\n- {kind: case, id: red, name: red box, volume_l: 20, most_load_kg: 8}\n"
        "units:\n- {id: red-1, item: red, owner: Ana}\n",
        encoding="utf-8",
    )
    listed.write_text("Item,Owner,Case\nSandbag,Ana,Red box\n", encoding="utf-8")
    run("import", exact, listed)
    assert {unit.id: unit.case for unit in stored(db).units} == {
        "red-1": None,
        "sandbag-1": "red-1",
    }


def test_the_inventory_comes_back_from_a_workbook(db: Path, tmp_path: Path) -> None:
    """A demo kit, exported and imported into another inventory, is the same."""
    run("import", folder("catalog") / "school-dance.yaml")
    target = tmp_path / "kit.xlsx"
    run("export", target)
    assert "exists already" in str(refusal("export", target))
    assert load_workbook(target).sheetnames[0] == "bodies"
    other = tmp_path / "other.sqlite"
    run("import", target, "--db", other)
    assert stored(other) == stored(db)


@given(kit=kits())
@settings(
    max_examples=3, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_every_form_brings_the_inventory_back(tmp_path: Path, kit: Kit) -> None:
    """Inventory to XLSX, YAML and CSV, and each of them into a new inventory."""
    for name in ("kit.xlsx", "kit.yaml", "sheets"):
        for old in tmp_path.glob("*.sqlite*"):
            old.unlink()
        first, second, target = tmp_path / "a.sqlite", tmp_path / "b.sqlite", tmp_path / name
        for old in target.glob("*.csv") if target.is_dir() else ():
            old.unlink()
        with Store.open(first, writing=True) as store:
            store.save_kit(kit, replace=False)
        run("export", target, "--replace", "--db", first)
        run("import", target, "--db", second)
        assert stored(second) == kit


def test_lookup_shows_adds_and_marks(db: Path) -> None:
    """Without a terminal nothing is asked: --take adds, what came from the data is marked."""
    shown = run("lookup", "24-70 2.8 E", "--kind", "lens")
    assert "Nothing added" in shown.output
    found = json.loads(run("lookup", "24-70 2.8 E", "--kind", "lens", "--json").stdout)
    assert found[0]["facts"]["mount"] == "E"
    arguments = ("--take", "1", "--id", "zoom", "--name", "24-70 zoom", "--units", "1")
    result = run(
        "lookup",
        "24-70 2.8 E",
        "--kind",
        "lens",
        *arguments,
        "--owner",
        "Ana",
        "--set",
        "mass_kg=0,9",
    )
    assert "Still to ask of zoom: closest_focus_m" in result.output
    kit = stored(db)
    assert ("mount" in kit.items[0].looked_up, kit.items[0].mass_kg) == (True, 0.9)
    assert [unit.id for unit in kit.units] == ["zoom-1"]
    rows = [line.split() for line in run("show", "zoom").output.splitlines()]
    assert ["focal_min_mm", "24", "looked", "up"] in rows
    assert ["mass_kg", "0.9", "assumed"] in rows
    assert isinstance(refusal("lookup", "24-70 2.8", "--take", "1", "--id", "zoom"), StoreError)


def test_lookup_asks_at_a_terminal(db: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Which one, its id, its weight (measured then); closest focus is skipped and stays to ask."""
    monkeypatch.setattr(sys.modules["kitplan.cli.gear.lookup"], "has_terminal", lambda: True)
    run("lookup", "24-70 2.8 E", "--kind", "lens", "--name", "zoom", typed="x\n1\nz\n0,9\n\n")
    lens = stored(db).items_by_id["z"]
    assert (lens.mass_kg, lens.measured) == (0.9, ("mass_kg",))
    assert "closest_focus_m" in lens.to_ask
    assert "Nothing added" in run("lookup", "24-70 2.8 E", typed="\n").output


def test_a_fact_changed_by_hand_is_no_guess_any_more(db: Path, tmp_path: Path) -> None:
    """Nor one that was looked up."""
    path = tmp_path / "list.csv"
    path.write_text("Item,Owner,Mount\n35 mm f/1.4 lens,Ana,X\n", encoding="utf-8")
    run("import", path)
    run("change", "35-mm-f/1.4-lens", "--set", "closest_focus_m=0.3")
    (lens,) = stored(db).items
    assert set(lens.to_ask) == {"mass_kg", "iris", "image_circle_mm"}


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["qqqq zzzz"], "the open lens data have no 'qqqq zzzz'"),
        (["24-70 2.8", "--take", "99"], "there is no candidate 99"),
        (["24-70", "--kind", "lnes"], "Did you mean 'lens'?"),
    ],
)
@pytest.mark.usefixtures("db")
def test_lookups_that_lead_nowhere_are_told(arguments: list[str], message: str) -> None:
    """With the next step."""
    assert message in str(refusal("lookup", *arguments))


def test_ask_lists_and_takes_answers(db: Path) -> None:
    """Skip, ask how, answer wrongly, answer, leave: one answer is written and signed."""
    run("import", folder("catalog") / "school-dance.yaml")
    first = json.loads(run("ask", "--json", "--top", "2").stdout)
    assert (first[0]["item"], first[0]["fact"], first[0]["rigs"]) == ("crop-hybrid", "max_iso", 21)
    assert "crop-hybrid" in run("ask", "--list").output
    result = run("ask", "--by", "Ana", typed="?\nlots\n5000\n\nq\n")
    assert "Film a dim corner" in result.output
    assert "That is 'lots'" in result.output
    assert "1 answered" in result.output
    body = stored(db).items_by_id["crop-hybrid"]
    assert (body.model_dump()["max_iso"], body.is_measured("max_iso")) == (5000, True)
    with Store.open(db, writing=False) as store:
        assert store.ledger.entries(last=1)[0].who == "Ana"


def test_ask_ends_where_the_answers_end(db: Path) -> None:
    """A closed input is as good as leaving."""
    run("import", folder("catalog") / "school-dance.yaml")
    assert "0 answered" in run("ask", typed="").output
    assert stored(db)


def test_ask_has_nothing_to_ask_of_an_empty_kit(db: Path, tmp_path: Path) -> None:
    """It says so."""
    path = tmp_path / "kit.yaml"
    path.write_text("items:\n- {kind: battery, id: cell, name: cell}\n", encoding="utf-8")
    run("import", path)
    assert "Nothing to ask" in run("ask").output
    assert db.exists()
