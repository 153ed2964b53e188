"""The application: pages behind the guard, faults in plain words."""

from __future__ import annotations

import logging
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
from kitplan.web.guard import Guard, Sessions
from kitplan.web.pages import door, planned, room, solving
from kitplan.web.project import ChangedMeanwhile, Project
from kitplan.web.solving import Desk

logger = logging.getLogger("kitplan")
PAGES = (room,)
STATIC = Path(str(files("kitplan.web") / "static"))


@dataclass(frozen=True)
class Workers:
    """What works beside the pages, in processes of its own."""

    desk: Desk = field(default_factory=Desk)
    asker: Asker = field(default_factory=Asker)

    def close(self) -> None:
        """End them all."""
        self.desk.close()
        self.asker.close()


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
            *solving.routes(project, workers.desk),
            *door.routes(sessions),
            Mount("/static", StaticFiles(directory=STATIC)),
        ],
        middleware=[Middleware(Guard, hosts=hosts, sessions=sessions)],
        exception_handlers={
            ChangedMeanwhile: _changed,
            KitplanError: _refused,
            HTTPException: _http,
            Exception: _fault,
        },
    )
    app.state.project, app.state.workers = project, workers
    return app


def _refused(_: Request, error: Exception) -> Response:
    assert isinstance(error, KitplanError)
    problems = error.problems if isinstance(error, BadInput) else ()
    data = {"error": str(error), "problems": [str(each) for each in problems]}
    return JSONResponse(data, 422)


def _changed(_: Request, error: Exception) -> Response:
    return JSONResponse({"error": str(error)}, 409)


def _http(_: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    return JSONResponse({"error": error.detail}, error.status_code, headers=error.headers)


def _fault(_: Request, error: Exception) -> Response:
    logger.error("the page met a fault of its own", exc_info=error)
    return JSONResponse({"error": "kitplan met a fault of its own; see its log"}, 500)
