"""Searches beside the page: one at a time, in a process of its own, seen by all alike."""

from __future__ import annotations

import asyncio
import json
import os
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from kitplan.plan.files import read_plan
from kitplan.plan.verify import verify
from kitplan.web.pages.solving import states
from kitplan.web.searches import CompareTask, LossTask, PlanTask
from kitplan.web.solving import OWN_FAULT, Busy, Search, Searcher
from tests.small import small_brief
from tests.stored import stored_plan
from tests.web.client import client_of, project_in
from tests.web.searching import Waiting

PATIENCE_S = 120.0


@pytest.fixture
def searcher() -> Iterator[Searcher]:
    """A searcher whose searches end with the test."""
    made = Searcher()
    yield made
    made.close()


def until(is_so: Callable[[], bool]) -> None:
    """Wait for something that another process does."""
    end = time.monotonic() + PATIENCE_S
    while not is_so():
        assert time.monotonic() < end, "it never came"
        time.sleep(0.01)


def is_alive(process_id: int) -> bool:
    """Whether a process is there and has not ended."""
    with suppress(OSError):
        return "Z" not in Path(f"/proc/{process_id}/stat").read_text().rpartition(")")[2].split()[0]
    return False


def at_work(searcher: Searcher) -> int:
    """Wait for the note of `Waiting` and return the id of its process."""
    until(lambda: bool(searcher.state()["notes"]))
    return int(searcher.state()["notes"][0].rpartition(" ")[2])


def test_a_search_is_followed_and_stopped(searcher: Searcher) -> None:
    """A second one is refused politely; after the end another one may start."""
    assert searcher.state()["stage"] == "none"
    assert searcher.start(Waiting(), 60.0)["stage"] == "starting"
    at_work(searcher)
    state = searcher.state()
    assert (state["stage"], state["round"], state["seconds"]) == ("searching", 1, 60.0)
    wants = next(goal for goal in state["goals"] if goal["id"] == "wants")
    assert (wants["best"], wants["bound"], wants["is_proven"]) == ("3", "5", False)
    with pytest.raises(Busy, match="A plan is being worked on already"):
        searcher.start(Waiting())
    assert searcher.stop()["is_stopping"]
    until(lambda: bool(searcher.state()["is_over"]))
    state = searcher.state()
    assert (state["stage"], state["result"]) == ("done", {"status": "stopped-early"})
    assert searcher.latest("plan") == state
    assert searcher.latest("compare") is None


@pytest.mark.parametrize(
    ("then", "stage", "words"),
    [
        ("dies", "failed", "has died"),
        pytest.param("fault", "failed", OWN_FAULT, marks=pytest.mark.long),
        pytest.param(
            "refused",
            "failed",
            "the shoot: it is too large. Make it smaller",
            marks=pytest.mark.long,
        ),
    ],
)
def test_what_goes_wrong_is_told(searcher: Searcher, then: str, stage: str, words: str) -> None:
    """The searcher is free again afterwards."""
    searcher.start(Waiting(then))
    until(lambda: bool(searcher.state()["is_over"]))
    state = searcher.state()
    assert state["stage"] == stage
    assert words in state["failure"]["error"]
    assert state["result"] is None


def test_the_end_of_the_server_ends_the_search(searcher: Searcher) -> None:
    """At once, and no other one starts."""
    searcher.start(Waiting())
    process_id = at_work(searcher)
    assert os.getpgid(process_id) != os.getpgid(0)  # Ctrl-C in the terminal is for the server
    searcher.close()
    until(lambda: not is_alive(process_id))
    assert searcher.state()["stage"] == "stopped"
    with pytest.raises(Busy):
        searcher.start(Waiting())


def test_whoever_listens_hears_the_whole_state(searcher: Searcher) -> None:
    """From the beginning, wherever it stands; the stream ends with the searcher."""

    async def stays() -> bool:
        return False

    async def heard() -> list[dict[str, Any]]:
        found = []
        async for text in states(searcher, stays):
            assert text.startswith("event: state\ndata: ")
            assert text.endswith("\n\n")
            found.append(json.loads(text.split("data: ")[1]))
            searcher.is_closed = True
        return found

    assert asyncio.run(heard()) == [searcher.state()]


