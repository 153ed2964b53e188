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


def test_enter_throughout_leaves_somebody_to_film() -> None:
    """Without anybody on hand no camera can be built, so there would be nothing to plan."""
    made = run("new", "show.yaml", typed="\n" * len(questions()))
    assert made.exit_code == 0, made.output
    assert "crew:\n  - {id: me, name: me," in Path("show.yaml").read_text(encoding="utf-8")


def test_a_list_may_be_pasted_line_by_line() -> None:
    """Up to an empty line; the questions after it are not answered by what was pasted."""
    typed = "\n" * 12 + "1. Opening 4:30\n2. Puddles 3:35\n3. Finale\n\n" + "\n" * 2
    made = run("new", "show.yaml", typed=typed)
    assert made.exit_code == 0, made.output
    text = Path("show.yaml").read_text(encoding="utf-8")
    assert "name: Opening, length_s: 270" in text
    assert "name: Puddles, length_s: 215" in text
    assert "name: Finale, length_s: 240" in text
    assert "name: Singer" in text


def test_a_kit_that_is_not_there_is_asked_for_again() -> None:
    """What was answered before is not lost by the last question."""
    made = run("new", "show.yaml", typed="\n" * 14 + "nowhere.yaml\nexample\n")
    assert made.exit_code == 0, made.output
    assert "there is no such file" in made.output
    assert Path("show.yaml").exists()


def test_who_films_may_rig_on_stage_but_not_on_a_first_day() -> None:
    """Positions on stage that nobody may build would be planned and taken back again."""
    run("new", "show.yaml", "--answers", str(ANSWERS / "pub-band.yaml"))
    text = Path("show.yaml").read_text(encoding="utf-8")
    assert "name: Ben, may_be_on_stage: true" in text
    assert "name: Cleo, is_first_time: true}" in text


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
