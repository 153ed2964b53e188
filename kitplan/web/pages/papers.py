"""The papers: looked at on the page, downloaded as PDF, the whole show pack bound.

GET  /papers                                     the page
POST /api/papers {"paper", "units", "clock"}     make them, or say how far that is (202, or 200)
GET  /api/papers?paper=&units=&clock=            how far: {"state": "none"|"waiting"|"making"|
                                                 "ready"|"failed", "words", "mark", "findings",
                                                 "notes", "files": [{"name", "title", "sheets",
                                                 "kilobytes", "address"}]}
GET  /papers/file/NAME?paper=&units=&clock=      one of the files, of the plan as it is now; the
                                                 page begins in a light: &light=day|night|red

Each setting may be left out: what is usual in the land of the server holds then. Without a plan
all answer 404, and so does a file that is not made yet, or not of the plan as it is now.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Any
from urllib.parse import urlencode

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kitplan.paper.pack.out.files import BOUND, PAGE, TEXT, File
from kitplan.web.asked import body_of
from kitplan.web.orders import CHOICES, order_of, setting_of
from kitplan.web.press import Job, Order, Press
from kitplan.web.project import Project
from kitplan.web.rendering import page

NO_PLAN = "There is no plan yet. Make one on the plan page first."
LIGHTS = {"day": "bright", "red": "red"}
"""What the other pages call it, and the page of papers."""
KINDS = {".pdf": "application/pdf", ".html": "text/html; charset=utf-8", ".txt": "text/plain"}
WITHIN_OUR_PAGE = {
    "content-security-policy": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
    "frame-ancestors 'self'; base-uri 'none'; form-action 'none'; sandbox",
    "x-frame-options": "SAMEORIGIN",
}
"""The page of papers brings its styles along and no script at all; only our own page shows it."""


def routes(project: Project, press: Press) -> Iterator[Route]:
    """Yield the routes of the papers."""

    def papers(_: Request) -> Response:
        return page("papers.html", choices=CHOICES, usual=asdict(setting_of({})))

    def order(asked: Mapping[str, Any]) -> Order:
        found = order_of(project, "papers", setting_of(asked))
        if found is None:
            raise HTTPException(404, NO_PLAN)
        return found

    async def make(request: Request) -> Response:
        job = press.ask(order(await body_of(request)))
        return JSONResponse(state_of(job), 200 if job.done.is_set() else 202)

    def state(request: Request) -> Response:
        return JSONResponse(state_of(press.found(order(request.query_params))))

    def file(request: Request) -> Response:
        job = press.found(order(request.query_params))
        made: dict[str, File] = job.result.get("files", {}) if job and job.state == "ready" else {}
        found = made.get(request.path_params["name"])
        if found is None:
            raise HTTPException(404, "It is not made for the plan as it is now. Make it first.")
        ending = found.name[found.name.rindex(".") :]
        content, within = found.content, {}
        if ending == ".html":
            content, within = _lit(content, request.query_params.get("light")), WITHIN_OUR_PAGE
        headers = {"content-disposition": f'inline; filename="{found.name}"', **within}
        return Response(content, media_type=KINDS[ending], headers=headers)

    yield Route("/papers", papers)
    yield Route("/api/papers", state, methods=["GET"])
    yield Route("/api/papers", make, methods=["POST"])
    yield Route("/papers/file/{name}", file)


def _lit(html: bytes, light: str | None) -> bytes:
    """Return the page of papers in the light of the other pages; it begins dark by itself."""
    choice = LIGHTS.get(light or "")
    if choice is None:
        return html
    dark, chosen = b'id="dark" checked', f'id="{choice}"'.encode()
    return html.replace(dark, b'id="dark"', 1).replace(chosen, chosen + b" checked", 1)


def state_of(job: Job | None) -> dict[str, Any]:
    """Return how far papers are, in the form of `/api/papers`."""
    if job is None:
        return {"state": "none"}
    if job.state != "ready":
        return {"state": job.state, "words": job.words}
    setting = urlencode(asdict(job.order.setting))
    files: dict[str, File] = job.result["files"]
    order = (PAGE, BOUND, *(name for name in files if name not in (PAGE, BOUND, TEXT)), TEXT)
    return {
        "state": "ready",
        "mark": job.result["mark"],
        "findings": job.result["findings"],
        "notes": job.result["notes"],
        "files": [
            {
                "name": name,
                "title": files[name].title,
                "sheets": files[name].sheets,
                "kilobytes": -(-len(files[name].content) // 1000),
                "address": f"/papers/file/{name}?{setting}",
            }
            for name in order
        ],
    }
