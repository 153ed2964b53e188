"""The typeface of the papers, so that page and paper look alike on phones that do not have it."""

from __future__ import annotations

from collections.abc import Iterator

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from kitplan.paper.drawings.text import font_files

KEPT = "public, max-age=2592000"
"""A month: it never changes, and thirty phones share one network."""


def routes() -> Iterator[Route]:
    """Yield the routes of the typeface: `/static/fonts/regular.ttf` and `bold.ttf`."""
    files = {f"{weight}.ttf": path for weight, path in font_files().items()}

    async def font(request: Request) -> Response:
        path = files.get(request.path_params["name"])
        if path is None:
            raise HTTPException(404, "There is no such typeface.")
        return FileResponse(path, media_type="font/ttf", headers={"cache-control": KEPT})

    yield Route("/static/fonts/{name}", font, methods=["GET"])
