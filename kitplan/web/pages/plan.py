"""The plan page itself; its data comes from `planned`, its searches from `solving`.

GET /plan                the page
GET /api/plan/names      all that can be asked about: {"roles", "positions", "items", "people":
                         [{"id", "label", "is_used"}], "songs": [{"id", "label"}]}; items have
                         their "kind" as well
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kitplan.paper.names import Names
from kitplan.plan.records import Plan
from kitplan.web.memo import Memo
from kitplan.web.project import Project
from kitplan.web.rendering import page


def routes(project: Project) -> Iterator[Route]:
    """Yield the routes of the plan page."""
    memo = Memo()

    def plan(_: Request) -> Response:
        return page("plan.html")

    def names(_: Request) -> Response:
        stamp, made = project.plan_stamp(), project.plan()
        if stamp is None or made is None:
            raise HTTPException(404, "There is no plan yet. Press Plan first.")
        return JSONResponse(memo.get(stamp, "names", lambda: names_of(made)))

    yield Route("/plan", plan)
    yield Route("/api/plan/names", names)


def names_of(plan: Plan) -> dict[str, Any]:
    """Return everything in a plan that can be asked about, in the form of `/api/plan/names`."""
    shoot = next(iter(plan.shoots.values()))
    names = Names(plan)
    placed = {each.position for each in plan.placements}
    units = {unit for each in plan.placements for unit in each.units}
    items = {names.units_by_id[unit].item for unit in units}
    hands = {each.operator for each in plan.placements}
    roles = {role for each in plan.placements for role in each.roles}
    owned = {unit.item for unit in plan.kit.units}

    def rows(things: Any, used: set[Any]) -> list[dict[str, Any]]:
        return [{"id": i, "label": label, "is_used": i in used} for i, label in things]

    return {
        "roles": rows(((each.id, each.label) for each in shoot.roles), roles),
        "positions": rows(((e.id, e.label) for e in shoot.venue.positions), placed),
        "items": [
            {"id": each.id, "label": each.name, "kind": each.kind, "is_used": each.id in items}
            for each in plan.kit.items
            if each.id in owned
        ],
        "people": rows(((each.id, each.label) for each in shoot.crew), hands),
        "songs": [{"id": each.id, "label": each.label} for each in shoot.songs],
    }
