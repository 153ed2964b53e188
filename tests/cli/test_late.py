"""`kitplan late` from end to end."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import SettingError
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.plan.files import read_plan
from kitplan.plan.verify import verify
from kitplan.produce.day import with_day
from tests.plans import small_plan, written

RUNNER = CliRunner()


def test_a_new_clock_in_place_of_the_old_one(tmp_path: Path) -> None:
    """Text, JSON and the written plan say the same."""
    path = written(tmp_path, with_day(small_plan())).rename(tmp_path / "small.json")
    words = ["late", str(path), "--minutes", "20"]
    done = RUNNER.invoke(app, words)
    assert done.exit_code == 0, done.output
    assert max(map(len, done.stdout.splitlines())) <= WIDEST_TABLE
    assert "20 min later than planned" in done.stdout
    assert "Everything that held still holds." in done.stdout
    found = json.loads(RUNNER.invoke(app, [*words, "--json"]).stdout)
    assert found["pass_id"] == "small/show"
    assert found["minutes"] == 20
    assert RUNNER.invoke(app, [*words, "--out", str(tmp_path)]).exit_code == 0
    made = read_plan(path)
    assert made.shoots["small"].passes_by_id["show"].start.isoformat() == found["start"]
    assert verify(made) == ()
    assert (tmp_path / "small.json.earlier").exists()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "neither --minutes nor --downbeat is given"),
        (["--minutes", "5", "--downbeat", "20:10"], "both are given"),
        (["--downbeat", "late"], "'late' is no time of day"),
        (["--minutes", "5", "--pass", "shwo"], "there is no pass 'shwo'"),
        (["--minutes", "700"], "Move the other pass as well"),
    ],
)
def test_what_cannot_be_is_one_clear_line(words: list[str], told: str, tmp_path: Path) -> None:
    """Where, what, what to do."""
    path = written(tmp_path, with_day(small_plan()))
    if "700" in words:
        words = [*words, "--pass", "run"]
    done = RUNNER.invoke(app, ["late", str(path), *words])
    assert isinstance(done.exception, SettingError)
    assert told in str(done.exception)
