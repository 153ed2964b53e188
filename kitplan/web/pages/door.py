"""The door: where the code is given, typed or scanned.

Whoever was sent here from another address gets there after the code: `?to=/gear/u/zoom-1`.
The address in the QR code of the terminal carries the code. It is answered with the cookie and
sent on at once, so that the code stays neither in the address bar nor in what pages refer to;
the server writes no log of addresses.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from math import ceil
from urllib.parse import parse_qs

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from kitplan.web.guard import DOOR, TO, cookie_name, key_in, own_path
from kitplan.web.rendering import page
from kitplan.web.sessions import PAUSE_S, SESSION_S, Sessions

MOST_BYTES = 5_000


def routes(sessions: Sessions) -> Iterator[Route]:
    """Yield the routes of the door."""

    async def door(request: Request) -> Response:
        code, to = request.query_params.get("code"), own_path(request.query_params.get(TO, "/"))
        if code is not None:
            return await _entered(sessions, request, code, to)
        return RedirectResponse(to, 303) if sessions.knows(key_in(request)) else _form("", to)

    async def enter(request: Request) -> Response:
        given = parse_qs((await request.body())[:MOST_BYTES].decode("utf-8", "replace"))
        to = own_path(given.get(TO, ["/"])[0])
        return await _entered(sessions, request, given.get("code", [""])[0], to)

    yield Route(DOOR, door, methods=["GET"])
    yield Route(DOOR, enter, methods=["POST"])


async def _entered(sessions: Sessions, request: Request, code: str, to: str) -> Response:
    """Let somebody in, or say why not."""
    if sessions.code is None:
        return RedirectResponse(to, 303)
    address = request.client.host if request.client else ""
    key = sessions.enter(code[:100], address)
    if key is not None:
        inside = RedirectResponse(to, 303)
        # `lax`: a link in a message or a label on a case has to lead in; nothing that is asked for
        # with a link changes anything. Not `secure`: on the network of a hall there is no https
        name = cookie_name(request)
        inside.set_cookie(
            name, key, max_age=int(SESSION_S), path="/", httponly=True, samesite="lax"
        )
        return inside
    locked_s = sessions.locked_s(address)
    await asyncio.sleep(PAUSE_S)
    if locked_s > 0:
        minutes = ceil(locked_s / 60)
        answer = _form(f"Too many wrong codes. Try again in {minutes} min.", to, 429)
        answer.headers["retry-after"] = str(ceil(locked_s))
        return answer
    return _form("That is not the code.", to, 403)


def _form(wrong: str, to: str, status: int = 200) -> Response:
    answer = page("door.html", wrong=wrong, to="" if to == "/" else to)
    answer.status_code = status
    return answer
