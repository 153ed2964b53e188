"""Questions that are answered in a process of their own."""

from __future__ import annotations

import gzip
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from kitplan.web import asking
from kitplan.web.asking import Asker, Question, answered
from kitplan.web.solving import Busy
from tests.stored import path_of
from tests.web.client import client_of, project_in

DANCE = "school-dance"


@pytest.fixture(scope="module")
def plan_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a stored plan."""
    path = tmp_path_factory.mktemp("plan") / f"{DANCE}.json"
    path.write_bytes(gzip.decompress(path_of(DANCE).read_bytes()))
    return path


@pytest.fixture
def asker() -> Iterator[Asker]:
    """One whose process ends with the test."""
    made = Asker()
    yield made
    made.close()


@pytest.mark.parametrize(
    ("about", "words"),
    [
        (None, "Asked for, not met"),
        ("desk-side", "Position: Behind the last row beside the lighting desk"),
        ("Narrator", "Role: Narrator"),
        ("economy", "Goals, in strict order"),
    ],
)
def test_answers_are_those_of_the_command(plan_path: Path, about: str | None, words: str) -> None:
    """For roles, positions, goals, and all that is missing."""
    answer = answered(Question(plan_path, "1", about, 0))
    assert answer["holds"] is True
    assert words in answer["text"]


def test_names_of_nothing_are_told(plan_path: Path) -> None:
    """With what there is."""
    answer = answered(Question(plan_path, "1", "<script>", 0))
    assert "no role, item, position, person or goal is called '<script>'" in answer["error"]
    missing = answered(Question(plan_path.with_name("none.json"), "2", None, 0))
    assert "cannot be read" in missing["error"]


def test_one_process_answers_all(asker: Asker, plan_path: Path) -> None:
    """It is kept for the next question; what is refused comes back as well."""
    first = asker.ask(Question(plan_path, "1", "desk-side", 0))
    process = asker._process
    second = asker.ask(Question(plan_path, "1", "nonsense", 0))
    assert first["holds"]
    assert "nonsense" in second["error"]
    assert asker._process is process
    asker.close()
    assert process is not None
    assert not process.is_alive()
    with pytest.raises(Busy, match="is being closed"):
        asker.ask(Question(plan_path, "1", None, 0))


def test_too_many_are_told_to_come_again(
    asker: Asker, plan_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A few may wait; nobody waits for ever."""
    go_on = threading.Event()
    monkeypatch.setattr(asker, "_answer", lambda _: go_on.wait(30) and {})
    question = Question(plan_path, "1", None, 0)
    waiting = [threading.Thread(target=asker.ask, args=(question,)) for _ in range(4)]
    for each in waiting:
        each.start()
    while asker._waiting._value:
        time.sleep(0.005)
    with pytest.raises(Busy, match="others have asked before you"):
        asker.ask(question)
    go_on.set()
    for each in waiting:
        each.join()


def test_an_answer_that_does_not_come_is_given_up(
    asker: Asker, plan_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With its process, so that the next question finds a fresh one."""
    monkeypatch.setattr(asking, "LEAST_PATIENCE_S", 0.0)
    with pytest.raises(Busy, match="no answer came in time"):
        asker.ask(Question(plan_path, "1", None, 0))
    assert asker._process is None


def test_the_page_hands_questions_on(tmp_path: Path) -> None:
    """With what it knows of the plan; refusals have their status."""
    project = project_in(tmp_path)
    client = client_of(project)
    asker = client.app.state.workers.asker  # type: ignore[attr-defined]
    asked: list[Question] = []

    def ask(question: Question) -> dict[str, object]:
        asked.append(question)
        if question.about == "nothing":
            return {"error": "there is nothing", "problems": []}
        if question.about == "busy":
            raise Busy("others have asked", where="why", fix="Ask again")
        return {"text": "because", "holds": True}

    asker.ask = ask
    assert client.get("/api/why").json() == {"text": "because", "holds": True}
    assert client.get("/api/why?about=nothing&seconds=0").status_code == 422
    assert client.get("/api/why?about=busy").status_code == 503
    assert client.get("/api/why?seconds=61").status_code == 422
    assert [(each.about, each.seconds) for each in asked] == [
        (None, 10.0),
        ("nothing", 0.0),
        ("busy", 10.0),
    ]
    assert asked[0].stamp == project.plan_stamp()
