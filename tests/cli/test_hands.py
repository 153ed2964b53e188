"""`kitplan gear out, back, who, slip, count, log, check` from end to end."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.gear import gear_app
from kitplan.errors import KitplanError
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Battery, Case
from kitplan.gear.store import Store
from kitplan.paper.lists import pass_lists
from kitplan.paper.names import Names
from tests.plans import small_plan, written

CASE = Case(id="box", name="box", volume_l=9, most_load_kg=9)
KIT = Kit(
    items=(Battery(id="cell", name="long cell"), CASE),
    units=(
        Unit(id="box-1", item="box", owner="Ana"),
        *(Unit(id=f"cell-{n}", item="cell", owner="Ana", case="box-1", value=20) for n in (1, 2)),
        *(Unit(id=f"cell-{n}", item="cell", owner="Ben", serial=f"00{n}") for n in (3, 4)),
    ),
)
TODAY = date.today()


@pytest.fixture
def db(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An inventory, told through the environment."""
    path = tmp_path / "inventory.sqlite"
    with Store.open(path, writing=True) as store:
        store.save_kit(KIT, replace=False)
    monkeypatch.setenv("KITPLAN_DB", str(path))
    return path


def run(*arguments: str, status: int = 0, scanned: str | None = None) -> Result:
    """Run a command that ends with a status."""
    result = CliRunner().invoke(gear_app, arguments, catch_exceptions=False, input=scanned)
    assert result.exit_code == status, result.output
    return result


def said(*arguments: str, status: int = 0, scanned: str | None = None) -> Any:
    """Run a command and return its JSON."""
    return json.loads(run(*arguments, "--json", status=status, scanned=scanned).stdout)


def held(db: Path) -> dict[str, str]:
    """Return who has what."""
    with Store.open(db, writing=False) as store:
        return {loan.unit: loan.person for loan in store.loans.open()}


def late(db: Path) -> None:
    """Let Ben be two days late with a cell."""
    clock = lambda: datetime.now(UTC) - timedelta(days=9)  # noqa: E731
    with Store.open(db, writing=True, clock=clock) as store:
        store.loans.sign_out(["cell-3"], "Ben", due=TODAY - timedelta(days=2))


def test_out_signs_units_out_until_a_day(db: Path) -> None:
    """Ids, or the codes of labels; the ledger has who signed."""
    output = run(
        "out", "cell-1", "kitplan:unit/cell-3", "--to", "Cleo", "--due", "+2", "--by", "Ben"
    )
    day = TODAY + timedelta(days=2)
    assert f"Signed out to Cleo, due {day:%a} {day.day} {day:%b %Y}: 2 things" in output.stdout
    assert held(db) == {"cell-1": "Cleo", "cell-3": "Cleo"}
    (entry, _) = said("log", "--last", "1")
    assert (entry["who"], entry["what"], entry["after"]["due"]) == (
        "Ben",
        "signed out",
        day.isoformat(),
    )


def test_out_says_who_else_has_it(db: Path) -> None:
    """One sentence, status 1, and nothing goes; the rest goes where that is asked for."""
    run("out", "cell-1", "--to", "Cleo")
    refused = run("out", "cell-1", "cell-2", "--to", "Ben", status=1)
    assert "Nothing is signed out: cell-1 is with Cleo since" in refused.stderr
    assert held(db) == {"cell-1": "Cleo"}
    (reason,) = said("out", "cell-1", "--to", "Ben", status=1)["in_the_way"]
    assert reason.startswith("cell-1 is with Cleo since")
    left = run("out", "cell-1", "cell-2", "--to", "Ben", "--what-is-free").stdout
    assert "Signed out to Ben: 1 thing: cell-2." in left
    assert "Left: cell-1 is with Cleo" in left
    assert list(said("out", "cell-1", "--to", "Ben", "--what-is-free", status=1)["left"]) == [
        "cell-1"
    ]


