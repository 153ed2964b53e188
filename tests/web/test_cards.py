"""Camera cards on phones."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kitplan.paper.pack.setting import Setting
from kitplan.web.hall.parts import parts
from kitplan.web.orders import order_of
from kitplan.web.pages.cards import _path
from kitplan.web.press import Press, made
from kitplan.web.project import Project
from tests.stored import stored_plan
from tests.web.client import client_of, project_in
from tests.web.test_papers import PATIENCE_S, follow_here

HOSTILE = "<script>alert(1)</script>"


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Project:
    """A dance evening with its plan; nothing here changes it."""
    return project_in(tmp_path_factory.mktemp("cards"))


@pytest.fixture(scope="module")
def cards(project: Project) -> dict[str, Any]:
    """Its cards, made in this process."""
    order = order_of(project, "cards", Setting())
    assert order is not None
    return made(order, lambda _: None)


@pytest.fixture(scope="module")
def client(project: Project, cards: dict[str, Any]) -> TestClient:
    """A phone."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Press, "_follow", lambda self, job: self._hear(job, "done", cards))
        asking = client_of(project)
        assert asking.get("/card/").status_code == 200
    return asking


def test_cards_have_addresses_whatever_their_pass_is_called() -> None:
    """A slash would make another route of it, dots another page."""
    assert _path("day/../show", "A") == "/card/day~..~show/A"


def test_every_camera_of_every_pass_has_its_card(client: TestClient) -> None:
    """By pass, with who stands there; nothing but a link away from the gear."""
    index = client.get("/card/").text
    mark = client.get("/card/mark").json()["mark"]
    for placement in stored_plan("school-dance").placements:
        own_id = placement.pass_id.partition("/")[2]
        assert f'href="/card/{own_id}/{placement.letter}?plan={mark}"' in index
    assert client.get("/card", follow_redirects=False).headers["location"] == "/card/"


def test_a_card_is_kept_under_the_mark_of_its_plan(client: TestClient) -> None:
    """Whoever asks without a mark, or with one that is void, is led to the present card, which the
    browser may keep: its address never means another one.
    """
    mark = client.get("/card/mark").json()["mark"]
    for asked in ("/card/dress/B", "/card/dress/B?plan=000-000"):
        answer = client.get(asked, follow_redirects=False)
        assert answer.headers["location"] == f"/card/dress/B?plan={mark}"
        assert answer.headers["cache-control"] == "no-store"
    card = client.get(f"/card/dress/B?plan={mark}", follow_redirects=False)
    assert card.headers["cache-control"].startswith("private, max-age=")


def test_a_card_says_what_the_paper_says(client: TestClient) -> None:
    """Both sides of it, drawn frames included; it needs nothing from elsewhere, and no styles that
    a page of ours does not let pass.
    """
    text = client.get("/card/dress/B").text
    plan = stored_plan("school-dance")
    subject = next(p for p in plan.placements if p.pass_id.endswith("/dress") and p.letter == "B")
    assert "Side 1 of 2" in text
    assert "Side 2 of 2" in text
    assert plan.kit.items_by_id["zoom-16-50"].name in text
    assert subject.shot.size in text
    assert "<svg" in text
    assert " style=" not in text
    assert "<style" not in text
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "")
    assert "sandbox" not in client.get("/card/dress/B").headers["content-security-policy"]


@pytest.mark.parametrize("asked", ["/card/dress/Z", "/card/nothing/A", "/card/dress/%3Cb%3E"])
def test_a_card_that_there_is_not(client: TestClient, asked: str) -> None:
    """Told, not failed."""
    assert client.get(asked).status_code == 404


def test_the_worker_keeps_cards_only(client: TestClient) -> None:
    """It lies where its reach is the cards, and so nothing of the gear is ever kept."""
    worker = client.get("/card/worker.js")
    assert worker.headers["content-type"].startswith("text/javascript")
    assert "service-worker-allowed" not in worker.headers


def test_what_a_card_is_made_of_may_be_kept_like_it(client: TestClient) -> None:
    """Without a safe origin the browser alone keeps it: not one part may have to be asked after."""
    card = client.get("/card/dress/B").text
    named = re.findall(r'(?:href|src)="(/card/parts/[^"]+)"', card)
    assert len(named) == 3
    folder = named[0].rpartition("/")[0]
    for address in (*named, *(f"{folder}/{name}" for name in parts())):
        part = client.get(address)
        assert part.status_code == 200
        assert part.headers["cache-control"].startswith("private, max-age=")
    assert client.get("/card/parts/0/card.css").status_code == 404
    assert client.get(f"{folder}/base.css").status_code == 404


def test_markup_in_names_stays_text(tmp_path: Path) -> None:
    """In the title, as somebody's name, on the card."""
    project = project_in(tmp_path)
    text = project.plan_path.read_text(encoding="utf-8")
    hostile = text.replace('"Thea"', f'"{HOSTILE}"').replace("Lanterns", HOSTILE)
    project.plan_path.write_text(hostile, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Press, "_follow", follow_here)
        client = client_of(project)
        pages = [client.get("/card/").text, client.get("/card/dress/B").text]
    for page in pages:
        assert HOSTILE not in page
        assert "&lt;script&gt;alert(1)" in page


def test_cards_come_out_of_a_process_of_their_own(project: Project, cards: dict[str, Any]) -> None:
    """The same as in this one; and the process ends."""
    order = order_of(project, "cards", Setting())
    assert order is not None
    press = Press()
    job = press.ask(order)
    assert job.done.wait(PATIENCE_S)
    assert job.state == "ready", job.words
    assert job.result == cards
    assert press._process is not None
    assert not press._process.is_alive()
    press.close()
