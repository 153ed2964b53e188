"""The room as it answers: what the page asks for, and what somebody hostile might."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kitplan.web.app import application
from kitplan.web.project import Project
from kitplan.web.sessions import Sessions
from tests.shoot.small import SHOOT, changed, write
from tests.web.room.steps import change, rename

HOST = "localhost:8047"
ASK = {"in_pass": "show", "position": "back", "subject": "stage", "size": "WS"}


def client_of(folder: Path, shoot: str = SHOOT) -> TestClient:
    """Return somebody who asks from the page of a small shoot."""
    project = Project(write(folder, shoot), folder / "plan")
    app = application(project, frozenset({HOST}), Sessions(None))
    headers = {"origin": f"http://{HOST}"}
    return TestClient(
        app, base_url=f"http://{HOST}", headers=headers, raise_server_exceptions=False
    )


def test_the_page_takes_steps_to_the_file(tmp_path: Path) -> None:
    """Load, try, look, save, and find it there."""
    client = client_of(tmp_path)
    assert "Small evening" in client.get("/").text
    loaded = client.get("/api/shoot").json()
    assert (
        loaded["subjects"]["stage"]["outline_m"] == loaded["shoot"]["venue"]["stage"]["outline_m"]
    )
    asked: dict[str, Any] = {
        "base": loaded["digest"],
        "steps": [change("positions", "back", at_m=[1, -11.5])],
    }
    drafted = client.post("/api/draft", json=asked).json()
    assert drafted["shoot"]["venue"]["positions"][0]["at_m"] == [1, -11.5]
    assert drafted["problems"] == []
    seen = client.post("/api/view", json=asked | {"ask": ASK}).json()
    assert seen["svg"].startswith("<svg")
    saved = client.post("/api/shoot", json=asked | {"seen": loaded["digest"]})
    assert saved.status_code == 200
    text = (tmp_path / "shoot.yaml").read_text()
    assert text == SHOOT.replace("[-1, -13]", "[1, -11.5]")
    assert client.get("/api/shoot").json()["digest"] == saved.json()["digest"]


def test_the_second_to_save_is_told(tmp_path: Path) -> None:
    """409, and what the first saved stays."""
    client = client_of(tmp_path)
    digest = client.get("/api/shoot").json()["digest"]
    steps = [change("positions", "back", rigs=2)]
    asked = {"base": digest, "seen": digest, "steps": steps}
    assert client.post("/api/shoot", json=asked).status_code == 200
    second = client.post("/api/shoot", json=asked | {"steps": []})
    assert second.status_code == 409
    assert "somebody else has saved it" in second.json()["error"]
    assert "rigs: 2" in (tmp_path / "shoot.yaml").read_text()


def test_what_has_to_be_put_right_is_shown_and_not_saved(tmp_path: Path) -> None:
    """A position on the stage whose floor is below it may be drawn, but neither looked from nor
    saved.
    """
    client = client_of(tmp_path)
    digest = client.get("/api/shoot").json()["digest"]
    asked = {"base": digest, "steps": [change("positions", "back", at_m=[0, 3])]}
    drafted = client.post("/api/draft", json=asked)
    assert drafted.status_code == 200
    assert "is on the stage" in drafted.json()["problems"][0]
    for path, more in (("/api/shoot", {"seen": digest}), ("/api/view", {"ask": ASK})):
        answer = client.post(path, json=asked | more)
        assert answer.status_code == 422
        assert "is on the stage" in answer.json()["problems"][0]
    assert (tmp_path / "shoot.yaml").read_text() == SHOOT


def test_a_file_that_does_not_read_is_a_page_that_says_so(tmp_path: Path) -> None:
    """With its lines; names in it are text."""
    shoot = changed(SHOOT, "{id: riser,", "{id: riser, colour: <script>alert(1)</script>,")
    client = client_of(tmp_path, shoot)
    page = client.get("/")
    assert page.status_code == 422
    assert "unknown key &#39;colour&#39;" in page.text
    assert "<script>alert" not in page.text
    assert client.get("/api/shoot").status_code == 422


def test_names_are_text_in_the_page(tmp_path: Path) -> None:
    """The title of the shoot is escaped."""
    client = client_of(tmp_path, changed(SHOOT, "title: Small evening", 'title: "<img src=x>"'))
    assert "&lt;img src=x&gt;" in client.get("/").text


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"null",
        b"[]",
        b"[" * 5000,
        b'{"base": "x"}',
        b'{"base": 1, "steps": {}, "seen": [], "ask": 0}',
        b'{"base": "x", "steps": [{"do": "set", "of": "stage", "facts": {"height_m": NaN}}]}',
        b'{"base": "\xff"}',
        json.dumps({"base": "x", "steps": [{"do": "fly"}] * 600}).encode(),
        json.dumps({"base": "x" * 100}).encode(),
    ],
)
@pytest.mark.parametrize("path", ["/api/draft", "/api/view", "/api/shoot"])
def test_whatever_is_sent_gets_an_answer(tmp_path: Path, path: str, body: bytes) -> None:
    """A refusal in words, and the file stays."""
    client = client_of(tmp_path)
    answer = client.post(path, content=body, headers={"content-type": "application/json"})
    assert answer.status_code in (409, 422)
    assert answer.json()["error"]
    assert (tmp_path / "shoot.yaml").read_text() == SHOOT


def test_hostile_names_are_refused_or_become_text(tmp_path: Path) -> None:
    """Ids have letters that mean nothing anywhere; names are quoted in the file."""
    client = client_of(tmp_path)
    digest = client.get("/api/shoot").json()["digest"]
    for bad in ("<b>", "../../etc", "a b", "", "x\ny", "ä"):
        steps = [rename("positions", "back", bad)]
        answer = client.post("/api/draft", json={"base": digest, "steps": steps})
        assert answer.status_code == 422, bad
    name = "'\"><script>alert(1)</script> # {x}: - &y *z"
    asked = {"base": digest, "steps": [change("positions", "back", name=name)], "seen": digest}
    assert client.post("/api/shoot", json=asked).status_code == 200
    shoot = client.get("/api/shoot").json()["shoot"]
    assert shoot["venue"]["positions"][0]["name"] == name
