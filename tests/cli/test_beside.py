"""`--out` of compare, fallback and gains, and what `kitplan papers` does with such files."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from kitplan.cli.main import app
from kitplan.errors import SettingError
from kitplan.paper.pack.beside import mark_of_plan, write_beside
from kitplan.plan.files import write_plan
from kitplan.tables import scenario
from tests.stored import stored_plan

DANCE = "school-dance"


@pytest.mark.parametrize(
    ("out", "words"), [(".", "it is a folder"), ("taken/answer.json", "it is a file")]
)
@pytest.mark.parametrize("command", ["compare", "gains", "fallback"])
def test_a_file_that_cannot_be_written_is_said_before_the_search(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str, out: str, words: str
) -> None:
    """Nobody waits a minute to learn that."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "taken").write_text("", encoding="utf-8")
    arguments = [command, str(scenario(DANCE)), "--seconds", "999", "--out", out]
    result = CliRunner().invoke(app, arguments)
    assert isinstance(result.exception, SettingError)
    assert words in str(result.exception)


def test_papers_take_what_lies_beside_the_plan_and_say_what_they_do_not(tmp_path: Path) -> None:
    """A fallback of this plan is printed; gains of another shoot are refused in one line."""
    plan = stored_plan(DANCE)
    write_plan(plan, tmp_path, DANCE)
    loss = {
        "kind": "person",
        "label": "Wilf",
        "do": [{"label": "", "lines": ["Thea takes both."]}],
        "costs": ["nothing"],
    }
    answer = tmp_path / f"{DANCE}-fallback.json"
    write_beside(answer, "fallback", mark_of_plan(plan), {"losses": [loss]})
    write_beside(tmp_path / f"{DANCE}-gains.json", "gains", "0123", {"gains": [], "pairs": []})
    out = tmp_path / "papers"
    arguments = ["papers", str(tmp_path), "--only", "fallback", "--out", str(out)]
    result = CliRunner().invoke(app, arguments)
    assert result.exit_code == 0, result.output
    assert "belongs to another state of shoot or kit" in result.stderr
    assert "Thea takes both." in next(out.glob("*.txt")).read_text(encoding="utf-8")
