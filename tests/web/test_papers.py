"""Papers on the page: made once, looked at, downloaded."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kitplan.errors import PlanFileError, SettingError
from kitplan.paper.pack import papers as show_pack
from kitplan.paper.pack.setting import Setting
from kitplan.web.orders import order_of, setting_of
from kitplan.web.press import DIED, OWN_FAULT, Job, Order, Press, made
from kitplan.web.project import Project
from tests.web.client import client_of, project_in

PATIENCE_S = 60.0


def follow_here(self: Press, job: Job) -> None:
    """Make an order in this process: what is made is tested here, the process elsewhere."""
    job.state = "making"
    self._hear(job, "done", made(job.order, lambda words: self._hear(job, "tell", words)))


@pytest.fixture(scope="module")
def few_papers() -> Iterator[None]:
    """A show pack of two papers, made in this process."""
    few = tuple(each for each in show_pack.PAPERS if each.id in ("packing", "moments"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(show_pack, "PAPERS", few)
        patch.setattr(Press, "_follow", follow_here)
        yield


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory, few_papers: None) -> TestClient:  # noqa: ARG001
    """Somebody who only reads: the papers of a dance evening are made once for all of them."""
    client = client_of(project_in(tmp_path_factory.mktemp("papers")))
    assert client.get("/api/papers").json() == {"state": "none"}
    assert made_papers(client)["state"] == "ready"
    return client


@pytest.fixture
def project(tmp_path: Path) -> Project:
    """A dance evening with its plan."""
    return project_in(tmp_path)


def made_papers(client: TestClient, **setting: str) -> dict[str, Any]:
    """Ask for papers and return their state once it is final."""
    client.post("/api/papers", json=setting)
    for _ in range(int(PATIENCE_S * 20)):
        state: dict[str, Any] = client.get("/api/papers", params=setting).json()
        if state["state"] in ("ready", "failed"):
            return state
        threading.Event().wait(0.05)
    raise AssertionError("the papers never came")


def test_papers_are_looked_at_and_downloaded(reader: TestClient) -> None:
    """One PDF for each, all bound, a page and a text; each as what it is."""
    client, state = reader, reader.get("/api/papers").json()
    assert state["findings"] == []
    files = {each["name"]: each for each in state["files"]}
    assert [*files] == ["papers.html", "show-pack.pdf", "packing.pdf", "moments.pdf", "papers.txt"]
    pack = client.get(files["show-pack.pdf"]["address"])
    assert pack.headers["content-type"] == "application/pdf"
    assert pack.content.startswith(b"%PDF")
    text = client.get(files["papers.txt"]["address"]).text
    assert str(state["mark"]) in text
    page = client.get("/papers")
    assert '<option value="a4"' in page.text


def test_the_page_of_papers_may_do_nothing_but_show(reader: TestClient) -> None:
    """It brings styles of its own along: no script runs in it, and only our page frames it."""
    client = reader
    shown = client.get("/papers/file/papers.html?light=red")
    rules = shown.headers["content-security-policy"]
    assert "sandbox" in rules
    assert "default-src 'none'" in rules
    assert "frame-ancestors 'self'" in rules
    assert shown.headers["x-frame-options"] == "SAMEORIGIN"
    assert 'id="red" checked' in shown.text
    assert 'id="dark" checked' in client.get("/papers/file/papers.html").text


def test_each_setting_has_papers_of_its_own(reader: TestClient) -> None:
    """What was made in metres is not handed out in feet."""
    client = reader
    assert client.get("/papers/file/packing.pdf?units=ft").status_code == 404
    state = made_papers(client, units="ft", paper="letter", clock="12")
    assert state["state"] == "ready"
    assert client.get("/papers/file/packing.pdf?units=ft&paper=letter&clock=12").status_code == 200


@pytest.mark.usefixtures("few_papers")
def test_papers_of_an_earlier_plan_are_gone(project: Project) -> None:
    """Nobody downloads a void paper."""
    client = client_of(project)
    made_papers(client)
    text = project.plan_path.read_text(encoding="utf-8")
    project.plan_path.write_text(text.replace("Lanterns", "Lamps", 1), encoding="utf-8")
    assert client.get("/papers/file/packing.pdf").status_code == 404
    assert client.get("/api/papers").json() == {"state": "none"}


@pytest.mark.usefixtures("few_papers")
def test_nobody_makes_what_is_in_the_making() -> None:
    """Thirty phones that ask at once are given one job."""
    press, begun, go = Press(), threading.Semaphore(0), threading.Event()

    def slow(job: Job) -> None:
        begun.release()
        go.wait(PATIENCE_S)
        press._hear(job, "done", {"mark": "ABC-DEF"})

    press._follow = slow  # type: ignore[method-assign]
    order = Order("cards", Path("plan.json"), "1", Setting())
    jobs = {id(press.ask(order)) for _ in range(30)}
    assert len(jobs) == 1
    go.set()
    assert press.ask(order).done.wait(PATIENCE_S)
    assert begun.acquire(timeout=1)
    assert not begun.acquire(blocking=False)


def test_what_was_made_long_ago_is_forgotten() -> None:
    """A whole show pack is large: a few are kept, the latest ones."""
    press = Press()
    press._follow = lambda job: press._hear(job, "done", {})  # type: ignore[method-assign]
    orders = [Order("cards", Path("plan.json"), str(number), Setting()) for number in range(9)]
    for order in orders:
        assert press.ask(order).done.wait(PATIENCE_S)
    kept = [order for order in orders if press.found(order)]
    assert kept == orders[-len(kept) :]
    assert len(kept) < 9


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ((), DIED),
        (("fault", "Traceback ..."), OWN_FAULT),
        (("failed", "it is too large"), "it is too large"),
    ],
    ids=["dies", "fault", "refused"],
)
def test_a_press_that_breaks_says_so(told: tuple[str, ...], words: str) -> None:
    """And the next one who asks has it tried again."""
    press = Press()
    press._follow = lambda job: press._hear(job, *told) if told else None  # type: ignore
    order = Order("papers", Path("plan.json"), "1", Setting())
    job = press.ask(order)
    assert job.done.wait(PATIENCE_S)
    assert (job.state, job.words) == ("failed", words)
    assert press.ask(order) is not job


def test_a_plan_that_does_not_read_is_told(project: Project) -> None:
    """In the words of the command line."""
    order = order_of(project, "papers", Setting())
    assert order is not None
    project.plan_path.write_text("{}", encoding="utf-8")
    with pytest.raises(PlanFileError, match=r"school-dance\.json"):
        made(order, lambda _: None)


def test_without_a_plan_there_are_no_papers(tmp_path: Path) -> None:
    """Said in words, wherever somebody asks."""
    client = client_of(project_in(tmp_path, has_plan=False))
    assert client.get("/papers").status_code == 200
    for address in ("/api/papers", "/papers/file/packing.pdf", "/card/", "/card/mark"):
        answer = client.get(address)
        assert answer.status_code == 404
        assert "no plan yet" in answer.json()["error"]


@pytest.mark.parametrize("asked", [{"paper": "a3"}, {"units": ["m"]}, {"clock": 24}])
def test_a_setting_that_there_is_not_is_refused(project: Project, asked: dict[str, object]) -> None:
    """With what there is."""
    with pytest.raises(SettingError, match="Choose"):
        setting_of(asked)
    assert client_of(project).post("/api/papers", json=asked).status_code == 422
