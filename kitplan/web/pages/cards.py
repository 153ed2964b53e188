"""Camera cards on phones. A card once opened stays readable without network.

GET /card/                     all cards by pass, to find one's own by name
GET /card/PASS/LETTER          a card, sent on to its address with the mark of the plan
GET /card/PASS/LETTER?plan=M   the card of plan M; where that is not the plan any more: the new one
GET /card/mark                 {"mark"} of the plan as it is now, once its cards are made
GET /card/worker.js            keeps opened cards, where the browser lets it (a safe origin)
GET /card/parts/DIGEST/NAME    what a card is made of: styles, scripts, type

Addresses with a mark or a digest never mean anything else, so the browser itself keeps them too: on
a network without https that is all there is, and enough to come back to a card in a dead spot.
"""

from __future__ import annotations

import asyncio
from collections.abc import Iterator
from dataclasses import replace
from importlib.resources import files
from typing import Any
from urllib.parse import quote

from markupsafe import Markup
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from kitplan.gear.counting import id_in, in_one_part
from kitplan.paper.pack.setting import Setting
from kitplan.web.hall.parts import digest, media_type, parts
from kitplan.web.orders import order_of, setting_of
from kitplan.web.pages.papers import NO_PLAN
from kitplan.web.press import Press
from kitplan.web.project import Project
from kitplan.web.rendering import page

LOOK_S, PATIENCE_S = 0.1, 300.0
KEPT_S = 24 * 3600
KEEP = {"cache-control": f"private, max-age={KEPT_S}"}
ASK_AGAIN = {"cache-control": "no-cache"}


def routes(project: Project, press: Press) -> Iterator[Route]:
    """Yield the routes of the cards."""

    async def result() -> dict[str, Any]:
        order = order_of(project, "cards", setting_of({}))
        if order is None:
            raise HTTPException(404, NO_PLAN)
        job = press.ask(replace(order, setting=_of_cards(order.setting)))
        for _ in range(int(PATIENCE_S / LOOK_S)):
            if job.done.is_set():
                break
            await asyncio.sleep(LOOK_S)
        if job.state != "ready":
            raise HTTPException(503, f"The cards are not made: {job.words}")
        return job.result

    async def every(_: Request) -> Response:
        made = await result()
        return page("cards.html", title=made["title"], mark=made["mark"], passes=_by_pass(made))

    async def card(request: Request) -> Response:
        own_id, letter = id_in(request.path_params["own_id"]), request.path_params["letter"]
        made = await result()
        found = made["cards"].get((own_id, letter))
        if found is None:
            raise HTTPException(404, "There is no such card in the plan as it is now.")
        if request.query_params.get("plan") != made["mark"]:
            return RedirectResponse(f"{_path(own_id, letter)}?plan={made['mark']}", 302)
        answer = page(
            "card.html",
            card=found,
            title=made["title"],
            mark=made["mark"],
            parts=f"/card/parts/{digest()}",
            sections=Markup(found["html"]),  # escaped where it was made
        )
        answer.headers.update(KEEP)
        return answer

    async def mark(_: Request) -> Response:
        return JSONResponse({"mark": (await result())["mark"]})

    def part(request: Request) -> Response:
        name = request.path_params["name"]
        if request.path_params["digest"] != digest() or name not in parts():
            raise HTTPException(404, "There is no such part of a card any more.")
        return Response(parts()[name], media_type=media_type(name), headers=KEEP)

    def worker(_: Request) -> Response:
        code = files("kitplan.web").joinpath("static", "card-worker.js").read_bytes()
        return Response(code, media_type="text/javascript", headers=ASK_AGAIN)

    async def index(_: Request) -> Response:
        return RedirectResponse("/card/", 302)

    yield Route("/card", index)
    yield Route("/card/", every)
    yield Route("/card/mark", mark)
    yield Route("/card/parts/{digest}/{name}", part)
    yield Route("/card/worker.js", worker)
    yield Route("/card/{own_id}/{letter}", card)


def _of_cards(setting: Setting) -> Setting:
    """Return a setting in which all that does not show on a screen is the same for everybody."""
    return replace(setting, paper="a4")


def _path(own_id: str, letter: str) -> str:
    return f"/card/{quote(in_one_part(own_id), safe='')}/{quote(letter, safe='')}"


def _by_pass(made: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the cards of each pass."""
    found: dict[str, list[dict[str, Any]]] = {}
    for (own_id, letter), card in made["cards"].items():
        address = f"{_path(own_id, letter)}?plan={made['mark']}"
        found.setdefault(card["pass"], []).append({**card, "address": address})
    return [{"label": label, "cards": cards} for label, cards in found.items()]
