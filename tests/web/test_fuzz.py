"""Requests of every hostile kind: a clear refusal each time, never a fault."""

from __future__ import annotations

import asyncio
import json
import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

import pytest
from starlette.applications import Starlette
from starlette.routing import Route
from starlette.types import Message

from kitplan.web.app import application
from kitplan.web.asking import Question
from kitplan.web.guard import HEADERS
from kitplan.web.searches import Task
from kitplan.web.sessions import Sessions
from kitplan.web.solving import Searcher
from tests.web.client import HOST, ORIGIN, project_in

MARKUP = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'&{{7*7}}"
WORDS = (
    "show", "A", "camcorder-1", "dress", "..", "%2e%2e", "", "0", "-1", "1e9", "%00", "%0d%0a",
    "%c0%af", "a" * 300, "é", "💡", "%", "%zz", ";", "'", '"', "?", "#", "//", "\\", "%5c",
    "=cmd|' /C calc'!A0", MARKUP, "null", "__proto__", "CON", ".git", "con.svg", "日本",
)  # fmt: skip
METHODS = ("GET", "GET", "POST", "POST", "PUT", "PATCH", "DELETE", "HEAD", "OPTIONS", "X" * 40)
KINDS = ("application/json", "application/json; charset=utf-16", "text/html", "", "x/y")


@pytest.fixture
def app(tmp_path: Path) -> Starlette:
    """A page where searches are refused as they would start."""
    made = application(project_in(tmp_path), frozenset({HOST}), Sessions(None))
    workers = made.state.workers
    searcher: Searcher = workers.searcher

    def start(task: Task, seconds: float | None = None) -> dict[str, Any]:  # noqa: ARG001
        return searcher.state()

    def ask(question: Question) -> dict[str, Any]:
        return {"text": str(question), "holds": True}

    searcher.start = start  # type: ignore[method-assign]
    workers.asker.ask = ask
    return made


@dataclass(frozen=True)
class Hostile:
    """A request as a server hands it on: no client has put it in order before."""

    method: str
    address: str
    headers: list[tuple[bytes, bytes]]
    body: bytes

    @property
    def scope(self) -> dict[str, Any]:
        """What the server knows of it."""
        raw, _, query = self.address.encode("ascii").partition(b"?")
        return {
            "type": "http",
            "asgi": {"version": "3.0"},
            "http_version": "1.1",
            "method": self.method,
            "scheme": "http",
            "path": unquote(raw.decode("ascii")),
            "raw_path": raw,
            "query_string": query,
            "headers": self.headers,
            "client": ("192.0.2.1", 50_000),
            "server": ("192.0.2.2", 8047),
            "root_path": "",
        }


@dataclass
class Answered:
    """What came back."""

    status: int = 0
    headers: dict[str, str] = field(default_factory=dict)
    body: bytes = b""


async def sent(app: Starlette, hostile: Hostile) -> Answered:
    """Return what the page answers to a request."""
    answered, waiting = Answered(), [hostile.body[:100], hostile.body[100:]]

    async def receive() -> Message:
        if waiting:
            body = waiting.pop(0)
            return {"type": "http.request", "body": body, "more_body": bool(waiting)}
        return {"type": "http.disconnect"}

    async def send(message: Message) -> None:
        if message["type"] == "http.response.start":
            answered.status = message["status"]
            answered.headers = {k.decode(): v.decode("latin-1") for k, v in message["headers"]}
        else:
            answered.body += message.get("body", b"")

    await app(hostile.scope, receive, send)
    return answered


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


def address_of(chance: random.Random, known: list[str]) -> str:
    """Return an address: a route with anything in its places, perhaps with more behind it."""
    path = chance.choice(known)
    while "{" in path:
        before, _, rest = path.partition("{")
        path = before + chance.choice(WORDS) + rest.partition("}")[2]
    if chance.random() < 0.3:
        path += chance.choice(("/", "?", "?about=", "?code=", "?shot=", "?sheet=", "&", ""))
        path += chance.choice(WORDS)
    return path if path.isascii() else quote(path, safe="/?&=%;")


def headers_of(chance: random.Random) -> list[tuple[bytes, bytes]]:
    """Return headers: mostly those of a page of ours, sometimes others, sometimes twice."""
    junk = chance.choice((b"", b"\xff\xfe", b"x" * 5000, "é💡".encode(), b"%00", b"evil.example"))
    found = [
        (b"host", HOST.encode() if chance.random() < 0.9 else junk),
        (b"origin", ORIGIN.encode() if chance.random() < 0.9 else junk),
        (b"content-type", (KINDS[0] if chance.random() < 0.8 else chance.choice(KINDS)).encode()),
        (b"accept", chance.choice((b"text/html", b"*/*", junk))),
        (b"cookie", b"kitplan-session=" + junk),
    ]
    if chance.random() < 0.1:
        found.append((chance.choice((b"host", b"origin", b"content-length", b"range")), junk))
    return found


def requests(seed: int, number: int, known: list[str]) -> Iterator[Hostile]:
    """Yield so many hostile requests, the same ones for a seed."""
    chance = random.Random(seed)
    for _ in range(number):
        address = address_of(chance, known)
        yield Hostile(chance.choice(METHODS), address, headers_of(chance), body_of(chance))


def check(app: Starlette, seed: int, number: int) -> Counter[int]:
    """Send them all; each is answered, none with a fault, none with markup in a page. Return how
    often there was which status.
    """
    routes = [each for each in app.routes if isinstance(each, Route)]
    known = [each.path for each in routes if not each.path.endswith("/events")]
    found: Counter[int] = Counter()

    async def all_sent() -> None:
        for hostile in requests(seed, number, [*known, "/static/{name}", "/"]):
            answered = await sent(app, hostile)
            found[answered.status] += 1
            what = (hostile, answered.body[:300])
            assert 200 <= answered.status < 500, what
            assert all(answered.headers[name] == value for name, value in HEADERS.items()), what
            if answered.headers.get("content-type", "").startswith("text/html"):
                assert b"<script>alert" not in answered.body, what

    asyncio.run(all_sent())
    return found


def test_some_hundred_hostile_requests(app: Starlette) -> None:
    """To every route that there is; some get through to what they ask for, most are refused."""
    found = check(app, 1, 200)
    assert set(found) >= {200, 400, 403, 404, 405, 415, 421, 422}


@pytest.mark.long
def test_ten_thousand_hostile_requests(app: Starlette) -> None:
    """Others than those of the short test."""
    check(app, 2, 10_000)
