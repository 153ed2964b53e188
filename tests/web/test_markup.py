"""Names with markup come out as text: on pages, in data, in drawings."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from html import unescape
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.web.client import client_of, project_in

EVIL = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'&{{7*7}}"
NAMED = ("subjects", "songs", "passes", "crew", "roles", "positions", "items", "lamps", "zones")
"""Lists of records that people have named."""


def renamed(value: Any) -> Any:
    """Return a plan in which every name of every kind has markup behind it."""
    if isinstance(value, dict):
        made = {key: renamed(each) for key, each in value.items()}
        for key in NAMED:
            for each in made.get(key) or ():
                if isinstance(each, dict) and "id" in each:
                    each["name"] = f"{each.get('name') or each['id']} {EVIL}"
        if "title" in made:
            made["title"] = f"{made['title']} {EVIL}"
        return made
    return [renamed(each) for each in value] if isinstance(value, list) else value


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    """Somebody who looks at a plan with evil names."""
    project = project_in(tmp_path_factory.mktemp("page"))
    text = project.plan_path.read_text(encoding="utf-8")
    project.plan_path.write_text(json.dumps(renamed(json.loads(text))), encoding="utf-8")
    shoot = project.shoot_path.read_text(encoding="utf-8").splitlines()
    title = next(at for at, line in enumerate(shoot) if line.startswith("title:"))
    shoot[title] = f"title: {json.dumps(EVIL)}"
    project.shoot_path.write_text("\n".join(shoot), encoding="utf-8")
    return client_of(project)


def tags_of(text: str) -> set[str]:
    """Return the names of all elements of a drawing."""
    return {element.tag.rpartition("}")[2] for element in ET.fromstring(text).iter()}


def words_of(text: str) -> Iterator[str]:
    """Yield all text of a drawing."""
    yield from (element.text or "" for element in ET.fromstring(text).iter())


def test_names_stay_names_in_data(client: TestClient) -> None:
    """Untouched, and never as a page."""
    answer = client.get("/api/plan")
    assert answer.headers["content-type"] == "application/json"
    plan = answer.json()
    assert plan["title"].endswith(EVIL)
    placement = plan["passes"][0]["placements"][0]
    assert EVIL in placement["position"]["label"]
    assert EVIL in placement["who"]
    assert EVIL in client.get("/api/plan/songs").json()["passes"][0]["songs"][0]["label"]


def test_names_are_text_in_drawings(client: TestClient) -> None:
    """Nothing but shapes and text, whatever things are called."""
    first = client.get("/api/plan").json()["passes"][0]
    shapes = {"svg", "title", "g", "path", "circle", "rect", "text", "line", "polygon"}
    for address in (first["floor"], first["placements"][0]["shots"][0]["svg"]):
        text = client.get(address).text
        assert tags_of(text) <= shapes
        assert any("<script>" in words for words in words_of(text))


@pytest.mark.parametrize("place", ["/", "/plan", "/papers", "/gear"])
def test_names_are_text_on_pages(client: TestClient, place: str) -> None:
    """Escaped, and no template is worked out a second time."""
    text = client.get(place, headers={"accept": "text/html"}).text
    assert "<script>alert" not in text
    assert "<img src=x" not in text
    if place == "/":
        assert EVIL in unescape(text)
