"""The files behind the page: read once for each of their states, never overwritten silently."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from kitplan.errors import BadInput
from kitplan.gear.store import Store
from kitplan.shoot import reading
from kitplan.web import project as module
from kitplan.web.project import ChangedMeanwhile, Project
from tests.stored import stored_plan
from tests.web.client import project_in


@pytest.fixture
def project(tmp_path: Path) -> Project:
    """A dance evening; its files were saved a while ago."""
    made = project_in(tmp_path)
    for path in tmp_path.rglob("*"):
        os.utime(path, (1_700_000_000, 1_700_000_000))
    return made


def test_a_brief_is_read_once(project: Project) -> None:
    """Until shoot or kit change."""
    first = project.brief()
    assert project.brief() is first
    kit = project.shoot_path.parent / (first.shoot.kit or "")
    os.utime(kit, (1_700_000_001, 1_700_000_001))
    second = project.brief()
    assert second is not first
    assert second == first
    text = project.shoot_path.read_text(encoding="utf-8")
    project.shoot_path.write_text(text.replace("Puddles", "Rain"), encoding="utf-8")
    assert "Rain" in {song.label for song in project.brief().shoot.songs}


def test_what_was_saved_while_it_was_read_is_read_again(project: Project) -> None:
    """A file whose time is not past may be another one already."""
    os.utime(project.shoot_path, (4_000_000_000, 4_000_000_000))
    assert project.brief() is not project.brief()


def test_an_inventory_changes_more_often_than_the_shoot(
    project: Project, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The shoot file is not read again then; the kit is."""
    db = tmp_path / "kit.sqlite"
    with Store.open(db, writing=True) as store:
        store.save_kit(stored_plan("school-dance").kit, replace=False)
    served = Project(project.shoot_path, project.plan_folder, db)
    before = served.brief()
    monkeypatch.setattr(module, "read_shoot", lambda _: pytest.fail("it was read again"))
    with Store.open(db, writing=True) as store:
        store.retire_unit("camcorder-1")
    after = served.brief()
    assert after.shoot is before.shoot
    assert after.kit != before.kit
    assert after == reading.read_brief(project.shoot_path, None, db)


def test_faults_are_told_together(project: Project) -> None:
    """Those of the kit with those of the shoot, as on the command line."""
    project.shoot_path.write_text("title: 3\nkit: nowhere.yaml\n", encoding="utf-8")
    with pytest.raises(BadInput) as ours:
        project.brief()
    with pytest.raises(BadInput) as commands:
        reading.read_brief(project.shoot_path)
    assert ours.value.problems == commands.value.problems
    assert any("nowhere.yaml" in str(each) for each in ours.value.problems)


def test_nothing_is_overwritten_silently(project: Project) -> None:
    """Who has not seen the newest version is told, and nothing is written."""
    seen = project.shoot()
    saved = project.save_shoot(seen.text + "# by one\n", seen.digest)
    with pytest.raises(ChangedMeanwhile):
        project.save_shoot(seen.text + "# by two\n", seen.digest)
    assert project.shoot() == saved
    assert project.save_shoot(saved.text, saved.digest) == saved