def told(search: Search) -> Callable[[str, Any], None]:
    """Return what takes in what a task tells, as the server does."""
    return lambda kind, data: search.hear(kind, json.loads(json.dumps(data)))


def test_a_plan_is_made_and_written_as_the_command_does(tmp_path: Path) -> None:
    """With its day, checked, alternatives beside it; every stage is told in order."""
    search, stages = Search(1, "plan", 2.0), list[str]()

    def tell(kind: str, data: Any) -> None:
        told(search)(kind, data)
        stages.extend([search.stage] if stages[-1:] != [search.stage] else [])

    result = PlanTask(small_brief(), "small", tmp_path, 2.0).run(tell)
    plan = read_plan(tmp_path / "small.json")
    assert stages == ["searching", "day", "checking", "alternatives"]
    assert search.has_written
    assert result["is_fine"]
    assert result["status"] == plan.status == "solved"
    assert verify(plan) == ()
    assert plan.day is not None
    goals = {goal["id"]: goal for goal in search.state()["goals"]}
    assert goals["musts"]["is_proven"]
    assert len(list(tmp_path.glob("alternative-*"))) == result["alternatives"]


def test_schedules_are_compared_as_the_command_does(tmp_path: Path) -> None:
    """Rows and columns as data, and the text; the papers find the answer beside the plan."""
    search = Search(1, "compare", 1.0)
    result = CompareTask(small_brief(), "small", tmp_path, 1.0).run(told(search))
    assert search.counted == {"done": 1, "total": 1}
    assert all(len(row) == 1 + len(result["headers"]) for row in result["rows"])
    assert "Schedules compared" in result["text"]
    kept = json.loads((tmp_path / "small-schedules.json").read_text(encoding="utf-8"))
    assert kept["found"] == json.loads(json.dumps(result["schedules"]))


@pytest.mark.long
def test_a_loss_is_answered_as_the_command_does() -> None:
    """Only what moves, in words."""
    plan = stored_plan("school-dance")
    result = LossTask(plan, ("camcorder-1",), ("one-inch camcorder",)).run(lambda *_: None)
    assert "Without one-inch camcorder" in result["text"]
    assert result["changes"]


def test_the_page_starts_and_stops_searches(tmp_path: Path) -> None:
    """The routes hand it to the searcher; what cannot be planned is told at once."""
    project = project_in(tmp_path)
    client = client_of(project)
    searcher: Searcher = client.app.state.workers.searcher  # type: ignore[attr-defined]
    started = []
    searcher.start = lambda task, seconds=None: started.append((task, seconds)) or searcher.state()  # type: ignore[func-returns-value,method-assign]
    assert client.post("/api/solve", json={"seconds": 5}).status_code == 202
    assert client.post("/api/compare", json={}).status_code == 202
    assert client.post("/api/without", json={"things": ["camcorder-1"]}).status_code == 202
    tasks = [task for task, _ in started]
    assert [(task.kind, seconds) for task, seconds in started] == [
        ("plan", 5.0),
        ("compare", 40.0),
        ("without", None),
    ]
    assert isinstance(tasks[0], PlanTask)
    assert tasks[0].folder == project.plan_folder
    assert client.post("/api/solve/stop", json={}).json()["stage"] == "none"
    assert client.get("/api/compare").status_code == 404
    project.shoot_path.write_text("title: 3\n", encoding="utf-8")
    answer = client.post("/api/solve", json={})
    assert answer.status_code == 422
    assert answer.json()["problems"]


def test_a_second_start_is_told(tmp_path: Path) -> None:
    """409, with words for people."""
    client = client_of(project_in(tmp_path))
    searcher: Searcher = client.app.state.workers.searcher  # type: ignore[attr-defined]
    searcher._search = Search(1, "compare", 40.0)
    answer = client.post("/api/solve", json={})
    assert answer.status_code == 409
    assert "A comparison of schedules is being worked on already" in answer.json()["error"]
