"""`kitplan why` from end to end on small plans."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.main import app
from kitplan.errors import SettingError
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.plan.records import Plan
from tests.plans import written
from tests.small import position, role, small_brief, small_kit, solve


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A plan with one body for two wants."""
    asked = (role("one", priority="want", weight=2), role("two", name="The other", priority="want"))
    places = (position("front"), position("left"))
    return solve(small_brief(small_kit(counts={"cam": 1}), roles=asked, positions=places))


def why(folder: Path, plan: Plan, *arguments: str) -> Result:
    """Write a plan and ask."""
    return CliRunner().invoke(app, ["why", str(written(folder, plan)), *arguments])


def test_a_role_by_its_name(plan: Plan, tmp_path: Path) -> None:
    """Funnel and smallest change on one page."""
    result = why(tmp_path, plan, "the other")
    assert result.exit_code == 0, result.output
    assert result.output.startswith("Role: The other\n")
    assert "Smallest change: one more cam." in result.output
    assert max(map(len, result.output.splitlines())) <= WIDEST_TABLE


def test_without_a_name(plan: Plan, tmp_path: Path) -> None:
    """What is missed and what is unused, one line each."""
    result = why(tmp_path, plan)
    assert result.exit_code == 0, result.output
    assert "- WANT: role 'The other'" in result.output
    assert "Not used" in result.output


def test_as_data(plan: Plan, tmp_path: Path) -> None:
    """A list, since a name may stand for several things; no time, no change."""
    (found,) = json.loads(why(tmp_path, plan, "two", "--json", "--seconds", "0").output)
    assert found["kind"] == "role"
    assert found["repair"] is None
    (found,) = json.loads(why(tmp_path, plan, "two", "--json").output)
    assert found["repair"]["change"] == {"kind": "unit", "words": "one more cam"}
    data = json.loads(why(tmp_path, plan, "--json").output)
    assert [each["id"] for each in data["unmet"]] == ["two"]


def test_a_misspelt_name(plan: Plan, tmp_path: Path) -> None:
    """Is answered with the nearest."""
    result = why(tmp_path, plan, "frnot")
    assert isinstance(result.exception, SettingError)
    assert "Did you mean 'front'?" in str(result.exception)


def test_the_goals(plan: Plan, tmp_path: Path) -> None:
    """All of them, or one by its words; costs are asked of the solver."""
    result = why(tmp_path, plan, "goals")
    assert result.exit_code == 0, result.output
    # one camera, two roles of one view: the second want is impossible without a second camera
    assert "One more of want roles, by weight, is impossible" in result.stdout.replace("\n  ", " ")
    assert max(map(len, result.stdout.splitlines())) <= WIDEST_TABLE
    (found,) = json.loads(why(tmp_path, plan, "marks lost on picture quality", "--json").output)
    assert found["goal"] == "quality"
    assert found["one_more"]["paid_in"] == "variety"
    (found,) = json.loads(why(tmp_path, plan, "wants", "--json", "--seconds", "0").output)
    assert found["one_more"] is None


def test_a_thing_that_is_not_used(plan: Plan, tmp_path: Path) -> None:
    """What its use would cost, by a lock; nothing is asked of what is used."""
    (unused,) = {"front", "left"} - {each.position for each in plan.placements}
    result = why(tmp_path, plan, unused)
    assert "Smallest change: a lock that asks for it. A new plan then uses it" in result.output
    (used,) = json.loads(why(tmp_path, plan, "cam", "--json").output)
    assert used["repair"] is None
