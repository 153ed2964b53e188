"""Why an item stays at home: a look-up in the refusals that the options kept."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

from kitplan.allocate.demands import Demand
from kitplan.gear.records import Body
from kitplan.options.cameras import Camera
from kitplan.options.refusals import Refusal
from kitplan.options.spots import Options, Spot
from kitplan.options.stands import Stand
from kitplan.shoot.brief import Brief


def left_out(options: Options, item: str) -> str:
    """Return in words why an item is in no placement.

    Either it can be used nowhere, with the rule that says so most often, or it could be used and no
    goal gains by it.
    """
    spots = [spot for spot in options.spots if _is_possible(spot, item)]
    if spots:
        places = sorted({spot.position.label for spot in spots})
        shown = ", ".join(places[:3]) + (" ..." if len(places) > 3 else "")
        return f"possible at {shown}, but no goal gains by it"
    refusals = [r for r in _refusals(options) if item in r.what.replace(" on ", "+").split("+")]
    if not refusals:
        return "no position is open for it"
    rule, _ = Counter(refusal.rule for refusal in refusals).most_common(1)[0]
    return _in_names(options, next(r for r in refusals if r.rule == rule))


def clash_reason(options: Options, clash: tuple[Demand, ...]) -> str:
    """Return in words why demands that clash do: what stands most often in the way of a single one,
    or how many bodies, people and passes there are to share out among several.
    """
    if not clash:
        return ""
    if len(clash) > 1:
        return _what_there_is(options.brief)
    role = next((r for r in options.brief.roles if r.id == clash[0].id), None)
    places = role.positions if role else None
    spots = [
        spot
        for spot in options.spots
        if spot.stands and spot.cameras and (places is None or spot.position.id in places)
    ]
    if spots:
        refusals = [
            r
            for spot in spots
            for r in (*spot.refusals, *_shot_refusals(options.brief, spot, clash[0]))
        ]
    else:
        closed = [r for (_, place), r in options.closed if places is None or place in places]
        refusals = closed or _refusals(options)
    if not refusals:
        return _what_there_is(options.brief)
    rule, number = Counter(refusal.rule for refusal in refusals).most_common(1)[0]
    first = next(refusal for refusal in refusals if refusal.rule == rule)
    return f"most often in the way ({number} times): {_in_names(options, first)}"


def _shot_refusals(brief: Brief, spot: Spot, demand: Demand) -> Iterator[Refusal]:
    """Yield the refused shots that would meet a demand for a role."""
    wanted = next((r for r in brief.roles if r.id == demand.id), None)
    for row, view in enumerate(spot.views):
        if wanted is None or (view.subject.id == wanted.subject and view.size in wanted.sizes):
            for column in range(len(spot.cameras)):
                refusal = spot.shots.refusal(row, column, "locked-off")
                if refusal is not None:
                    yield refusal


def _what_there_is(brief: Brief) -> str:
    """How many bodies and people there are in each pass: what demands have to share."""
    parts = []
    for each in brief.shoot.passes:
        bodies = sum(len(brief.free_units(body.id, each)) for body in brief.kit.of_kind(Body))
        people = sum(person.is_operator for person in brief.people(each))
        parts.append(f"{each.label} has {bodies} bodies and {people} operators")
    return "there are not enough to go round, or not at the same time: " + "; ".join(parts)


def _in_names(options: Options, refusal: Refusal) -> str:
    """Return a refusal with the names of items instead of their ids."""
    items = options.brief.kit.items_by_id
    parts = [
        " with ".join(items[i].name if i in items else i for i in side.split("+"))
        for side in refusal.what.split(" on ")
    ]
    return str(replace(refusal, what=" on ".join(parts)))


def _is_possible(spot: Spot, item: str) -> bool:
    parts: tuple[Camera | Stand, ...] = (*spot.cameras, *spot.stands)
    return any(item in part.items for part in parts)


def _refusals(options: Options) -> list[Refusal]:
    return [*options.refusals, *(r for spot in options.spots for r in spot.refusals)]
