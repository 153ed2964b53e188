"""The door: where the code is given."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import parse_qs

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from kitplan.web.guard import COOKIE, SESSION_S, Sessions
from kitplan.web.rendering import page


def routes(sessions: Sessions) -> Iterator[Route]:
    """Yield the routes of the door."""

    async def door(_: Request) -> Response:
        return page("door.html", is_wrong=False)

    async def enter(request: Request) -> Response:
        given = parse_qs((await request.body()).decode("utf-8", "replace"))
        key = sessions.enter(given.get("code", [""])[0].strip().upper())
        if key is None:
            answer: Response = page("door.html", is_wrong=True)
            answer.status_code = 403
            return answer
        answer = RedirectResponse("/", 303)
        answer.set_cookie(COOKIE, key, max_age=int(SESSION_S), httponly=True, samesite="strict")
        return answer

    yield Route("/enter", door, methods=["GET"])
    yield Route("/enter", enter, methods=["POST"])
