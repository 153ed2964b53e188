"""The gear, for phones in a dark hall: find, sign out and back, count a case, note a fault.

GET  /gear                               find things; who has what; the cases
GET  /gear/u/ID                          one unit: what a label's code opens
GET  /gear/count/ID                      count what lives in a case
                                         In an id with dots for a part `~` stands for its slashes.
GET  /api/gear?find=WORDS                {"things": [{"unit", "name", "owner", "where", "trouble"}],
                                          "more": how many beyond those}
GET  /api/gear/out                       {"people": [{"person", "things"}], "cases": [...]}
GET  /api/gear/people                    {"people": [NAME]}
POST /api/gear/out   {"who", "person", "units": [ID], "due": "2027-05-16"|null, "despite": false}
POST /api/gear/back  {"who", "units": [ID]}
POST /api/gear/fault {"who", "unit", "words", "state": "worn"|"in-repair"|"missing"}
POST /api/gear/right {"who", "unit"}      found or mended
POST /api/gear/inventory {"who"}         a plain kit file becomes {"inventory": its file name}
POST /api/gear/count {"who", "case", "here": [ID], "seen"}   {"missing", "back", "found", "here"}

`who` is the name that the phone remembers; it signs the change in the ledger. Somebody else has it:
409 {"error": plain words, "held": [{"unit", "person", "since", "due"}]}, and nothing was changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kitplan.gear.counting import PATH, id_in
from kitplan.web.asked import body_of, day_in, text_in, texts_in
from kitplan.web.hall.cases import case_of, save_count
from kitplan.web.hall.gear import STATES, Gear, Taken
from kitplan.web.hall.inventory import inventory_of
from kitplan.web.hall.starting import can_start, start_inventory
from kitplan.web.memo import Memo
from kitplan.web.project import Project
from kitplan.web.rendering import COUNT_PATH, page

MOST_LETTERS = 200
MOST_UNITS = 2_000
NO_STORE = {"cache-control": "no-store"}


def routes(project: Project) -> Iterator[Route]:
    """Yield the routes of the gear."""
    gear = Gear(project, Memo())
    yield from _pages(project, gear)
    yield from _answers(gear)
    yield from _changes(project, gear)


def _pages(project: Project, gear: Gear) -> Iterator[Route]:
    def find(request: Request) -> Response:
        asked = request.query_params.get("find", "")[:MOST_LETTERS]
        is_plain, can = inventory_of(project) is None, can_start(project)
        return page("gear.html", out=gear.out(), asked=asked, is_plain=is_plain, can_start=can)

    def unit(request: Request) -> Response:
        unit_id = id_in(request.path_params["unit_id"])
        found = gear.unit(unit_id)
        if found is None:
            return _none(unit_id)
        return page("unit.html", unit=found, states=STATES, people=gear.people())

    def count(request: Request) -> Response:
        case_id = id_in(request.path_params["unit_id"])
        found = case_of(project, case_id)
        return _none(case_id) if found is None else page("count.html", case=found)

    yield Route("/gear", find)
    yield Route(f"{PATH}{{unit_id:path}}", unit)
    yield Route(f"{COUNT_PATH}{{unit_id:path}}", count)


def _none(unit_id: str) -> Response:
    answer = page("unit-none.html", unit_id=unit_id[:MOST_LETTERS])
    answer.status_code = 404
    return answer


def _answers(gear: Gear) -> Iterator[Route]:
    def found(request: Request) -> Response:
        words = request.query_params.get("find", "")[:MOST_LETTERS]
        return JSONResponse(gear.found(words), headers=NO_STORE)

    def out(_: Request) -> Response:
        return JSONResponse(gear.out(), headers=NO_STORE)

    def people(_: Request) -> Response:
        return JSONResponse({"people": gear.people()}, headers=NO_STORE)

    yield Route("/api/gear", found, methods=["GET"])
    yield Route("/api/gear/out", out, methods=["GET"])
    yield Route("/api/gear/people", people, methods=["GET"])


def _changes(project: Project, gear: Gear) -> Iterator[Route]:
    def out(data: dict[str, Any]) -> None:
        units = texts_in(data, "units", MOST_UNITS)
        is_despite = data.get("despite") is True
        person, who = data.get("person"), text_in(data, "who")
        gear.sign_out(units, person, who, due=day_in(data, "due"), is_despite=is_despite)

    def back(data: dict[str, Any]) -> None:
        gear.sign_back(texts_in(data, "units", MOST_UNITS), text_in(data, "who"))

    def fault(data: dict[str, Any]) -> None:
        unit, who = text_in(data, "unit"), text_in(data, "who")
        gear.note_fault(unit, data.get("words"), data.get("state"), who)

    def right(data: dict[str, Any]) -> None:
        gear.note_right(text_in(data, "unit"), text_in(data, "who"))

    def inventory(data: dict[str, Any]) -> dict[str, Any]:
        return start_inventory(project, text_in(data, "who"))

    def count(data: dict[str, Any]) -> dict[str, Any]:
        here = texts_in(data, "here", MOST_UNITS)
        return save_count(
            project, text_in(data, "case"), here, text_in(data, "seen"), text_in(data, "who")
        )

    for name, change in (
        ("out", out),
        ("back", back),
        ("fault", fault),
        ("right", right),
        ("inventory", inventory),
        ("count", count),
    ):
        yield Route(f"/api/gear/{name}", _changing(change), methods=["POST"])


def _changing(change: Callable[[dict[str, Any]], dict[str, Any] | None]) -> Any:
    async def answer(request: Request) -> Response:
        data = await body_of(request)
        try:
            done = await run_in_threadpool(change, data)
        except Taken as error:
            return JSONResponse({"error": str(error), "held": error.held}, 409)
        return JSONResponse(done or {})

    return answer
