"""From a dozen answers to a packing list, in an empty folder."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from kitplan.cli.main import app
from kitplan.recce.questions import questions

ANSWERS = Path(__file__).parent.parent / "data" / "answers"
KINDS = ("pub-band", "school-dance", "church-choir")


@pytest.fixture(autouse=True)
def _empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def run(*words: str, typed: str | None = None) -> Result:
    """Run a command as somebody would."""
    return CliRunner().invoke(app, words, input=typed)


@pytest.mark.parametrize("kind", KINDS)
def test_answers_become_a_shoot_that_nothing_is_wrong_with(kind: str) -> None:
    """With the example kit beside it."""
    made = run("new", "show.yaml", "--answers", str(ANSWERS / f"{kind}.yaml"))
    assert made.exit_code == 0, made.output
    assert "kitplan plan show.yaml" in made.output
    checked = run("check", "show.yaml")
    assert checked.exit_code == 0, checked.output
    assert "Nothing is wrong." in checked.output


@pytest.mark.long
@pytest.mark.parametrize("kind", KINDS)
def test_from_answers_to_a_packing_list(kind: str) -> None:
    """The first plan meets every must; each pass has a list with its cameras."""
    run("new", "show.yaml", "--answers", str(ANSWERS / f"{kind}.yaml"))
    planned = run("plan", "show.yaml", "--seconds", "15", "--alternatives", "0")
    assert "Every must is met" in " ".join(planned.output.split())
    packed = run("packing", "show-plan")
    assert packed.exit_code == 0
    for part in packed.output.split("things, ")[:2]:
        assert "Camera " in part


def test_questions_are_asked_until_they_are_understood() -> None:
    """Enter takes what stands in brackets; a wrong answer is told and asked again."""
    typed = "bnad\n" + "\n" * len(questions())
    made = run("new", "show.yaml", typed=typed)
    assert made.exit_code == 0, made.output
    assert "there is no kind of performance 'bnad'. Did you mean 'band'" in made.output
    assert Path("show.yaml").exists()


def test_nothing_is_overwritten_unasked() -> None:
    """Neither a shoot file nor a filled form."""
    Path("show.yaml").write_text("mine", encoding="utf-8")
    refused = run("new", "show.yaml", "--answers", str(ANSWERS / "pub-band.yaml"))
    assert "exists already" in str(refused.exception)
    assert Path("show.yaml").read_text(encoding="utf-8") == "mine"
    assert run("recce", "--out", "form.yaml").exit_code == 0
    assert "exists already" in str(run("recce", "--out", "form.yaml").exception)


def test_the_recce_form_is_one_page_of_paper() -> None:
    """At most 100 columns; every question that is answered on site says what to do there."""
    form = run("recce").output
    assert max(map(len, form.splitlines())) <= 100
    assert all(question.on_site.split()[0] in form for question in questions() if question.on_site)
