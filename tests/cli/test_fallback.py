"""`kitplan fallback` on a tiny plan: table, data, progress, what an interrupt keeps."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.pack.answers import FallbackAnswer
from kitplan.paper.pack.beside import read_beside
from kitplan.plan.files import read_plan
from kitplan.whatif import sweep
from kitplan.whatif.sweep import STOPPED, Job, Result
from tests.plans import written

RUNNER = CliRunner()


@pytest.fixture
def plan_path(tmp_path: Path) -> Path:
    """Return the plan of a closed run and a show."""
    return written(tmp_path)


def test_a_table_for_each_kind_of_loss(plan_path: Path) -> None:
    """What moves, to whom it matters, what it costs; progress on stderr."""
    kept = plan_path.with_name("plan-fallback.json")
    arguments = ["--seconds", "2", "--processes", "1", "--out", str(kept)]
    done = RUNNER.invoke(app, ["fallback", str(plan_path), *arguments])
    assert done.exit_code == 0, done.output
    answer = read_beside(kept, "fallback", read_plan(plan_path.parent))
    assert isinstance(answer, FallbackAnswer)
    assert len(answer.losses) == 9
    assert ("viewpoints 3 to 2",) in {each.costs[-1:] for each in answer.losses}
    for words in ("If something is lost: Small", "A thing", "A person", "A position", "A pass"):
        assert words in done.stdout
    assert "viewpoints 3 to 2" in done.stdout
    assert "SHOW" in done.stdout
    assert done.stderr.splitlines()[0].startswith("Without 1 of 9: one of 2 cam")
    assert max(map(len, done.stdout.splitlines())) <= WIDEST_TABLE


def rows_of(plan_path: Path, processes: str = "1") -> str:
    """Return what is printed as data."""
    words = ["fallback", str(plan_path), "--seconds", "2", "--json", "--processes", processes]
    return RUNNER.invoke(app, words).stdout


@pytest.mark.long
def test_two_processes_give_the_same(plan_path: Path) -> None:
    """Byte for byte."""
    assert rows_of(plan_path, "2") == rows_of(plan_path)


def test_an_interrupt_keeps_what_is_done(plan_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As data: goals and changes of the first, of the rest that they were not worked out."""
    solve = sweep.solve
    done: list[str] = []

    def solve_one(job: Job) -> Result:
        if done:
            raise KeyboardInterrupt
        done.append(job.key)
        return solve(job)

    monkeypatch.setattr(sweep, "solve", solve_one)
    rows = json.loads(rows_of(plan_path))
    assert {row["kind"] for row in rows} == {"item", "person", "position", "pass"}
    assert {"goals", "changes", "to_whom"} <= rows[0].keys()
    assert rows[0]["reason"] == ""
    assert {row["reason"] for row in rows[1:]} == {STOPPED}
