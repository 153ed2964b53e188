"""Pages from templates."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.responses import HTMLResponse


def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("kitplan.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


TEMPLATES = _environment()


def page(name: str, **values: object) -> HTMLResponse:
    """Return a page from its template; every value is escaped."""
    return HTMLResponse(TEMPLATES.get_template(name).render(**values))
