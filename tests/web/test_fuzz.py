"""Requests of every hostile kind: a clear refusal each time, never a fault."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.routing import Route
from starlette.testclient import TestClient

from kitplan.web.asking import Question
from kitplan.web.guard import HEADERS
from kitplan.web.searches import Task
from kitplan.web.solving import Desk
from tests.web.client import HOST, ORIGIN, client_of, project_in

MARKUP = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'&{{7*7}}"
WORDS = (
    "show", "A", "camcorder-1", "dress", "..", "%2e%2e", "", "0", "-1", "1e9", "%00", "%0d%0a",
    "%c0%af", "a" * 300, "é", "💡", "%", "%zz", ";", "'", '"', "?", "#", "//", "\\", "%5c",
    "=cmd|' /C calc'!A0", MARKUP, "null", "__proto__", "CON", ".git", "con.svg", "日本",
)  # fmt: skip
METHODS = ("GET", "GET", "POST", "POST", "PUT", "PATCH", "DELETE", "HEAD", "OPTIONS", "X" * 40)
KINDS = ("application/json", "application/json; charset=utf-16", "text/html", "", "x/y")


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    """Somebody with evil in mind; searches are refused where they would start."""
    asking = client_of(project_in(tmp_path))
    workers = asking.app.state.workers  # type: ignore[attr-defined]
    desk: Desk = workers.desk

    def start(task: Task, seconds: float | None = None) -> dict[str, Any]:  # noqa: ARG001
        return desk.state()

    def ask(question: Question) -> dict[str, Any]:
        return {"text": str(question), "holds": True}

    desk.start = start  # type: ignore[method-assign]
    workers.asker.ask = ask
    return asking


def anything(chance: random.Random, depth: int = 0) -> Any:
    """Return any JSON there is."""
    kind = chance.randrange(8 if depth < 3 else 6)
    if kind < 6:
        numbers = (0, -1, 10**30, 1.5, float("nan"), float("inf"))
        return chance.choice((None, True, False, *numbers, *WORDS))
    number = chance.randrange(4)
    if kind == 6:
        return [anything(chance, depth + 1) for _ in range(number)]
    keys = (*WORDS, "seconds", "things", "text", "seen", "digest", "code", "shoot", "id", "at_m")
    return {chance.choice(keys): anything(chance, depth + 1) for _ in range(number)}


def body_of(chance: random.Random) -> bytes:
    """Return a body: JSON, nearly JSON, or none of it."""
    raw = json.dumps(anything(chance)).encode()
    match chance.randrange(5):
        case 0:
            return raw[: chance.randrange(len(raw) + 1)]
        case 1:
            return chance.randbytes(chance.randrange(200))
        case 2:
            return b"[" * chance.randrange(20_000)
        case _:
            return raw


def path_of(chance: random.Random, known: list[str]) -> str:
    """Return a path: a route with anything in its places, perhaps with more behind it."""
    path = chance.choice(known)
    while "{" in path:
        before, _, rest = path.partition("{")
        path = before + chance.choice(WORDS) + rest.partition("}")[2]
    if chance.random() < 0.3:
        path += chance.choice(("/", "?", "?about=", "?code=", "?shot=", "?sheet=", "&", ""))
        path += chance.choice(WORDS)
    return path.replace("\\", "%5c")


def headers_of(chance: random.Random) -> list[tuple[bytes, bytes]]:
    """Return headers: mostly those of a page of ours, sometimes others."""
    found = [
        (b"host", HOST if chance.random() < 0.9 else chance.choice(WORDS)),
        (b"origin", ORIGIN if chance.random() < 0.9 else chance.choice(WORDS)),
        (b"content-type", KINDS[0] if chance.random() < 0.8 else chance.choice(KINDS)),
        (b"accept", chance.choice(("text/html", "*/*"))),
        (b"cookie", f"kitplan-session={chance.choice(WORDS)}"),
    ]
    return [(name, value.encode().replace(b"\n", b"")) for name, value in found]


def requests(seed: int, number: int, known: list[str]) -> Iterator[tuple[Any, ...]]:
    """Yield so many hostile requests, the same ones for a seed."""
    chance = random.Random(seed)
    for _ in range(number):
        yield chance.choice(METHODS), path_of(chance, known), headers_of(chance), body_of(chance)


def check(client: TestClient, seed: int, number: int) -> None:
    """Send them all; each is answered, none with a fault, none with markup in a page."""
    routes = [each for each in client.app.routes if isinstance(each, Route)]  # type: ignore[attr-defined]
    known = [each.path for each in routes if not each.path.endswith("/events")]
    for method, path, headers, body in requests(seed, number, [*known, "/static/{name}", "/"]):
        answer = client.request(method, path, headers=headers, content=body)
        what = (method, path, headers, body[:200], answer.text[:300])
        assert answer.status_code < 500, what
        assert all(answer.headers[name] == value for name, value in HEADERS.items()), what
        if answer.headers.get("content-type", "").startswith("text/html"):
            assert "<script>alert" not in answer.text, what


def test_some_hundred_hostile_requests(client: TestClient) -> None:
    """To every route that there is."""
    check(client, 1, 300)


@pytest.mark.long
def test_ten_thousand_hostile_requests(client: TestClient) -> None:
    """Others than those of the short test."""
    check(client, 2, 10_000)