def test_a_person_is_one_person_however_spelt(db: Path) -> None:
    """Known names are taken as they are written in the inventory."""
    run("out", "cell-1", "--to", "Cleo Ö")
    run("out", "cell-2", "--to", " cleo  ö")
    assert set(held(db).values()) == {"Cleo Ö"}
    assert [loan["unit"] for loan in said("who", "CLEO ö")] == ["cell-1", "cell-2"]


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["out", "cell-1"], "--to: nobody is named. Give --to PERSON"),
        (["out", "--to", "Ben"], "no units are named. Name units, or give --plan"),
        (["out", "cel-1", "--to", "Ben"], "no unit 'cel-1'. Did you mean 'cell-1'?"),
        (
            ["out", "cell-1", "--to", "Ben", "--due", "soon"],
            "'soon' is not a day. Write it as 2027",
        ),
        (["out", "cell-1", "--to", "Ben", "--due", "+x"], "'+x' is not a day"),
        (["out", "cell-1", "--to", "Ben", "--due", "+-3"], "'+-3' is not a day"),
        (["log", "cel-1"], "there is no 'cel-1'. Did you mean 'cell-1'?"),
        (["out", "cell-1", "--to", "Ben", "--due", "2020-01-01"], "is over already. Give a day to"),
        (["out", "cell-1", "--to", "Ben", "--pass", "show"], "needs its plan. Give --plan PLAN"),
        (["out", "--to", "Ben", "--from", "no.txt"], "there is no such file"),
        (["back"], "no units are named"),
        (["who", "Nobody"], "nothing is out to Nobody"),
        (["slip", "Nobody"], "nothing is out to Nobody"),
        (["count", "cell-1"], "not clear which list to count. Give one of --plan"),
        (["count", "cell-1", "--case", "box-1", "--person", "Ana"], "not clear which list"),
        (["count", "cell-1", "--case", "box-9"], "no unit 'box-9'. Did you mean 'box-1'?"),
        (["count", "--case", "box-1"], "nothing was counted. Type or scan what is there"),
        (["log", "--from", "May"], "'May' is not a day. Write it as 2027-05-31"),
        (
            ["log", "--from", "2027-05-02", "--until", "2027-05-01"],
            "is after 2027-05-01. Swap them",
        ),
    ],
)
def test_mistakes_are_refused_and_change_nothing(
    db: Path, arguments: list[str], message: str
) -> None:
    """Each with its remedy."""
    result = CliRunner().invoke(gear_app, arguments, input="")
    assert isinstance(result.exception, KitplanError), result.output
    assert message in str(result.exception)
    assert held(db) == {}


def test_back_takes_back_with_condition_and_note(db: Path) -> None:
    """What is not out is refused with status 1; what was missing turns up again."""
    run("out", "cell-1", "cell-2", "--to", "Cleo")
    told = run("back", "cell-1", "--condition", "worn", "--note", "scratched").stdout
    assert "Back from Cleo: 1 thing: cell-1." in told
    assert "cell-1 went out good and is worn now." in told
    assert "cell-1 is not signed out" in run("back", "cell-1", "cell-2", status=1).stderr
    assert (
        "Missing, last with Cleo: cell-2." in run("back", "cell-2", "--condition", "missing").stdout
    )
    assert "is missing on record" in run("back", "cell-2", status=1).stderr
    assert "Found again: cell-2." in run("back", "cell-2", "--condition", "good").stdout
    assert held(db) == {}


def test_who_tells_what_is_overdue(db: Path) -> None:
    """By whole days; with status 0, since it is no fault of the inventory."""
    assert run("who").stdout == "Nothing is out.\n"
    late(db)
    run("out", "cell-1", "--to", "Cleo", "--due", "+0")
    text = run("who").stdout
    assert "Ben: 1 thing, 1 overdue" in text
    assert "2 days over" in text
    assert [loan["unit"] for loan in said("who", "--overdue")] == ["cell-3"]
    assert "Cleo" not in run("who", "--overdue").stdout
    run("back", "cell-3")
    assert run("who", "--overdue").stdout == "Nothing is overdue.\n"


def test_slip_lists_all_with_its_value(db: Path) -> None:
    """To be signed; what has no value is said to have none."""
    late(db)
    run("out", "cell-1", "cell-2", "--to", "Ben", "--note", "red tape")
    text = run("slip", "ben").stdout
    assert text.startswith("Loan slip: Ben\n")
    assert "[ ]  long cell (cell-3)  003       Ben      good" in text
    assert "cell-1: red tape" in text
    assert "Replacement value: 40.00; 1 thing without a value." in text
    assert "Received:" in text
    assert said("slip", "Ben")["value"] == 40


def test_count_changes_nothing_unless_asked(db: Path) -> None:
    """What a person has, against what was scanned."""
    run("out", "cell-1", "cell-2", "cell-3", "--to", "Cleo")
    found = said(
        "count", "--person", "cleo", status=1, scanned="cell-1\nCELL-4\nodd\nbox-1\ncell-1\n"
    )
    assert found == {
        "there": ["cell-1"],
        "missing": ["cell-3"],
        "swaps": [{"listed": "cell-2", "came": "cell-4"}],
        "extra": ["box-1"],
        "unknown": ["odd"],
        "repeated": ["cell-1"],
        "is_right": False,
        "back": [],
    }
    assert set(held(db)) == {"cell-1", "cell-2", "cell-3"}
    text = run("count", "cell-1", "--person", "Cleo", status=1).stdout
    assert text.startswith("There: 1 of 3 things.")
    assert "missing  cell-2  long cell  with Cleo since" in text
    broken = ("cell-1", "--damaged", "cell-1", "--person", "Cleo")
    assert "more than once" not in run("count", *broken, status=1).stdout


@pytest.mark.usefixtures("db")
def test_what_no_terminal_can_show_is_escaped() -> None:
    """A scanner gone mad does not write into the terminal."""
    told = run("count", "--case", "box-1", status=1, scanned="\x9b31mred " + "9" * 400).stdout
    assert r"\x9b31mred" in told
    assert "9" * 200 not in told


