"""Pages from templates."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.responses import HTMLResponse

from kitplan.gear.counting import in_one_part, path_of


def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("kitplan.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


COUNT_PATH = "/gear/count/"
TEMPLATES = _environment()
TEMPLATES.filters["in_one_part"] = in_one_part
TEMPLATES.filters["unit_path"] = path_of
TEMPLATES.filters["count_path"] = lambda unit_id: path_of(unit_id, COUNT_PATH)


def page(name: str, **values: object) -> HTMLResponse:
    """Return a page from its template; every value is escaped."""
    return HTMLResponse(TEMPLATES.get_template(name).render(**values))
