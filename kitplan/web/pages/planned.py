"""The data of the plan page. Everything is JSON, or SVG for drawings; nothing here writes.

`PASS` is the pass's own id (`show`; for its slashes stands `~`), `LETTER` a camera letter. Without
a plan all of them answer 404 with {"error"}; a plan file that cannot be read is 422 with {"error",
"problems"}.

GET /api/plan
    {"stamp": "...",                 changes with every new plan
     "is_current": true|false|null,  false: shoot or kit were changed since; null: they do not read
     "title", "status": "solved"|"musts-missed"|"stopped-early", "in_short": "sentences",
     "made": {"seconds", "seed", "workers"},
     "findings": ["what does not hold", ...],          empty for a plan that holds
     "passes": [{"id", "label", "when", "promise", "floor": address of its drawing,
        "placements": [{"letter", "position": {"id", "label"}, "camera", "stand",
           "units": [{"id", "item", "name"}],          from the floor up
           "who", "operator": id|null, "manner": "operated"|"locked-off",
           "frames": "Solo cornet MS", "settings": "82 mm, f/5.6, ISO 320 to 1000",
           "roles": [{"id", "label"}],                 empty: a free choice
           "is_counted",                               a viewpoint of its own
           "shots": [{"frames", "is_main", "svg": address of its drawing}]}]}],
     "goals": [{"id", "name", "best", "bound", "is_lost", "is_proven", "certainty"}],
        best and bound are text for people; is_lost: less is better
     "demands": [{"kind", "id", "words", "priority", "is_met"}],
     "unmet": [{"kind", "id", "priority", "words", "reason", "instead"}],
     "clash": {"demands": [words], "reason"},          demands that cannot all hold, or none
     "cover": {"is_throughout", "uncovered": [sentence]} | null,
     "forecast": {"lines": [sentence], "same_angle_every_s", "songs": [...], ...} | null,
     "viewpoints", "pictures", "between", "day", "mind": each [sentence, ...],
     "left_out": [{"id", "name", "reason"}]}

GET /api/plan/cameras                            what the room draws; none without a plan
    {"cameras": [{"letter", "pass", "position", "manner": "operated"|"locked-off", "who", "frames",
        "subject", "size", "body", "mode", "lens"|null, "adapter"|null, "support", "head"|null}]}
        body, lens, adapter, support and head are ids of items.

GET /api/plan/songs
    {"is_throughout",
     "passes": [{"id", "label", "cameras": ["A", ...],
        "songs": [{"id", "number", "label", "worth": "live"|"locks"|"inserts"|"none",
           "worth_words", "cells": {"A": {"frames": ["Solo cornet MS", ...],   empty: no usable shot
              "blind": [{"start_s", "end_s", "cause"}]}}}]}],
     "moments": [{"song", "label", "moment", "priority", "holders": [{"pass", "letter"}]}]}
    422 where the plan has no day.

GET /api/plan/floor/PASS.svg[?sheet=1]           floor plan; a long key lies on a second sheet
GET /api/plan/frame/PASS/LETTER.svg[?shot=N]     what it sees: 0 the main shot, then its menu

GET /api/why?about=NAME[&seconds=10]
    {"text": what `kitplan why` prints, "holds": whether the plan does}. NAME is a role, item,
    position, person or goal, by id or name; without it all that is missing. Takes up to a minute,
    most of it to look for the smallest change; with seconds=0 none is looked for.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import Any, TypeVar

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from kitplan.errors import KitplanError, SettingError
from kitplan.gear.counting import id_in
from kitplan.paper.whole import require_whole
from kitplan.web.asked import whole_from
from kitplan.web.asking import Asker, Question
from kitplan.web.memo import Memo
from kitplan.web.planned import Shown
from kitplan.web.project import Project, stamp_of
from kitplan.web.solving import Busy

T = TypeVar("T")
MOST_SHEETS, MOST_SHOTS = 9, 99
KEPT_S = 10.0
USUAL_WHY_SECONDS, MOST_WHY_SECONDS = 10, 60
MOST_LETTERS = 200
SVG = "image/svg+xml"


class _Plan:
    """The plan of a project as it is now, with what was worked out about it."""

    def __init__(self, project: Project) -> None:
        self._project, self._memo = project, Memo()
        self._current: tuple[tuple[str | None, str | None], float, bool | None] | None = None

    def get(self, key: object, work: Callable[[Shown], T]) -> T:
        """Return something about the plan, worked out once.

        Raises:
            HTTPException: 404 without a plan.
            PlanFileError: If it cannot be read.
        """
        stamp, plan = self._project.plan_stamp(), self._project.plan()
        if plan is None or stamp is None:
            raise HTTPException(404, "There is no plan yet. Press Plan first.")

        def worked() -> T:
            require_whole(plan, self._project.plan_path.name)
            return work(Shown(plan))

        return self._memo.get(stamp, key, worked)

    def is_current(self) -> bool | None:
        """Whether shoot and kit are still those of the plan; None where they do not read. An
        inventory that people write in all the time is not read anew for everybody who looks.
        """
        seen = (self._project.plan_stamp(), stamp_of(self._project.shoot_path))
        now_s = time.monotonic()
        if self._current is None or self._current[0] != seen or now_s > self._current[1] + KEPT_S:
            self._current = (seen, now_s, self._compared())
        return self._current[2]

    def _compared(self) -> bool | None:
        try:
            brief = self._project.brief()
        except KitplanError:
            return None
        return self.get("shown", lambda shown: shown).is_of(brief)


def routes(project: Project, asker: Asker) -> Iterator[Route]:
    """Yield the routes of the plan's data. They are plain functions, so that a drawing that takes
    its time holds nobody else up.
    """
    plan = _Plan(project)

    def whole(_: Request) -> Response:
        data = plan.get("data", Shown.data)
        now: dict[str, Any] = {"stamp": project.plan_stamp(), "is_current": plan.is_current()}
        return JSONResponse(now | data)

    def cameras(_: Request) -> Response:
        is_there = project.plan_stamp() is not None
        return JSONResponse({"cameras": plan.get("cameras", Shown.cameras) if is_there else []})

    def songs(_: Request) -> Response:
        data = plan.get("songs", Shown.songs)
        if data is None:
            wrong, fix = "the plan has no day yet", "Plan again and let it work the day out"
            raise SettingError(wrong, where=project.plan_path.name, fix=fix)
        return JSONResponse(data)

    def floor(request: Request) -> Response:
        own_id, sheet = (
            id_in(request.path_params["own_id"]),
            whole_from(request, "sheet", MOST_SHEETS),
        )
        return _drawing(
            plan.get(("floor", own_id, sheet), lambda shown: shown.floor_svg(own_id, sheet))
        )

    def frame(request: Request) -> Response:
        own_id, letter = id_in(request.path_params["own_id"]), request.path_params["letter"]
        shot = whole_from(request, "shot", MOST_SHOTS)
        return _drawing(
            plan.get(
                ("frame", own_id, letter, shot),
                lambda shown: shown.frame_svg(own_id, letter, shot),
            )
        )

    def why(request: Request) -> Response:
        stamp = project.plan_stamp()
        if stamp is None:
            raise HTTPException(404, "There is no plan yet. Press Plan first.")
        about = request.query_params.get("about", "")[:MOST_LETTERS] or None
        seconds = float(whole_from(request, "seconds", MOST_WHY_SECONDS, USUAL_WHY_SECONDS))
        try:
            answer = asker.ask(Question(project.plan_path, stamp, about, seconds))
        except Busy as error:
            return JSONResponse({"error": str(error), "problems": []}, 503)
        return JSONResponse(answer, 422 if "error" in answer else 200)

    yield Route("/api/why", why)
    yield Route("/api/plan", whole)
    yield Route("/api/plan/cameras", cameras)
    yield Route("/api/plan/songs", songs)
    yield Route("/api/plan/floor/{own_id}.svg", floor)
    yield Route("/api/plan/frame/{own_id}/{letter}.svg", frame)


def _drawing(svg: str | None) -> Response:
    if svg is None:
        raise HTTPException(404, "There is no such sheet.")
    return Response(svg, media_type=SVG)
