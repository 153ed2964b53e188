"""Counting a case on a phone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kitplan.gear.store import Store
from kitplan.web.hall.cases import case_of
from kitplan.web.project import Project
from tests.web.client import client_of
from tests.web.halls import press, project_with_gear

CRATE, BAG = "crate-1", "bag-thea"


@pytest.fixture
def project(tmp_path: Path) -> Project:
    """A dance evening with its gear in an inventory."""
    return project_with_gear(tmp_path)


@pytest.fixture
def client(project: Project) -> TestClient:
    """Somebody with a phone."""
    return client_of(project)


def state(project: Project, case: str = CRATE) -> dict[str, Any]:
    """What the page shows of a case."""
    shown = case_of(project, case)
    assert shown is not None
    return shown


def inside(project: Project, case: str = CRATE) -> list[str]:
    """Ids of what lives in a case."""
    return [each["unit"] for each in state(project, case)["things"]]


def test_what_is_not_ticked_is_missing(project: Project, client: TestClient) -> None:
    """One count is one change of the inventory, signed by whoever counted."""
    first, *rest = inside(project)
    seen = state(project)["seen"]
    answer = press(client, "count", case=CRATE, here=rest, seen=seen)
    assert answer.json() == {"missing": [first], "back": [], "found": [], "here": len(rest)}
    with Store.open(project.db or Path(), writing=False) as store:
        assert store.units_by_id([first])[first].condition == "missing"
        (entry,) = store.ledger.entries(record_id=first)[-1:]
        assert (entry.who, entry.what) == ("Thea", "counted")


def test_what_was_missing_is_found_and_what_was_out_is_back(
    project: Project, client: TestClient
) -> None:
    """A tick tells the truth about a thing, whatever was written down before."""
    lost, lent, left, *_ = every = inside(project)
    press(client, "fault", unit=lost, words="", state="missing")
    press(client, "out", units=[lent, left], person="Ida")
    here = [unit for unit in every if unit != left]
    answer = press(client, "count", case=CRATE, here=here, seen=state(project)["seen"])
    assert answer.json() | {"here": 0} == {
        "missing": [],
        "back": [lent],
        "found": [lost],
        "here": 0,
    }
    things = {each["unit"]: each for each in state(project)["things"]}
    assert not things[lost]["is_missing"]
    assert things[lent]["held"] is None
    assert things[left]["held"] == "Ida"


def test_a_count_of_an_older_state_is_told_and_loses_nothing(
    project: Project, client: TestClient
) -> None:
    """Somebody took a thing out of the case in the meantime: nothing is overwritten."""
    first, *rest = inside(project)
    seen = state(project)["seen"]
    press(client, "out", units=[first], person="Ida")
    answer = press(client, "count", case=CRATE, here=rest, seen=seen)
    assert answer.status_code == 409
    assert "your ticks are still there" in answer.json()["error"]
    things = {each["unit"]: each for each in state(project)["things"]}
    assert things[first]["held"] == "Ida"
    assert not things[first]["is_missing"]


def test_things_of_other_cases_are_not_counted_here(project: Project, client: TestClient) -> None:
    """Told by id; and nothing is written."""
    answer = press(client, "count", case=CRATE, here=["crop-1"], seen=state(project)["seen"])
    assert answer.status_code == 422
    assert "crop-1 does not live in it" in answer.json()["error"]
    assert not any(each["is_missing"] for each in state(project)["things"])


def test_a_case_within_a_case_is_counted_with_it(project: Project, client: TestClient) -> None:
    """With what lives in it, and where."""
    with Store.open(project.db or Path(), writing=True, who="Ida") as store:
        store.change_unit(BAG, {"case": CRATE})
    things = {each["unit"]: each["within"] for each in state(project)["things"]}
    assert things[BAG] == ""
    assert things["crop-1"] == BAG
    text = client.get(f"/gear/count/{CRATE}").text
    assert 'value="crop-1"' in text


def test_no_such_case(client: TestClient) -> None:
    """A page that says so."""
    assert client.get("/gear/count/nothing").status_code == 404
