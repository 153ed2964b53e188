"""The data of the plan page."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from kitplan.web.planned import Shown
from kitplan.web.project import Project
from tests.stored import stored_plan
from tests.web.client import client_of, project_in

DANCE = "school-dance"


@pytest.fixture
def project(tmp_path: Path) -> Project:
    """A dance evening with its plan."""
    return project_in(tmp_path)


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    """Somebody who asks the page of another one that nobody changes."""
    return client_of(project_in(tmp_path_factory.mktemp("page")))


def test_the_plan_names_every_placement(client: TestClient) -> None:
    """By pass and letter, with what people call things."""
    data, plan = client.get("/api/plan").json(), stored_plan(DANCE)
    shown = {(each["id"], p["letter"]) for each in data["passes"] for p in each["placements"]}
    assert shown == {(p.pass_id.partition("/")[2], p.letter) for p in plan.placements}
    assert data["is_current"] is True
    assert data["findings"] == []
    assert data["cover"]["is_throughout"] is True
    assert [goal["id"] for goal in data["goals"]] == [goal.goal for goal in plan.goals]
    first = data["passes"][0]["placements"][0]
    assert first["who"] == "Wilf"
    assert first["shots"][0]["is_main"]


def test_a_changed_shoot_is_told(project: Project) -> None:
    """The plan stays readable; a file that does not read makes it unknown."""
    client = client_of(project)
    text = project.shoot_path.read_text(encoding="utf-8")
    project.shoot_path.write_text(text.replace("Puddles", "Puddles and Rain"), encoding="utf-8")
    assert client.get("/api/plan").json()["is_current"] is False
    project.shoot_path.write_text("title: 3\n", encoding="utf-8")
    assert client.get("/api/plan").json()["is_current"] is None


def test_another_plan_file_is_read_anew(project: Project) -> None:
    """What was worked out of the old one is forgotten."""
    client = client_of(project)
    before = client.get("/api/plan/songs").json()
    text = project.plan_path.read_text(encoding="utf-8")
    project.plan_path.write_text(text.replace('"Puddles"', '"Rain"'), "utf-8")
    after = client.get("/api/plan/songs").json()
    assert [each["passes"][0]["songs"][1]["label"] for each in (before, after)] == [
        "Puddles",
        "Rain",
    ]


def test_songs_show_what_each_camera_holds(client: TestClient) -> None:
    """Every camera of a pass has a cell in every song."""
    data = client.get("/api/plan/songs").json()
    for each in data["passes"]:
        for song in each["songs"]:
            assert sorted(song["cells"]) == sorted(each["cameras"])
    assert data["is_throughout"] is True


def test_every_drawing_that_is_named_is_there(client: TestClient) -> None:
    """A floor plan, what its cameras see, and the last of a menu: as drawings and nothing else."""
    first = client.get("/api/plan").json()["passes"][0]
    main = [placement["shots"][0]["svg"] for placement in first["placements"]]
    further = first["placements"][0]["shots"][-1]["svg"]
    for address in (first["floor"], *main, further):
        answer = client.get(address)
        assert answer.headers["content-type"].startswith("image/svg+xml")
        assert ET.fromstring(answer.text).tag.endswith("svg")


@pytest.mark.parametrize(
    ("address", "status", "words"),
    [
        ("/api/plan/floor/nowhere.svg", 422, "there is no pass 'nowhere'"),
        ("/api/plan/floor/dress.svg?sheet=7", 404, "no such sheet"),
        ("/api/plan/floor/dress.svg?sheet=-1", 422, "not a whole number"),
        ("/api/plan/frame/dress/Q.svg", 422, "there is no camera 'Q'"),
        ("/api/plan/frame/dress/A.svg?shot=٣", 422, "not a whole number"),
    ],
)
def test_what_is_not_there_is_refused(
    client: TestClient, address: str, status: int, words: str
) -> None:
    """In one clear line."""
    answer = client.get(address)
    assert answer.status_code == status
    assert words in answer.json()["error"]


def test_without_a_plan_it_says_so(tmp_path: Path) -> None:
    """Not a fault: nobody has pressed Plan yet."""
    client = client_of(project_in(tmp_path, has_plan=False))
    for address in ("/api/plan", "/api/plan/songs", "/api/plan/floor/dress.svg"):
        answer = client.get(address)
        assert answer.status_code == 404
        assert "no plan yet" in answer.json()["error"]


def test_a_damaged_plan_is_refused(project: Project) -> None:
    """As `kitplan verify` would."""
    client = client_of(project)
    project.plan_path.write_text('{"format": "kitplan-plan", "title": 3}', encoding="utf-8")
    answer = client.get("/api/plan")
    assert answer.status_code == 422
    assert "it is damaged at" in answer.json()["error"]


def test_a_plan_without_its_day_has_no_songs() -> None:
    """There is nothing to show, and cover is unknown."""
    shown = Shown(stored_plan(DANCE).model_copy(update={"day": None}))
    assert shown.songs() is None
    assert shown.data()["cover"] is None


def test_passes_have_addresses_whatever_they_are_called(project: Project) -> None:
    """Ids may hold slashes and dots, which browsers and routes would follow."""
    text = project.plan_path.read_text(encoding="utf-8")
    text = text.replace('"dress"', '"day/../dress"').replace(
        f"{DANCE}/dress", f"{DANCE}/day/../dress"
    )
    project.plan_path.write_text(text, encoding="utf-8")
    client = client_of(project)
    first = client.get("/api/plan").json()["passes"][0]
    assert first["id"] == "day/../dress"
    assert first["floor"] == "/api/plan/floor/day~..~dress.svg"
    for address in (first["floor"], first["placements"][0]["shots"][0]["svg"]):
        assert client.get(address).headers["content-type"] == "image/svg+xml"
    shown = client.get("/gear/u/zoom-16-50-1").text
    assert 'href="/card/day~..~dress/B"' in shown
