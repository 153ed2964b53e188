"""Who may ask, from where, how much; hostile requests get a clear refusal."""

from __future__ import annotations

import json
import logging
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route
from starlette.testclient import TestClient

from kitplan.web.guard import HEADERS, MOST_BYTES, Guard
from kitplan.web.sessions import Sessions
from tests.web.client import HOST, ORIGIN, client_of, project_in

JSON = {"content-type": "application/json"}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    """Somebody on the machine itself, who needs no code."""
    return client_of(project_in(tmp_path_factory.mktemp("page")))


@pytest.fixture
def guarded() -> TestClient:
    """A small application behind the guard: it reads bodies, and has a fault."""

    async def read(request: Request) -> Response:
        return PlainTextResponse(str(len(await request.body())))

    async def fault(_: Request) -> Response:
        raise ZeroDivisionError("a fault")

    routes = [Route("/read", read, methods=["POST"]), Route("/fault", fault)]
    guard = Middleware(Guard, hosts=frozenset({HOST}), sessions=Sessions(None))
    app = Starlette(routes=routes, middleware=[guard])
    return TestClient(app, base_url=ORIGIN, headers={"origin": ORIGIN})


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost", "localhost:80", "[::1]:8047", "", "localhost:8047.evil"]
)
def test_other_names_lead_nowhere(client: TestClient, host: str) -> None:
    """A foreign name that points at this machine gets nothing of it."""
    assert client.get("/", headers={"host": host}).status_code == 421


def test_names_may_be_addresses_of_the_long_kind() -> None:
    """With brackets, as browsers send them."""
    app = Guard(Starlette(), frozenset({"[fd00::2]:8047"}), Sessions(None))
    asking = TestClient(app, base_url="http://[fd00::2]:8047")
    assert asking.get("/").status_code == 404


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://localhost:8048"},
        {"origin": "https://localhost:8047"},
        {"origin": ""},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_only_our_pages_may_change_anything(client: TestClient, headers: dict[str, str]) -> None:
    """Whatever another site makes a browser send."""
    for method in ("post", "put", "patch", "delete"):
        answer = client.request(method, "/api/solve", headers=headers | JSON)
        assert answer.status_code == 403


@pytest.mark.parametrize("kind", ["text/plain", "multipart/form-data", "", "application/jsonx"])
def test_changes_are_json(client: TestClient, kind: str) -> None:
    """No form of another site can send that."""
    headers = {"content-type": kind}
    assert client.post("/api/solve/stop", content="{}", headers=headers).status_code == 415


def test_other_sites_may_link_but_not_embed(client: TestClient) -> None:
    """A link in a message leads in; a picture of a plan in a foreign page does not."""
    foreign = {"sec-fetch-site": "cross-site"}
    assert (
        client.get("/api/plan", headers=foreign | {"sec-fetch-mode": "no-cors"}).status_code == 403
    )
    assert client.get("/", headers=foreign | {"sec-fetch-mode": "navigate"}).status_code == 200


@pytest.mark.parametrize("method", ["TRACE", "CONNECT", "OPTIONS", "PROPFIND", "GRÜSSE", "get"])
def test_unknown_methods_are_named_as_such(guarded: TestClient, method: str) -> None:
    """With those that there are."""
    answer = guarded.request(method, "/read") if method != "get" else guarded.get("/read")
    assert answer.status_code == 405


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/%2e%2e/app.py",
        "/static/%2e%2e%2fapp.py",
        "/static/..%5capp.py",
        "/static/base.css%00.html",
        "/static//etc/passwd",
        "/static/%252e%252e/app.py",
        "/api/plan/floor/..%2f..%2fdress.svg",
        "/%0d%0aset-cookie:%20a=b",
        "/" + "a" * 3000,
    ],
)
def test_no_path_leads_out(client: TestClient, path: str) -> None:
    """However it is written."""
    answer = client.get(path)
    assert answer.status_code in (400, 404)
    assert "set-cookie" not in answer.headers


def test_static_files_are_those_of_the_package(client: TestClient) -> None:
    """They may be kept and asked after; everything else is kept nowhere."""
    answer = client.get("/static/base.css")
    assert answer.status_code == 200
    assert answer.headers["cache-control"] == "no-cache"
    assert client.get("/api/plan/songs").headers["cache-control"] == "no-store"


def chunks(number: int) -> Iterator[bytes]:
    """Yield a body whose length nobody knows."""
    yield from (b"x" * 500_000 for _ in range(number))


