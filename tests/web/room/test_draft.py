"""Steps that are not saved yet: refused in the words of the command line, saved without a loss."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitplan.errors import BadInput
from kitplan.shoot.reading import read_brief
from kitplan.web.project import ChangedMeanwhile
from tests.shoot.small import SHOOT
from tests.web.room.steps import add, asked, change, delete, drafts_of, rename


def test_steps_are_part_of_the_brief_before_they_are_saved(tmp_path: Path) -> None:
    """The file stays as it is."""
    drafts = drafts_of(tmp_path)
    digest = drafts.now().version.digest
    brief = drafts.checked(asked(digest, change("positions", "back", at_m=[1, -11.5])))
    assert brief.shoot.venue.positions[0].at_m == (1, -11.5)
    assert (tmp_path / "shoot.yaml").read_text() == SHOOT


def test_what_does_not_fit_is_said_with_the_lines_it_would_have(tmp_path: Path) -> None:
    """As `kitplan check` says it of the same text, once it is written."""
    drafts = drafts_of(tmp_path)
    base = drafts.now()
    steps = asked(
        base.version.digest,
        delete("zones", "tower"),
        change("positions", "wing", at_m=[0, 2]),
        change("stage", None, height_m=1),
    )
    brief, problems = drafts.brief(steps)
    assert brief.shoot.venue.stage.height_m == 1
    path = tmp_path / "shoot.yaml"
    path.write_text(base.text(steps.steps))
    with pytest.raises(BadInput) as told:
        read_brief(path)
    assert problems == told.value.problems
    assert any("'wing' is on the stage, but its floor_height_m 0.8" in p.wrong for p in problems)


def test_a_wrong_fact_is_refused_in_the_words_of_the_command_line(tmp_path: Path) -> None:
    """With the line, and what would be right."""
    drafts = drafts_of(tmp_path)
    digest = drafts.now().version.digest
    with pytest.raises(
        BadInput, match=r"shoot\.yaml:22: .*lens_height_m is -1. Write a number at least 0"
    ):
        drafts.brief(asked(digest, change("positions", "back", lens_height_m=-1)))
    with pytest.raises(BadInput, match=r"unknown key 'len_height_m'.*lens_height_m"):
        drafts.brief(asked(digest, change("positions", "back", len_height_m=1)))


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (delete("positions", "back"), "position 'back' is still named by role 'vocals', the lock"),
        (delete("subjects", "singer"), "named by light row 1, moment 'solo' of song 'one', role"),
        (delete("subjects", "band"), "subject 'band' is still named by subject 'singer'"),
        (delete("lamps", "sport"), "there is no lamp 'sport'. Did you mean 'spot'?"),
        (change("zones", "risers", height_m=1), "there is no zone 'risers'. Did you mean 'riser'?"),
        (delete("keep", position="back"), "there is no such lock"),
        (delete("stage"), "there is one stage"),
        (add("stage", height_m=1), "there is one stage"),
        (rename("positions", "back", "rail"), "the position id 'rail' is given twice"),
        (add("zones", id="riser", outline_m=[[0, 0], [1, 0], [1, 1]]), "zone id 'riser' is given"),
        (add("keep", position="nowhere"), "the lock names the position 'nowhere'"),
        (add("keep", body="zoom"), "the lock names 'zoom' as its body"),
    ],
)
def test_a_step_that_cannot_be_is_refused(
    tmp_path: Path, step: dict[str, object], words: str
) -> None:
    """It says where a thing is still used, what was probably meant, what would clash."""
    drafts = drafts_of(tmp_path)
    with pytest.raises(BadInput) as told:
        drafts.checked(asked(drafts.now().version.digest, step))
    assert words in str(told.value)


def test_what_names_a_thing_follows_its_new_id(tmp_path: Path) -> None:
    """Roles, moments, light, locks, groups."""
    drafts = drafts_of(tmp_path)
    digest = drafts.now().version.digest
    steps = asked(digest, rename("positions", "back", "rear"), rename("subjects", "singer", "lead"))
    shoot = drafts.checked(steps).shoot
    assert shoot.roles[1].positions == ("rear",)
    assert shoot.locks.keep[1].position == "rear"
    assert (shoot.roles[1].subject, shoot.light[0].subjects) == ("lead", ("lead",))
    assert shoot.songs[0].moments[0].subject == "lead"
    drafts.save(steps, digest)
    assert "singer" not in (tmp_path / "shoot.yaml").read_text()


def test_a_thing_that_nothing_names_any_more_can_go(tmp_path: Path) -> None:
    """Once its locks are let go."""
    drafts = drafts_of(tmp_path)
    lock = delete("never", position="rail", person="ben")
    steps = asked(drafts.now().version.digest, lock, delete("positions", "rail"))
    assert [p.id for p in drafts.checked(steps).shoot.venue.positions] == ["back", "wing"]


def test_saving_names_the_version_that_was_seen(tmp_path: Path) -> None:
    """Of two who save, the second is told, and nothing is overwritten."""
    drafts = drafts_of(tmp_path)
    digest = drafts.now().version.digest
    mine = asked(digest, change("positions", "back", lens_height_m=1.7))
    theirs = asked(digest, change("positions", "wing", lens_height_m=1.3))
    saved = drafts.save(theirs, digest)
    text = (tmp_path / "shoot.yaml").read_text()
    with pytest.raises(ChangedMeanwhile, match="somebody else has saved it"):
        drafts.save(mine, digest)
    assert (tmp_path / "shoot.yaml").read_text() == text
    again = asked(saved.digest, *(step.model_dump() for step in mine.steps))
    drafts.save(again, saved.digest)
    shoot = read_brief(tmp_path / "shoot.yaml").shoot
    assert [p.lens_height_m for p in shoot.venue.positions[:2]] == [1.7, 1.3]


def test_a_file_keeps_its_line_ends_and_its_mark(tmp_path: Path) -> None:
    """As other editors have written it."""
    drafts = drafts_of(tmp_path)
    path = tmp_path / "shoot.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + SHOOT.encode().replace(b"\n", b"\r\n"))
    digest = drafts.now().version.digest
    drafts.save(asked(digest, change("positions", "back", lens_height_m=1.75)), digest)
    expected = SHOOT.replace("lens_height_m: 1.6}", "lens_height_m: 1.75}").encode()
    assert path.read_bytes() == b"\xef\xbb\xbf" + expected.replace(b"\n", b"\r\n")


def test_steps_go_on_from_the_version_they_began_with(tmp_path: Path) -> None:
    """So that what is saved can still be undone, and saved again."""
    drafts = drafts_of(tmp_path)
    digest = drafts.now().version.digest
    saved = drafts.save(asked(digest, change("positions", "back", lens_height_m=1.7)), digest)
    drafts.save(asked(digest), saved.digest)
    assert (tmp_path / "shoot.yaml").read_text() == SHOOT


def test_a_version_that_nobody_knows_any_more_is_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page has to load the file again."""
    drafts = drafts_of(tmp_path)
    monkeypatch.setattr("kitplan.web.room.draft.MOST_KEPT", 2)
    first = drafts.now().version.digest
    path = tmp_path / "shoot.yaml"
    for n in range(2):
        path.write_text(f"{SHOOT}# {n}\n")
        drafts.now()
    with pytest.raises(ChangedMeanwhile):
        drafts.brief(asked(first))


