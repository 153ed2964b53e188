"""`kitplan without`: what it prints, and its exit statuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.plan.files import read_plan
from kitplan.plan.verify import verify
from tests.plans import written
from tests.stored import stored_plan

RUNNER = CliRunner()


@pytest.fixture(scope="module")
def plan_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a plan of the school's dance evening."""
    return written(tmp_path_factory.mktemp("plan"), stored_plan("school-dance"))


def test_it_prints_what_changes_and_writes_the_new_plan(plan_path: Path, tmp_path: Path) -> None:
    """Goals before and after, changes pass by pass; the new plan holds."""
    words = ["without", str(plan_path), "compact-1", "--seconds", "4", "--out", str(tmp_path)]
    done = RUNNER.invoke(app, words)
    assert "Without long-zoom compact (compact-1)" in done.output
    assert "distinct viewpoints" in done.output
    (made,) = tmp_path.glob("*.json")
    assert verify(read_plan(made)) == ()


def test_json_has_goals_and_changes(plan_path: Path) -> None:
    """For other programs."""
    done = RUNNER.invoke(app, ["without", str(plan_path), "rail-clamp", "--seconds", "2", "--json"])
    found = json.loads(done.stdout)
    assert set(found["goals"]) >= {"musts", "wants", "viewpoints"}
    assert all(change["what"] in ("gone", "new", "changed") for change in found["changes"])


def test_an_unknown_thing_is_a_clear_error(plan_path: Path) -> None:
    """Status 2 by the entry point; here the error itself."""
    done = RUNNER.invoke(app, ["without", str(plan_path), "compct-1"])
    assert "there is no 'compct-1' in the plan. Did you mean 'compact-1'" in str(done.exception)


# -- a tiny plan -----------------------------------------------------------------------------------


def test_what_was_got_makes_a_new_plan(tmp_path: Path) -> None:
    """The pass is over, nobody is told about it; whoever moves in the show is."""
    (tmp_path / "got.csv").write_text("pass,camera,song,result\nrun,A,,spoiled\n")
    path = written(tmp_path)
    words = ["without", str(path), "--got", str(tmp_path / "got.csv"), "--seconds", "3"]
    done = RUNNER.invoke(app, [*words, "--out", str(tmp_path / "new")])
    assert done.exit_code == 0, done.output
    assert "After run: Small" in done.stdout
    assert "run: camera A has not got any song." in done.stdout
    assert "Rigging: build camera" in done.stdout
    (made,) = (tmp_path / "new").glob("*.json")
    assert verify(read_plan(made)) == ()
    data = json.loads(RUNNER.invoke(app, [*words, "--json"]).stdout)
    assert {told["pass_id"] for told in data["to_whom"]} == {"small/show"}


def test_an_hour_of_the_gap(tmp_path: Path) -> None:
    """It leaves 100 of 160 minutes, which is enough: nothing has to change."""
    done = RUNNER.invoke(app, ["without", str(written(tmp_path)), "60min:run", "--seconds", "3"])
    assert done.exit_code == 0, done.output
    assert "Without 60 min of the gap after run: Small" in done.stdout
    assert "Nothing has to change." in done.stdout


def test_something_must_be_lost(tmp_path: Path) -> None:
    """A thing, or what was not got."""
    done = RUNNER.invoke(app, ["without", str(written(tmp_path))])
    assert "nothing is said to be lost. Name what is lost, or give --got FILE" in str(
        done.exception
    )
