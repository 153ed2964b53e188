"""Searches from the page: planning, comparing schedules, the answer to a loss. One at a time.

POST /api/solve {"seconds": 60}          plan, as `kitplan plan` does, into the plan's folder
POST /api/compare {"seconds": 40}        plan every schedule for itself: seconds for each; the
                                         answer is kept beside the plan, for the papers
POST /api/without {"things": [NAME]}     what moves if these are lost: units, items, people,
                                         positions or passes, by id or name, or "60min:PASS";
                                         nothing is written
POST /api/solve/stop {}                  stop and keep the best so far, as Ctrl-C does; while the
                                         day is worked out it is left out
    All answer with the state (202 for a start). 409 {"error"} while another search is at work, 422
    {"error", "problems"} where the shoot, the kit or a name is wrong.

GET /api/solve                           the state of the search at work, or of the last one
GET /api/solve/events                    the same as server-sent events: `state`, again with every
                                         change and every few seconds; begin where you come in
GET /api/compare, GET /api/without       the state in which the last one of its kind ended with a
                                         result; 404 before

The state:
    {"search": 3, "kind": "plan"|"compare"|"without"|"none",
     "stage": "none"|"starting"|"searching"|"day"|"checking"|"alternatives"   ("none": none yet)
              |"done"|"stopped"|"failed",
     "is_over", "is_stopping", "elapsed_s", "seconds": what was given,
     "has_written": the plan file is new since the start (read /api/plan again),
     "round": 1, 2 ... (planned again until the work between passes fits),
     "goals": [{"id", "name", "best": text|null, "bound": text|null, "is_lost", "is_proven",
                "is_at_work", "certainty"}],       in order of importance
     "part": of the day, or "alternative 1"; "parts": all parts of the day, once it is reached,
     "counted": {"done", "total"} | null,          schedules
     "notes": [sentence, ...],                     what was worth saying on the way
     "result": null |
        plan: {"status", "is_fine", "findings": [sentence], "alternatives": how many}
        compare: {"text", "headers": [schedule], "rows": [[what, figure, ...]], "why": [sentence],
                  "schedules": as `kitplan compare --json`}
        without: {"things", "labels", "text", "goals", "changes", "to_whom", ...}
                  as `kitplan without --json`
     "failure": null | {"error", "problems"}}
    "stopped" means that there was nothing to keep; a search that was stopped with a plan is "done".
"""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from kitplan.errors import SettingError
from kitplan.paper.whole import require_whole
from kitplan.sources import writable
from kitplan.web.asked import body_of, number_in, texts_in
from kitplan.web.project import Project
from kitplan.web.searches import CompareTask, LossTask, PlanTask
from kitplan.web.solving import Busy, Searcher

IsGone = Callable[[], Awaitable[bool]]
Start = Callable[[], dict[str, Any]]
LEAST_SECONDS, MOST_SECONDS = 0.5, 86_400.0
USUAL_SECONDS, USUAL_EACH_SECONDS = 60.0, 40.0
MOST_THINGS = 50
LOOK_S, AGAIN_S = 0.2, 5.0
"""How often it is looked whether there is news; how often the state is sent without any, which
also finds out that nobody listens any more."""


def routes(project: Project, searcher: Searcher) -> Iterator[Route]:
    """Yield the routes of searches."""

    async def solve(request: Request) -> Response:
        seconds = await _seconds(request, USUAL_SECONDS)

        def start() -> dict[str, Any]:
            brief, folder = project.brief(), writable(project.plan_folder, "--plan")
            return searcher.start(PlanTask(brief, project.shoot_id, folder, seconds), seconds)

        return await _started(start)

    async def compare(request: Request) -> Response:
        seconds = await _seconds(request, USUAL_EACH_SECONDS)

        def start() -> dict[str, Any]:
            brief, folder = project.brief(), writable(project.plan_folder, "--plan")
            return searcher.start(CompareTask(brief, project.shoot_id, folder, seconds), seconds)

        return await _started(start)

    async def without(request: Request) -> Response:
        things = texts_in(await body_of(request), "things", MOST_THINGS)
        return await _started(lambda: searcher.start(_loss(project, things)))

    async def stop(_: Request) -> Response:
        return JSONResponse(await run_in_threadpool(searcher.stop))

    async def state(_: Request) -> Response:
        return JSONResponse(searcher.state())

    async def events(request: Request) -> Response:
        return StreamingResponse(
            states(searcher, request.is_disconnected), media_type="text/event-stream"
        )

    def latest(kind: str) -> Response:
        found = searcher.latest(kind)
        if found is None:
            raise HTTPException(404, "There is none yet.")
        return JSONResponse(found)

    async def comparison(_: Request) -> Response:
        return latest("compare")

    async def loss(_: Request) -> Response:
        return latest("without")

    yield Route("/api/solve", state, methods=["GET"])
    yield Route("/api/solve", solve, methods=["POST"])
    yield Route("/api/solve/stop", stop, methods=["POST"])
    yield Route("/api/solve/events", events, methods=["GET"])
    yield Route("/api/compare", comparison, methods=["GET"])
    yield Route("/api/compare", compare, methods=["POST"])
    yield Route("/api/without", loss, methods=["GET"])
    yield Route("/api/without", without, methods=["POST"])


async def states(searcher: Searcher, is_gone: IsGone) -> AsyncIterator[str]:
    """Yield the state of a searcher as server-sent events until it closes or nobody listens."""
    seen, last_s = -1, 0.0
    while not searcher.is_closed and not await is_gone():
        now_s = time.monotonic()
        if searcher.changes != seen or now_s - last_s > AGAIN_S:
            seen, last_s = searcher.changes, now_s
            yield f"event: state\ndata: {json.dumps(searcher.state())}\n\n"
        await asyncio.sleep(LOOK_S)


def _loss(project: Project, things: list[str]) -> LossTask:
    """Return the task for a loss; what can be wrong with it is found out now.

    Raises:
        KitplanError: If there is no plan, or no such thing in it.
    """
    from kitplan.whatif.losses import find_losses, require_one_shoot  # brings the solver along

    plan, where = project.plan(), project.plan_path.name
    if plan is None:
        raise HTTPException(404, "There is no plan yet. Press Plan first.")
    require_whole(plan, where)
    require_one_shoot(plan)
    if not things:
        fix = "Name what is lost"
        raise SettingError("nothing is said to be lost", where="things", fix=fix)
    labels = tuple(each.label for each in find_losses(plan, things))
    return LossTask(plan, tuple(things), labels)


async def _seconds(request: Request, usual: float) -> float:
    return number_in(await body_of(request), "seconds", usual, LEAST_SECONDS, MOST_SECONDS)


async def _started(start: Start) -> Response:
    try:
        return JSONResponse(await run_in_threadpool(start), 202)
    except Busy as error:
        return JSONResponse({"error": str(error), "problems": []}, 409)
