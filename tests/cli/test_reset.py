"""`kitplan reset` from end to end."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.main import app
from kitplan.errors import KitplanError, PlanFileError, SettingError
from kitplan.plan.records import Plan
from kitplan.produce.day import with_work
from tests.plans import small_plan, written
from tests.small import SHOOT_ID, at


def reset(*arguments: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(app, ["reset", *arguments])


def refused(*arguments: str) -> KitplanError:
    """Run the command on bad input and return what it says."""
    error = reset(*arguments).exception
    assert isinstance(error, KitplanError)
    return error


def with_gap(minutes: float) -> Plan:
    """Return the small plan with another gap; what it says of its resets is out of date."""
    plan = small_plan()
    shoot = plan.shoots[SHOOT_ID]
    first = shoot.passes[0].model_copy(update={"gap_after_min": minutes})
    passes = (first, *shoot.passes[1:])
    return plan.model_copy(
        update={"shoots": {SHOOT_ID: shoot.model_copy(update={"passes": passes})}}
    )


def test_the_sheet_is_printed(tmp_path: Path) -> None:
    result = reset(str(written(tmp_path)))
    assert result.exit_code == 0
    assert "run to show: Sat 1 May 2027, from 16:20 to 19:00, doors" in result.stdout


def test_json_is_one_document(tmp_path: Path) -> None:
    result = reset(str(written(tmp_path)), "--json")
    assert result.exit_code == 0
    found = json.loads(result.stdout)
    assert [gap["before"] for gap in found["gaps"]] == [f"{SHOOT_ID}/show"]
    assert all(gap["end_s"] >= gap["bound_s"] for gap in found["gaps"])


def test_a_gap_that_is_too_short_ends_with_1(tmp_path: Path) -> None:
    result = reset(str(written(tmp_path, with_work(with_gap(0.5)))))
    assert result.exit_code == 1
    assert "It does not fit." in result.stdout


def test_the_get_out_alone(tmp_path: Path) -> None:
    result = reset(str(written(tmp_path)), "--get-out")
    assert result.exit_code == 0
    assert "Get-out after show: Sat 1 May 2027, from 20:22" in result.stdout
    assert "run to show" not in result.stdout


def test_the_load_in_wants_hours(tmp_path: Path) -> None:
    error = refused(str(written(tmp_path)), "--load-in")
    assert isinstance(error, SettingError)
    assert str(error).endswith("Write `since` for the people of the crew, and plan again")


def test_the_load_in(tmp_path: Path) -> None:
    plan = small_plan()
    shoot = plan.shoots[SHOOT_ID]
    crew = tuple(one.model_copy(update={"since": at(14)}) for one in shoot.crew)
    early = plan.model_copy(update={"shoots": {SHOOT_ID: shoot.model_copy(update={"crew": crew})}})
    result = reset(str(written(tmp_path, early)), "--load-in", "--get-out")
    assert result.exit_code == 0
    assert "Load-in for run: Sat 1 May 2027, from 14:00 to 16:00, start" in result.stdout
    assert "Get-out after show" in result.stdout


@pytest.mark.parametrize("content", ["", "{", "[]", '{"format": "kitplan-plan"}'])
def test_a_broken_plan_is_refused(tmp_path: Path, content: str) -> None:
    path = tmp_path / "plan.json"
    path.write_text(content, encoding="utf-8")
    assert isinstance(refused(str(path)), PlanFileError)


def test_a_plan_that_names_what_it_does_not_hold_is_refused(tmp_path: Path) -> None:
    plan = small_plan()
    first = plan.placements[0]
    lost = first.model_copy(update={"position": "nowhere"})
    spoilt = plan.model_copy(update={"placements": (lost, *plan.placements[1:])})
    assert isinstance(refused(str(written(tmp_path, spoilt))), PlanFileError)
