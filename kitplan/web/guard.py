"""Keeps strangers out: who may ask, from which page, how much they may send.

- Host: only names under which the page is served, so that no foreign name leads here.
- Path: nothing that could leave a folder, however it is written.
- Origin: whatever writes has to come from a page of ours, as JSON, which no foreign form sends.
- Code: on a network everybody needs the code that the terminal shows (`sessions`).
- Size: bodies are bounded, whatever length they claim to have.
- Faults: whatever goes wrong behind it, the answer is a plain one with all headers.
"""

from __future__ import annotations

import logging
import re
from urllib.parse import quote, unquote

from starlette.requests import HTTPConnection
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from kitplan.web.sessions import Sessions

logger = logging.getLogger("kitplan")
COOKIE = "kitplan-session"
"""With the port behind it: browsers send cookies to every port of a host, and two shoots may be
served on one."""
TO = "to"
"""Where the door leads."""
MOST_BYTES, MOST_PATH, MOST_TO = 2_000_000, 2_000, 1_000
SAFE = frozenset({"GET", "HEAD"})
METHODS = SAFE | {"POST", "PUT", "PATCH", "DELETE"}
DOOR, STATIC = "/enter", "/static/"
"""Paths that need no session: the door, and what it is made of."""
JSON = "application/json"
FORM = "application/x-www-form-urlencoded"
OWN_FAULT = "kitplan met a fault of its own; the terminal where it runs says which."
HEADERS = {
    "content-security-policy": "default-src 'self'; img-src 'self' data:; "
    "object-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'self'",
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    # not `no-referrer`: with it browsers send `Origin: null` with our own form of the door
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}
KEPT, NOT_KEPT = "no-cache", "no-store"
"""What is part of the program may be kept and asked after; what is about a shoot is kept nowhere
but where a page of ours puts it."""


class TooMuch(Exception):
    """A body that goes on and on."""


