"""The application: pages behind the guard, faults in plain words."""

from __future__ import annotations

from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles

from kitplan.errors import BadInput, KitplanError
from kitplan.web.asking import Asker
from kitplan.web.guard import Guard
from kitplan.web.pages import cards, door, fonts, gear, papers, plan, planned, room, solving
from kitplan.web.press import Press
from kitplan.web.project import ChangedMeanwhile, Project
from kitplan.web.rendering import page
from kitplan.web.sessions import Sessions
from kitplan.web.solving import Searcher

PAGES = (room, plan, gear)
WORDS = {
    "Not Found": "There is no such page.",
    "Method Not Allowed": "That cannot be done here.",
}
STATIC = Path(str(files("kitplan.web") / "static"))


@dataclass(frozen=True)
class Workers:
    """What works beside the pages, in processes of its own."""

    searcher: Searcher = field(default_factory=Searcher)
    asker: Asker = field(default_factory=Asker)
    press: Press = field(default_factory=Press)

    def close(self) -> None:
        """End them all."""
        self.searcher.close()
        self.asker.close()
        self.press.close()


def application(
    project: Project, hosts: frozenset[str], sessions: Sessions, workers: Workers | None = None
) -> Starlette:
    """Return the page of a project.

    Args:
        hosts: Names with port under which it is served, in small letters.
        workers: What works beside the pages; who made it closes it.
    """
    workers = workers or Workers()
    app = Starlette(
        routes=[
            *(route for page in PAGES for route in page.routes(project)),
            *planned.routes(project, workers.asker),
            *solving.routes(project, workers.searcher),
            *papers.routes(project, workers.press),
            *cards.routes(project, workers.press),
            *door.routes(sessions),
            *fonts.routes(),
            Mount("/static", StaticFiles(directory=STATIC)),
        ],
        middleware=[Middleware(Guard, hosts=hosts, sessions=sessions)],
        exception_handlers={
            ChangedMeanwhile: _changed,
            KitplanError: _refused,
            HTTPException: _http,
        },
    )
    app.state.project, app.state.workers = project, workers
    return app


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, KitplanError)
    problems = error.problems if isinstance(error, BadInput) else ()
    return _told(request, 422, str(error), [str(each) for each in problems])


def _changed(request: Request, error: Exception) -> Response:
    return _told(request, 409, str(error), [])


def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    answer = _told(request, error.status_code, WORDS.get(error.detail, error.detail), [])
    answer.headers.update(error.headers or {})
    return answer


def _told(request: Request, status: int, words: str, problems: list[str]) -> Response:
    """Say what is wrong: as a page to people, as data to a page."""
    if "text/html" in request.headers.get("accept", ""):
        answer: Response = page("wrong.html", words=words, problems=problems)
        answer.status_code = status
        return answer
    return JSONResponse({"error": words, "problems": problems}, status)