def test_count_signs_back_what_is_there(db: Path, tmp_path: Path) -> None:
    """What is missing stays out, or is marked so; what came in its place is taken on request."""
    run("out", "cell-1", "cell-2", "cell-3", "--to", "Cleo")
    run("out", "cell-4", "--to", "Ben")
    file = tmp_path / "counted.txt"
    file.write_text("kitplan:unit/cell-1\ncell-4\n", encoding="utf-8")
    told = run("count", "--person", "Cleo", "--from", str(file), "--back", status=1).stdout
    assert "Back from Cleo: 1 thing: cell-1." in told
    assert "Back from Ben: 1 thing: cell-4." in told
    assert held(db) == {"cell-2": "Cleo", "cell-3": "Cleo"}
    run("out", "cell-4", "--to", "Ben")
    told = run(
        "count",
        "--person",
        "Cleo",
        "cell-4",
        "--swap",
        "--missing",
        "--damaged",
        "cell-4",
        status=1,
    ).stdout
    assert "Ben has cell-2 now." in told
    assert "Missing, last with Cleo: cell-3." in told
    assert "cell-4 went out good and is in-repair now." in told
    assert held(db) == {"cell-2": "Ben"}


def test_count_of_a_case(db: Path) -> None:
    """What lives in it and is not out; all there ends with status 0."""
    run("out", "cell-1", "--to", "Cleo")
    told = run("count", "--case", "box-1", "--from", "-", scanned="box-1 cell-2").stdout
    assert told == "All there: 2 of 2 things.\n"
    assert (
        "extra  cell-1"
        in run("count", "--case", "box-1", "box-1", "cell-2", "cell-1", status=1).stdout
    )
    assert held(db) == {"cell-1": "Cleo"}


def test_a_pass_goes_out_and_comes_back_by_its_list(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The units of its packing list; the loan says which shoot and pass it was for."""
    db = tmp_path / "inventory.sqlite"
    monkeypatch.setenv("KITPLAN_DB", str(db))
    plan = small_plan()
    path = str(written(tmp_path, plan))
    with Store.open(db, writing=True) as store:
        store.save_kit(plan.kit, replace=False)
    pass_id = plan.pass_ids()[0]
    (packed,) = pass_lists(Names(plan), [pass_id])
    units = {entry.unit for entry in packed.entries}
    assert units
    name = pass_id.partition("/")[2]
    loans = said("out", "--plan", path, "--pass", name, "--to", "Ana")["out"]
    assert {loan["unit"] for loan in loans} == units
    assert {loan["list"] for loan in loans} == {pass_id}
    *most, last = sorted(units)
    found = said("count", "--plan", path, "--pass", name, "--back", *most, status=1)
    assert found["missing"] == [last]
    assert held(db) == {last: "Ana"}
    several = CliRunner().invoke(gear_app, ["out", "--plan", path, "--to", "Ana"])
    assert "the plan has several passes" in str(several.exception)
    other = tmp_path / "other.sqlite"
    with Store.open(other, writing=True) as store:
        store.save_kit(KIT, replace=False)
    strange = CliRunner().invoke(
        gear_app, ["out", "--plan", path, "--pass", name, "--to", "Ana", "--db", str(other)]
    )
    assert "on its list are not in the inventory" in str(strange.exception)


@pytest.mark.usefixtures("db")
def test_log_tells_what_people_did() -> None:
    """By thing, by person, by day."""
    run("out", "cell-1", "cell-2", "--to", "Cleo", "--by", "Thea")
    run("back", "cell-1", "--by", "Ben")
    text = run("log", "cell-1").stdout
    assert "Thea signed out\n- cell-1: to Cleo" in text
    assert "Ben signed back\n- cell-1: back from Cleo" in text
    assert "signed back" not in run("log", "--by", "thea").stdout
    assert len(said("log", "--by", "THEA")) == 2
    today, tomorrow = TODAY.isoformat(), (TODAY + timedelta(days=1)).isoformat()
    assert said("log", "--from", today, "--until", today) == said("log", "--last", "99")
    assert run("log", "--from", tomorrow).stdout == "Nothing has changed.\n"


def test_check_rebuilds_into_a_new_file(db: Path, tmp_path: Path) -> None:
    """And checks that; what it finds ends with status 1."""
    run("out", "cell-1", "--to", "Cleo")
    anew = tmp_path / "anew.sqlite"
    assert "rebuilt from the ledger, all is well" in run("check", "--rebuild", str(anew)).stdout
    assert held(anew) == {"cell-1": "Cleo"}
    assert said("check") == []
    with Store.open(db, writing=True) as store:
        store._desk.db.execute("DROP TRIGGER units_changed_entry")
        store._desk.db.execute("UPDATE units SET photos = '[1]' WHERE id = 'cell-2'")
    found = said("check", status=1)
    assert any("'cell-2' cannot be read" in finding for finding in found)
    assert "units cell-2: the ledger tells otherwise" in found