def test_bodies_are_bounded(guarded: TestClient) -> None:
    """Whether they say how long they are, or go on and on, or say nothing sensible."""
    most = guarded.post("/read", content=b"x" * MOST_BYTES, headers=JSON)
    assert most.text == str(MOST_BYTES)
    assert guarded.post("/read", content=b"x" * (MOST_BYTES + 1), headers=JSON).status_code == 413
    assert guarded.post("/read", content=chunks(4), headers=JSON).text == str(MOST_BYTES)
    assert guarded.post("/read", content=chunks(5), headers=JSON).status_code == 413
    for length, status in ((b"many", 400), (b"-1", 400), (b"\xb2", 400), (b"9" * 30, 413)):
        headers = [(b"content-type", b"application/json"), (b"content-length", length)]
        assert guarded.post("/read", content=b"{}", headers=headers).status_code == status


def test_a_fault_is_told_without_its_inside(
    guarded: TestClient, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The answer says nothing of the code, and has all headers; the terminal gets a line."""
    monkeypatch.setattr(logging.getLogger("kitplan"), "propagate", True)
    with caplog.at_level("INFO", "kitplan"):
        answer = guarded.get("/fault")
    # Two handlers may listen, where a command has set one up: each record comes once all the same.
    first, second, *_ = dict.fromkeys(caplog.records)
    assert first.getMessage() == "/fault met a fault of its own: ZeroDivisionError: a fault"
    assert second.exc_info
    assert answer.status_code == 500
    assert "ZeroDivision" not in answer.text
    assert all(answer.headers[name] == value for name, value in HEADERS.items())


@pytest.mark.parametrize("path", ["/", "/nowhere", "/api/plan", "/static/none.js", "/%00"])
def test_every_answer_has_all_headers(client: TestClient, path: str) -> None:
    """Refusals as well."""
    answer = client.get(path)
    assert all(answer.headers[name] == value for name, value in HEADERS.items())
    assert (
        "script-src" not in HEADERS["content-security-policy"]
    )  # so default-src holds for scripts
    assert "unsafe" not in HEADERS["content-security-policy"]


def test_people_get_pages_and_pages_get_data(client: TestClient) -> None:
    """What is wrong is told in words either way."""
    shown = client.get("/nowhere", headers={"accept": "text/html"})
    assert shown.status_code == 404
    assert "There is no such page" in shown.text
    assert "<nav" in shown.text
    assert client.get("/nowhere").json()["error"] == "There is no such page."


def test_a_broken_shoot_is_told_on_the_page(tmp_path: Path) -> None:
    """With every problem, as on the command line, and markup as text."""
    project = project_in(tmp_path, has_plan=False)
    project.shoot_path.write_text("title: <b>x</b>\nsuprise: <script>1</script>\n", "utf-8")
    answer = client_of(project).get("/", headers={"accept": "text/html"})
    assert answer.status_code == 422
    assert "<script>" not in answer.text
    assert "school-dance.yaml:2" in answer.text


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"{", "not JSON"),
        (b"[" * 100_000, "not JSON"),
        (b"\xff\xfe", "not JSON"),
        (b"[]", "not a JSON object"),
        (b'{"seconds": "long"}', "not a number from"),
        (b'{"seconds": true}', "not a number from"),
        (b'{"seconds": NaN}', "not a number from"),
        (b'{"seconds": 1e400}', "not a number from"),
        (b'{"seconds": 0}', "not a number from"),
    ],
)
def test_wrong_bodies_are_told(client: TestClient, body: bytes, words: str) -> None:
    """In one line; nothing starts."""
    answer = client.post("/api/solve", content=body, headers=JSON)
    assert answer.status_code == 422
    assert words in answer.json()["error"]


@pytest.mark.parametrize(
    ("things", "words"),
    [
        ([], "nothing is said to be lost"),
        (["<img src=x onerror=alert(1)>"], "<img src=x onerror=alert(1)>"),
        ("camcorder-1", "not a list"),
        ([1], "not a list"),
        (["x" * 201], "not a list"),
        (["x"] * 51, "not a list"),
    ],
)
def test_wrong_losses_are_told(client: TestClient, things: Any, words: str) -> None:
    """What is not in the plan cannot be lost."""
    answer = client.post("/api/without", content=json.dumps({"things": things}), headers=JSON)
    assert answer.status_code == 422
    assert words in answer.json()["error"]
    assert answer.headers["content-type"] == "application/json"
