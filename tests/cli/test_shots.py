"""`kitplan shots` from end to end."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import PlanFileError, SettingError
from kitplan.plan.records import Day, Plan
from kitplan.produce.day import with_day
from tests.day.shots.hall import sheets_of
from tests.plan.small import changed
from tests.plans import small_plan, written

RUNNER = CliRunner()


@cache
def plan() -> Plan:
    """Return the small plan with its day."""
    return with_day(small_plan())


def test_sheets_of_a_plan(tmp_path: Path) -> None:
    """Every camera of every pass; the plan that has none yet gets the same."""
    with_sheets = RUNNER.invoke(app, ["shots", str(written(tmp_path / "new", plan()))])
    assert with_sheets.exit_code == 0, with_sheets.output
    assert with_sheets.stdout.count("Camera ") == len(plan().placements)
    without = RUNNER.invoke(app, ["shots", str(written(tmp_path / "old", small_plan()))])
    assert without.stdout == with_sheets.stdout


def test_json_and_a_camera(tmp_path: Path) -> None:
    """For other programs."""
    path = str(written(tmp_path, plan()))
    found = json.loads(RUNNER.invoke(app, ["shots", path, "--json"]).stdout)
    assert len(found["sheets"]) == len(plan().placements)
    one = ["shots", path, "--pass", "show", "--camera", "a", "--json"]
    (only,) = json.loads(RUNNER.invoke(app, one).stdout)["sheets"]
    assert (only["letter"], only["pass_id"]) == ("A", "small/show")
    wrong = RUNNER.invoke(app, ["shots", path, "--camera", "Z"])
    assert isinstance(wrong.exception, SettingError)


def test_sheets_that_do_not_hold_are_said_to_be_wrong(tmp_path: Path) -> None:
    """They are printed with a warning, and the exit status is 1."""
    sheets = sheets_of(plan())
    spoilt = changed(sheets, sheets=tuple(changed(s, kind="zone") for s in sheets.sheets))
    path = written(tmp_path, plan().model_copy(update={"day": Day(shots=spoilt)}))
    done = RUNNER.invoke(app, ["shots", str(path)])
    assert done.exit_code == 1
    assert "its sheets may be wrong" in done.stderr


@pytest.mark.parametrize("what", ["subject", "song", "letter", "moment", "value"])
def test_sheets_that_name_what_is_not_there(tmp_path: Path, what: str) -> None:
    """A damaged file is one clear line, not a traceback."""
    data = json.loads(plan().model_dump_json(by_alias=True))
    shots = data["day"]["shots"]
    match what:
        case "subject":
            shots["sheets"][0]["songs"][0]["shot"]["subject"] = "nobody"
        case "song":
            shots["sheets"][0]["songs"][0]["song"] = "encore"
        case "letter":
            shots["sheets"][0]["letter"] = "Z"
        case "moment":
            row = {"shoot": "small", "song": "first", "moment": "x", "first": None, "second": None}
            shots["moments"] = [row]
        case _:
            shots["value"] = shots["value"][1:]
    path = written(tmp_path, Plan.model_validate(data))
    done = RUNNER.invoke(app, ["shots", str(path)])
    assert isinstance(done.exception, PlanFileError), done.stdout
    assert "it is damaged" in str(done.exception)


def test_a_plan_that_does_not_hold_gets_no_sheets(tmp_path: Path) -> None:
    """None can be made of shots that are not possible."""
    spoilt = changed(
        small_plan(),
        placements=tuple(
            changed(p, shot=changed(p.shot, size="ECU")) for p in small_plan().placements
        ),
    )
    done = RUNNER.invoke(app, ["shots", str(written(tmp_path, spoilt))])
    assert isinstance(done.exception, PlanFileError)
    assert "does not hold" in str(done.exception)
