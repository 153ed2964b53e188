"""`kitplan measure-first` from end to end on a small plan."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.main import app
from kitplan.errors import PlanFileError
from kitplan.plan.records import Plan
from tests.plans import written
from tests.small import body, position, small_brief, small_kit, solve


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A camera whose grade falls where it is darker."""
    kit = small_kit(body(max_iso=800), counts={"cam": 1})
    return solve(small_brief(kit, positions=(position("front"),)))


def measure(folder: Path, plan: Plan, *arguments: str) -> Result:
    """Write a plan and ask, in this process alone."""
    words = ["measure-first", str(written(folder, plan)), "--processes", "1", *arguments]
    return CliRunner().invoke(app, words)


def test_the_facts_that_matter(plan: Plan, tmp_path: Path) -> None:
    """Light first; progress goes to stderr alone."""
    result = measure(tmp_path, plan, "--solve", "2", "--seconds", "1", "--top", "2")
    assert result.exit_code == 0, result.output
    assert result.stdout.startswith("What to measure first: Small\n")
    assert "(assumed 500 lux): at 250 lux the plan loses 8 points" in " ".join(
        result.stdout.split()
    )
    assert "Looked at 1 of" in result.stderr
    assert re.search(r"Planned \d of 4: everything as it is assumed", result.stderr)


def test_as_data(plan: Plan, tmp_path: Path) -> None:
    """JSON and nothing else; every fact that was looked at is in it."""
    data = json.loads(measure(tmp_path, plan, "--solve", "1", "--seconds", "1", "--json").stdout)
    assert data["first"][0]["kind"] in ("light", "iso")
    assert {each["status"] for each in data["others"]} == {"only screened", "changes nothing"}


def test_a_plan_that_does_not_hold(plan: Plan, tmp_path: Path) -> None:
    """Is asked about all the same, with a warning and status 1."""
    wrong = plan.model_copy(update={"shutter_s": 0.5})
    result = measure(tmp_path, wrong, "--solve", "1", "--seconds", "1")
    assert result.exit_code == 1
    assert "does not hold in 1 place" in result.stderr


def test_no_plan(tmp_path: Path) -> None:
    """A file that is no plan is refused."""
    (tmp_path / "other.json").write_text("{}", encoding="utf-8")
    result = CliRunner().invoke(app, ["measure-first", str(tmp_path / "other.json")])
    assert isinstance(result.exception, PlanFileError)
