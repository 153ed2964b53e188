"""Keeps strangers out: who may ask, from which page, how much they may send.

- Host: only names under which the page is served, so that no foreign name leads here.
- Origin: whatever writes has to come from a page of ours, as JSON, which no foreign form sends.
- Code: on a network everybody needs the code that the terminal shows; it becomes a session that
  ends. On the machine itself none is asked for.
- Size: bodies are bounded before they are read.
"""

from __future__ import annotations

import hmac
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from starlette.requests import HTTPConnection
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

COOKIE = "kitplan-session"
SESSION_S = 12 * 3600.0
MOST_BYTES = 2_000_000
MOST_SESSIONS = 200
SAFE = frozenset({"GET", "HEAD"})
OPEN = ("/static/", "/enter")
"""Paths that need no session: what the door itself is made of."""
HEADERS = {
    "content-security-policy": "default-src 'self'; img-src 'self' data:; style-src 'self'; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'self'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}


@dataclass
class Sessions:
    """Who has given the code; each for some hours."""

    code: str | None
    """None where no code is asked for."""
    clock: Callable[[], float] = time.monotonic
    _ends: dict[str, float] = field(default_factory=dict)

    def enter(self, code: str) -> str | None:
        """Return the key of a new session; None where the code is wrong."""
        if self.code is None or not hmac.compare_digest(code.encode(), self.code.encode()):
            return None
        now = self.clock()
        self._ends = {key: end for key, end in self._ends.items() if end > now}
        while len(self._ends) >= MOST_SESSIONS:
            self._ends.pop(min(self._ends, key=self._ends.__getitem__))
        key = secrets.token_urlsafe(24)
        self._ends[key] = now + SESSION_S
        return key

    def knows(self, key: str | None) -> bool:
        """Whether somebody may come in."""
        return self.code is None or self._ends.get(key or "", 0.0) > self.clock()


class Guard:
    """Wraps the whole application."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str], sessions: Sessions) -> None:
        self._app, self._hosts, self._sessions = app, hosts, sessions

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        refusal = self._refusal(HTTPConnection(scope))
        send = _with_headers(send)
        if refusal is not None:
            await refusal(scope, receive, send)
            return
        await self._app(scope, _bounded(receive), send)

    def _refusal(self, asked: HTTPConnection) -> Response | None:
        """Return how a request is turned away; None for one that may pass."""
        host = asked.headers.get("host", "").casefold()
        if host not in self._hosts:
            return PlainTextResponse("This page is not served under that name.", 421)
        method, path = asked.scope["method"], asked.url.path
        if method not in SAFE:
            if asked.headers.get("origin", "").casefold() != f"{asked.url.scheme}://{host}":
                return PlainTextResponse("Only pages of this project may change anything.", 403)
            if int(asked.headers.get("content-length") or 0) > MOST_BYTES:
                return PlainTextResponse("That is too much at once.", 413)
        is_open = path.startswith(OPEN)
        if not is_open and not self._sessions.knows(asked.cookies.get(COOKIE)):
            if method in SAFE and "text/html" in asked.headers.get("accept", ""):
                return RedirectResponse("/enter", 303)
            return PlainTextResponse("Enter the code that the terminal shows.", 401)
        return None


def _bounded(receive: Receive) -> Receive:
    """Return a receiver that ends a body which goes on and on."""
    taken = 0

    async def bounded() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BYTES:
            return {"type": "http.disconnect"}
        return message

    return bounded


def _with_headers(send: Send) -> Send:
    async def with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            known = {name for name, _ in message["headers"]}
            more = [(name.encode(), value.encode()) for name, value in HEADERS.items()]
            message["headers"] = [*message["headers"], *(m for m in more if m[0] not in known)]
        await send(message)

    return with_headers