class Guard:
    """Wraps the whole application."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str], sessions: Sessions) -> None:
        self._app, self._hosts, self._sessions = app, hosts, sessions

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "http":
            answer = _Answer(send, scope["path"])
            refusal = self._refusal(HTTPConnection(scope))
            await (
                self._passed(scope, receive, answer)
                if refusal is None
                else refusal(scope, receive, answer.send)
            )
        # a socket is closed by the server when nobody takes it up

    async def _passed(self, scope: Scope, receive: Receive, answer: _Answer) -> None:
        try:
            await self._app(scope, _bounded(receive), answer.send)
        except Exception as error:
            too_much = isinstance(error, TooMuch)
            if not too_much:
                what = f"{type(error).__name__}: {error}"
                logger.error("%s met a fault of its own: %s", scope["path"], what)
                logger.info("the fault in full", exc_info=error)
            if answer.has_begun:
                raise
            last = (
                _refused("That is too much at once.", 413)
                if too_much
                else (_refused(OWN_FAULT, 500))
            )
            await last(scope, receive, answer.send)

    def _refusal(self, asked: HTTPConnection) -> Response | None:
        """Return how a request is turned away; None for one that may pass."""
        method, path = asked.scope["method"], asked.scope["path"]
        hosts = asked.headers.getlist("host")
        host = hosts[0].casefold() if len(hosts) == 1 else ""
        if host not in self._hosts:
            return _refused("This page is not served under that name.", 421)
        if method not in METHODS:
            return _refused(f"Nothing here answers to {method[:20]}.", 405, allow=METHODS)
        if not is_plain(path):
            return _refused("There is no such address.", 400)
        return (
            _too_long(asked)
            or (None if method in SAFE else _foreign(asked, host))
            or _embedded(asked)
            or self._without_session(asked)
        )

    def _without_session(self, asked: HTTPConnection) -> Response | None:
        path = asked.scope["path"]
        if path == DOOR or path.startswith(STATIC):
            return None
        if self._sessions.knows(key_in(asked)):
            return None
        if asked.scope["method"] in SAFE and "text/html" in asked.headers.get("accept", ""):
            return RedirectResponse(_door_to(asked), 303)
        words = "Enter the code that the terminal shows: in another tab, then try this again."
        return _refused(words, 401)


def cookie_name(asked: HTTPConnection) -> str:
    """Return what the cookie of a session is called under the name that is asked."""
    return f"{COOKIE}{asked.headers.get('host', '').rpartition(':')[2]}"


def key_in(asked: HTTPConnection) -> str | None:
    """Return the key of the session that a request belongs to."""
    return asked.cookies.get(cookie_name(asked))


def own_path(text: str) -> str:
    """Return a path of ours with its query, as an address has it; anything else leads to `/`.

    Whoever sends somebody a link to the door must not decide where it leads: no other site, nothing
    that browsers read as one (`//`, a backslash, signs that they leave out), no fragment.
    """
    is_ours = (
        len(text) <= MOST_TO
        and re.fullmatch(r"/(?![/\\])[!-\[\]-~]*", text) is not None
        and "#" not in text
        and is_plain(unquote(text.partition("?")[0]))
        and not unquote(text).startswith(("//", DOOR))
    )
    return text if is_ours else "/"


def _door_to(asked: HTTPConnection) -> str:
    """Return the address of the door that leads back to what was asked for."""
    raw, query = asked.scope.get("raw_path") or b"", asked.scope["query_string"]
    path = own_path((raw + b"?" * bool(query) + query).decode("latin-1"))
    return DOOR if path == "/" else f"{DOOR}?{TO}={quote(path, safe='')}"


def is_plain(path: str) -> bool:
    """Whether a path, decoded, names nothing but what lies under the root."""
    return (
        path.startswith("/")
        and len(path) <= MOST_PATH
        and "\\" not in path
        and path.isprintable()
        and not any(part in (".", "..") for part in path.split("/"))
    )


def _too_long(asked: HTTPConnection) -> Response | None:
    """Refuse a body that says that it is too long, or does not know how long it is."""
    lengths = asked.headers.getlist("content-length")
    if not lengths:
        return None
    length = lengths[0]
    if len(lengths) > 1 or not (length.isascii() and length.isdigit()):
        return _refused("The length of what was sent is not a number.", 400)
    if len(length) > 12 or int(length) > MOST_BYTES:
        return _refused("That is too much at once.", 413)
    return None


def _foreign(asked: HTTPConnection, host: str) -> Response | None:
    """Refuse to write what does not come from a page of ours, or not as such a page sends it."""
    origins = [each.casefold() for each in asked.headers.getlist("origin")]
    site = asked.headers.get("sec-fetch-site", "same-origin")
    if origins != [f"{asked.scope['scheme']}://{host}"] or site != "same-origin":
        return _refused("Only pages of this project may change anything.", 403)
    kind = asked.headers.get("content-type", "").partition(";")[0].strip().casefold()
    wanted = FORM if asked.scope["path"] == DOOR else JSON
    if kind != wanted:
        return _refused(f"Send it as {wanted}.", 415)
    return None


def _embedded(asked: HTTPConnection) -> Response | None:
    """Refuse what another site asks for to use it in a page of its own; links to us are welcome."""
    site = asked.headers.get("sec-fetch-site", "none")
    if site in ("none", "same-origin") or asked.headers.get("sec-fetch-mode") == "navigate":
        return None
    return _refused("Other sites may link here, no more.", 403)


def _refused(words: str, status: int, *, allow: frozenset[str] = frozenset()) -> Response:
    headers = {"allow": ", ".join(sorted(allow))} if allow else None
    return JSONResponse({"error": words, "problems": []}, status, headers)


def _bounded(receive: Receive) -> Receive:
    """Return a receiver that raises `TooMuch` over a body which goes on and on."""
    taken = 0

    async def bounded() -> Message:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > MOST_BYTES:
            raise TooMuch
        return message

    return bounded


class _Answer:
    """What is sent, with the headers that every answer has."""

    def __init__(self, send: Send, path: str) -> None:
        self._send = send
        self._headers = HEADERS | {"cache-control": KEPT if path.startswith(STATIC) else NOT_KEPT}
        self.has_begun = False

    async def send(self, message: Message) -> None:
        """Send a message on."""
        if message["type"] == "http.response.start":
            self.has_begun = True
            known = {name.lower() for name, _ in message["headers"]}
            more = [(name.encode(), value.encode()) for name, value in self._headers.items()]
            message["headers"] = [*message["headers"], *(m for m in more if m[0] not in known)]
        await self._send(message)
