"""A plain kit file becomes an inventory, from the page."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from kitplan.gear.store import Store
from kitplan.web.planned import Shown
from kitplan.web.project import Project
from tests.web.client import client_of, project_in
from tests.web.halls import press

LENS = "zoom-16-50-1"


@pytest.fixture
def project(tmp_path: Path) -> Project:
    """A dance evening whose kit is a plain file."""
    return project_in(tmp_path)


def test_a_plain_kit_becomes_an_inventory_that_can_be_signed_out(project: Project) -> None:
    """Before that nothing can be; of the shoot file only the name of its kit changes."""
    client, before = client_of(project), project.shoot().text
    kit, plan = project.brief().kit, project.plan()
    named = next(line for line in before.splitlines() if line.startswith("kit:"))
    assert press(client, "out", person="Thea", units=[LENS]).status_code == 422
    assert "Keep it in an inventory" in client.get("/gear").text
    assert press(client, "inventory").json() == {"inventory": "school-dance.sqlite"}
    after = project.shoot().text
    changed = next(line for line in after.splitlines() if line.startswith("kit:"))
    assert "school-dance.sqlite" in changed
    assert after == before.replace(named, changed)
    assert project.brief().kit == kit
    assert plan is not None
    assert Shown(plan).is_of(project.brief())
    assert "Keep it in an inventory" not in client.get("/gear").text
    assert press(client, "out", person="Thea", units=[LENS]).status_code == 200
    with Store.open(project.shoot_path.with_name("school-dance.sqlite"), writing=False) as store:
        assert {change.who for change in store.ledger.changes()} == {"Thea"}


def test_it_is_done_once(project: Project) -> None:
    """A second press is told; a file that is there already is never written over."""
    client = client_of(project)
    taken = project.shoot_path.with_name("school-dance.sqlite")
    taken.write_text("mine", encoding="utf-8")
    refused = press(client, "inventory")
    assert refused.status_code == 422
    assert "is there already" in refused.json()["error"]
    assert taken.read_text(encoding="utf-8") == "mine"
    taken.unlink()
    assert press(client, "inventory").status_code == 200
    assert "no plain kit file" in press(client, "inventory").json()["error"]


def test_a_kit_named_beside_the_shoot_file_is_left_alone(project: Project, tmp_path: Path) -> None:
    """The shoot file does not name it, so it cannot name another."""
    kit = tmp_path / "catalog" / "school-dance.yaml"
    client = client_of(replace(project, kit=kit))
    assert press(client, "inventory").status_code == 422
    assert "Keep it in an inventory" not in client.get("/gear").text
