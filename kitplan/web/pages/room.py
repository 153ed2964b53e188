"""The room: the floor plan to scale, changed by hand, and what a lens sees from there."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, Field
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kitplan.checked import validated
from kitplan.errors import BadInput, Problem
from kitplan.web.project import Project
from kitplan.web.rendering import page
from kitplan.web.room.draft import Drafts
from kitplan.web.room.operations import Operations
from kitplan.web.room.picture import answer as pictured
from kitplan.web.room.showing import choices, shown
from kitplan.web.room.sighting import Ask, sighted

M = TypeVar("M", bound=BaseModel)


class Saving(Operations):
    """Steps to be saved."""

    seen: Annotated[str, Field(max_length=64)]
    """Digest of the version that the page takes for the one on disk."""


class Looking(Operations):
    """A shot to be looked at, with steps that are not saved yet."""

    ask: Ask


def routes(project: Project) -> Iterator[Route]:
    """Yield the routes of the room."""
    drafts = Drafts(project)

    async def room(_: Request) -> Response:
        return await run_in_threadpool(_page, project)

    async def shoot(_: Request) -> Response:
        return JSONResponse(await run_in_threadpool(_now, drafts))

    yield Route("/", room, methods=["GET"])
    yield Route("/api/shoot", shoot, methods=["GET"])
    yield Route("/api/shoot", _answering(Saving, lambda asked: _saved(drafts, asked)), **POST)
    yield Route("/api/draft", _answering(Operations, lambda asked: _drafted(drafts, asked)), **POST)
    yield Route("/api/view", _answering(Looking, lambda asked: _seen(drafts, asked)), **POST)


POST: dict[str, Any] = {"methods": ["POST"]}


def _answering(model: type[M], answered: Callable[[M], dict[str, Any]]) -> Any:
    """Return what reads a request as a record, and answers it beside the other requests."""

    async def endpoint(request: Request) -> Response:
        body = await request.body()
        asked = _read(model, body)
        return JSONResponse(await run_in_threadpool(answered, asked))

    return endpoint


def _read(model: type[M], body: bytes) -> M:
    try:
        data = json.loads(body)
    except (ValueError, RecursionError) as error:
        raise BadInput([Problem("page", 0, "that is no JSON", "Load the page again")]) from error
    return validated(model, data, file="page", line_of=lambda _: 0)


def _page(project: Project) -> Response:
    try:
        return page("room.html", title=project.brief().shoot.title, problems=())
    except BadInput as error:
        answer = page("room.html", title=project.shoot_id, problems=error.problems)
        answer.status_code = 422
        return answer


def _now(drafts: Drafts) -> dict[str, Any]:
    base = drafts.now()
    brief, problems = base.brief(())
    return {"digest": base.version.digest, **shown(brief, problems), "choices": choices(brief)}


def _drafted(drafts: Drafts, asked: Operations) -> dict[str, Any]:
    return shown(*drafts.brief(asked))


def _saved(drafts: Drafts, asked: Saving) -> dict[str, Any]:
    return {"digest": drafts.save(asked, asked.seen).digest}


def _seen(drafts: Drafts, asked: Looking) -> dict[str, Any]:
    return pictured(sighted(drafts.checked(asked), asked.ask))