def test_nothing_is_written_that_does_not_read(tmp_path: Path) -> None:
    """The file stays byte for byte."""
    drafts = drafts_of(tmp_path)
    digest = drafts.now().version.digest
    with pytest.raises(BadInput, match="is on the stage"):
        drafts.save(asked(digest, change("positions", "back", at_m=[0, 2])), digest)
    assert (tmp_path / "shoot.yaml").read_text() == SHOOT


def test_only_the_room_and_its_locks_can_be_changed(tmp_path: Path) -> None:
    """A page never reaches the path of the kit, or a key that no record has."""
    with pytest.raises(ValueError, match="of"):
        asked("x", change("kit", None, path="/etc/passwd"))
    drafts = drafts_of(tmp_path)
    hostile = change("positions", "back", **{"x: 1}\nkit": "/etc/passwd"})
    with pytest.raises(ValueError, match="invisible"):
        asked("x", hostile)
    with pytest.raises(BadInput, match="unknown key 'kit'"):
        drafts.brief(asked(drafts.now().version.digest, change("stage", None, kit="other.yaml")))


@pytest.mark.parametrize(
    "facts",
    [
        {"a": "x" * 2001},
        {"a": [[[[[[1]]]]]]},
        {"a": [0] * 1001},
        {"a": float("nan")},
        {"a": 10**400},
        {"a": -float("inf")},
        {"a": "\ud800"},
    ],
    ids=["long", "deep", "many", "no-number", "no-float", "endless", "no-letter"],
)
def test_what_a_page_sends_is_bounded(facts: dict[str, object]) -> None:
    """Texts, depth, number of values, numbers, letters."""
    with pytest.raises(ValueError):
        asked("x", change("positions", "back", **facts))
    asked("x", change("positions", "back", a="x" * 2000, b=[[[[1]]]], c=[0] * 900))
