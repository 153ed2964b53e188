"""The room: the floor plan to scale."""

from __future__ import annotations

from collections.abc import Iterator

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kitplan.web.project import Project
from kitplan.web.rendering import page


def routes(project: Project) -> Iterator[Route]:
    """Yield the routes of the room."""

    async def room(_: Request) -> Response:
        return page("room.html", title=project.brief().shoot.title)

    async def shoot(_: Request) -> Response:
        version = project.shoot()
        data = project.brief().shoot.model_dump(mode="json", by_alias=True)
        return JSONResponse({"digest": version.digest, "shoot": data})

    yield Route("/", room, methods=["GET"])
    yield Route("/api/shoot", shoot, methods=["GET"])
