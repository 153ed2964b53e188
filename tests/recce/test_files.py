"""Answers become a shoot file that reads, plans and is written whole or not at all."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from kitplan.errors import BadInput, SettingError
from kitplan.recce.files import made, read_answers
from kitplan.recce.form import answers_text, form_text
from kitplan.recce.questions import Setting, questions
from kitplan.shoot.reading import read_brief
from kitplan.tables import table

SETTING = Setting(date(2027, 5, 15))


def test_there_are_no_more_than_fifteen_questions() -> None:
    """Each has words in the table and a place on the walk through the room."""
    walked = [each for part in table("recce")["walk"] for each in part["asks"]]
    assert len(questions()) <= 15
    assert sorted(walked) == sorted(question.id for question in questions())
    assert all(question.ask in form_text() for question in questions())


@pytest.mark.parametrize("kind", table("performances")["kinds"])
@pytest.mark.parametrize("audience", ["seated", "raked", "standing", "none"])
def test_defaults_make_a_shoot_of_every_kind(tmp_path: Path, kind: str, audience: str) -> None:
    """Without a further answer; the file reads together with the example kit."""
    given = {"kind": kind, "audience": audience, "kit": "example"}
    path = tmp_path / "show.yaml"
    assert made(given, SETTING, path) == (tmp_path / "show-kit.yaml", path)
    brief = read_brief(path)
    assert brief.shoot.roles[0].is_safety
    assert len(brief.shoot.venue.positions) >= 8
    shown = {role.subject for role in brief.shoot.roles}
    assert {subject.id for subject in brief.shoot.subjects} <= shown | {"audience"}


def test_a_form_that_is_left_as_it_is_makes_a_shoot(tmp_path: Path) -> None:
    """`kitplan recce --out` writes what `kitplan new --answers` reads."""
    form = tmp_path / "recce.yaml"
    form.write_text(answers_text(SETTING), encoding="utf-8")
    given = read_answers(form)
    assert given["kit"] == "example"
    made(given, SETTING, tmp_path / "show.yaml")


def test_every_wrong_answer_is_told_with_its_line(tmp_path: Path) -> None:
    """All at once, and nothing is written."""
    form = tmp_path / "recce.yaml"
    form.write_text("kind: bnad\nstage: huge\nstge: 8 x 5 x 1\n", encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        read_answers(form)
    words = str(caught.value)
    assert "recce.yaml:1: kind: there is no kind of performance 'bnad'" in words
    assert "recce.yaml:2: stage: 'huge' is not width x depth x height" in words
    assert "recce.yaml:3: there is no question 'stge'. Did you mean 'stage'?" in words


@pytest.mark.parametrize(
    "answer",
    [
        "songs: [{title: A, length: 4:10}]",
        "songs: {A: 4:10}",
        "stage: {width: 8}",
        "title: [a, b]",
        "crew: [Ada, null]",
    ],
)
def test_answers_of_a_wrong_type_are_told(tmp_path: Path, answer: str) -> None:
    """A table is no answer, a list only where there are many; the line is named."""
    form = tmp_path / "recce.yaml"
    form.write_text(f"kit: example\n{answer}\n", encoding="utf-8")
    with pytest.raises(BadInput, match=r"recce.yaml:2: \w+: that is no text") as caught:
        read_answers(form)
    assert len(caught.value.problems) == 1


def test_lists_of_lines_are_answers(tmp_path: Path) -> None:
    """As they are written: a number stays what it was."""
    form = tmp_path / "recce.yaml"
    form.write_text("songs: [Harbour Lights 4:10, 1999, 007]\n", encoding="utf-8")
    assert read_answers(form)["songs"].splitlines() == ["Harbour Lights 4:10", "1999", "007"]


def test_an_empty_file_of_songs_is_told(tmp_path: Path) -> None:
    """Eight invented songs would take their place else."""
    (tmp_path / "songs.csv").write_text("\n", encoding="utf-8")
    form = tmp_path / "recce.yaml"
    form.write_text("songs: songs.csv\n", encoding="utf-8")
    with pytest.raises(BadInput, match=r"songs\.csv: the file is empty"):
        read_answers(form)


def test_answers_that_make_no_shoot_leave_nothing_behind(tmp_path: Path) -> None:
    """No kit, no scratch file, and no line of a file that is not there."""
    given = {"kit": "example", "songs": "A 999:59", "passes": "rehearsal 15:00, show 19:30"}
    mine = tmp_path / ".show.yaml"
    mine.write_text("mine", encoding="utf-8")
    with pytest.raises(BadInput, match="the answers: pass 'show' starts at"):
        made(given, SETTING, tmp_path / "show.yaml")
    assert [each.name for each in tmp_path.iterdir()] == [".show.yaml"]
    assert mine.read_text(encoding="utf-8") == "mine"


def test_a_kit_without_its_shoot_is_taken_back(tmp_path: Path) -> None:
    """The shoot file cannot be written: a folder has its name."""
    (tmp_path / "show.yaml").mkdir()
    with pytest.raises(SettingError, match="cannot be written"):
        made({"kit": "example"}, SETTING, tmp_path / "show.yaml")
    assert [each.name for each in tmp_path.iterdir()] == ["show.yaml"]


def test_songs_are_read_from_a_file_beside_the_answers(tmp_path: Path) -> None:
    """A missing one is told."""
    (tmp_path / "set.csv").write_text("title,length\nCoal,4:10\n", encoding="utf-8")
    form = tmp_path / "recce.yaml"
    form.write_text("songs: set.csv\n", encoding="utf-8")
    made(read_answers(form) | {"kit": "example"}, SETTING, tmp_path / "show.yaml")
    assert [song.length_s for song in read_brief(tmp_path / "show.yaml").shoot.songs] == [250]
    form.write_text("songs: none.csv\n", encoding="utf-8")
    with pytest.raises(BadInput, match=r"none.csv"):
        read_answers(form)


@pytest.mark.parametrize(
    "name", ["{x: [1]}", "# no", "yes", "'\"", "🎺 ½", "<b>&", "- a: b", "null", "1e3"]
)
def test_hostile_names_come_back_as_text(tmp_path: Path, name: str) -> None:
    """In titles, names of songs, people and performers."""
    given = {
        "title": name,
        "venue": name,
        "songs": f"Song {name} 4:10; Other",
        "crew": f"{name} (skilled)",
        "plot": f"singer; {name} back",
        "kit": "example",
    }
    path = tmp_path / "show.yaml"
    made(given, SETTING, path)
    shoot = read_brief(path).shoot
    assert (shoot.title, shoot.venue.name, shoot.crew[0].label) == (name, name, name)
    assert shoot.songs[0].label == f"Song {name}"
    assert shoot.subjects[2].label.casefold() == name.casefold()


def test_heights_and_rate_fit_the_kit(tmp_path: Path) -> None:
    """No lens is wished for higher than the tallest stand; 60 Hz asks for 30 frames a second."""
    path = tmp_path / "show.yaml"
    made({"audience": "standing", "mains": "60", "kit": "example"}, SETTING, path)
    shoot = read_brief(path).shoot
    assert shoot.delivery.frame_rate_fps == 30
    assert max(position.lens_height_m for position in shoot.venue.positions) <= 2.1
