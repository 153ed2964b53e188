"""Why an item stays at home: a look-up in the refusals that the options kept."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from kitplan.allocate.demands import Demand
from kitplan.gear.records import Body
from kitplan.options.cameras import Camera
from kitplan.options.refusals import Refusal
from kitplan.options.spots import Options, Spot
from kitplan.options.stands import Stand
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role

SHOT_WITH = " with "
"""Stands between the shot and the camera in what a refusal of a shot is about."""
ITEMS = ("body", "lens", "adapter", "head", "support")
_NAMES = re.compile(rf"\+| on |{SHOT_WITH}")

MOST_BARS = 3
"""Of so many units it is said what keeps them."""


def left_out(options: Options, item: str) -> str:
    """Return in words why an item is in no placement.

    Either no unit of it is there, or it can be used nowhere, with the rule that says so most often,
    or it could be used and no goal gains by it.
    """
    brief = options.brief
    bars = brief.bars_in_words(item)
    if bars and not any(brief.free_units(item, each) for each in brief.shoot.passes):
        return _some(bars)
    spots = [spot for spot in options.spots if _is_possible(spot, item)]
    if spots:
        places = sorted({spot.position.label for spot in spots})
        shown = ", ".join(places[:3]) + (" ..." if len(places) > 3 else "")
        return f"possible at {shown}, but no goal gains by it"
    refusals = [r for r in _refusals(options) if item in r.what.replace(" on ", "+").split("+")]
    if not refusals:
        return "no position is open for it"
    rule, _ = Counter(refusal.rule for refusal in refusals).most_common(1)[0]
    return _in_full(options, next(r for r in refusals if r.rule == rule))


def clash_reason(options: Options, clash: tuple[Demand, ...]) -> str:
    """Return in words why demands that clash do: what stands most often in the way of a single one,
    or how many bodies, people and passes there are to share out among several.
    """
    if not clash:
        return ""
    if len(clash) > 1:
        return _what_there_is(options.brief)
    fixed = _fixed(options.brief, clash[0])
    wanted = fixed.get("role", clash[0].id if clash[0].kind == "role" else None)
    role = next((r for r in options.brief.roles if r.id == wanted), None)
    places = (fixed["position"],) if "position" in fixed else role.positions if role else None
    named = [p.id for p in options.brief.shoot.passes if clash[0].words.endswith(f" in {p.label}")]
    named = [fixed["pass"]] if "pass" in fixed else named
    spots = [
        spot
        for spot in options.spots
        if spot.stands
        and spot.cameras
        and (places is None or spot.position.id in places)
        and (not named or spot.each.id in named)
    ]
    if spots:
        refusals = [r for spot in spots for r in _shot_refusals(spot, role)]
        if role is None or any(_has_shot(spot, role) for spot in spots):
            refusals += [r for spot in spots for r in spot.refusals]
    else:
        closed = [
            refusal
            for (run, place), refusal in options.closed
            if (places is None or place in places) and (not named or run in named)
        ]
        refusals = closed or _refusals(options)
    refusals = _most_about(refusals, {fixed[name] for name in ITEMS if name in fixed})
    if not refusals:
        return _what_there_is(options.brief)
    rule, number = Counter(refusal.rule for refusal in refusals).most_common(1)[0]
    first = next(refusal for refusal in refusals if refusal.rule == rule)
    start = f"most often in the way ({number} times)" if number > 1 else "in the way"
    return f"{start}: {_in_full(options, first)}"


def _fixed(brief: Brief, demand: Demand) -> dict[str, str]:
    """The parts that a lock keeps together, by name; nothing for other demands."""
    return brief.shoot.locks.keep[int(demand.id)].parts if demand.kind == "keep" else {}


def _most_about(refusals: list[Refusal], items: set[str]) -> list[Refusal]:
    """The refusals that name most of some items; all where none of them names any."""
    named = [len(items.intersection(_NAMES.split(refusal.what))) for refusal in refusals]
    most = max(named, default=0)
    return [refusal for refusal, number in zip(refusals, named, strict=True) if number == most]


def _shot_refusals(spot: Spot, role: Role | None) -> Iterator[Refusal]:
    """Yield the refused shots that would meet a demand for a role."""
    for row in _rows_for(spot, role):
        for column in range(len(spot.cameras)):
            refusal = spot.shots.refusal(row, column, "locked-off")
            if refusal is not None:
                yield refusal


def _has_shot(spot: Spot, role: Role) -> bool:
    """Whether some camera there can take the shot of a role: if none can, that is the reason."""
    works = spot.shots.possible("operated") | spot.shots.possible("locked-off")
    return any(works[row].any() for row in _rows_for(spot, role))


def _rows_for(spot: Spot, role: Role | None) -> Iterator[int]:
    """Yield the places of the views that show what a role asks for; of all views without one."""
    for row, view in enumerate(spot.views):
        if role is None or (view.subject.id == role.subject and view.size in role.sizes):
            yield row


def _what_there_is(brief: Brief) -> str:
    """How many bodies and people there are in each pass: what demands have to share."""
    parts = []
    for each in brief.shoot.passes:
        bodies = sum(len(brief.free_units(body.id, each)) for body in brief.kit.of_kind(Body))
        people = sum(person.is_operator for person in brief.people(each))
        shared = f"{bodies} {'body' if bodies == 1 else 'bodies'}"
        hands = f"{people} {'operator' if people == 1 else 'operators'}"
        parts.append(f"{each.label} has {shared} and {hands}")
    return "there are not enough to go round, or not at the same time: " + "; ".join(parts)


def _in_full(options: Options, refusal: Refusal) -> str:
    """Return a refusal with names; of units that are not there with what keeps them."""
    words, brief = _in_names(options, refusal), options.brief
    if refusal.rule != "no-unit":
        return words
    parts = refusal.what.replace(" on ", "+").split("+")
    gone = [p for p in parts if not any(brief.free_units(p, e) for e in brief.shoot.passes)]
    bars = [bar for part in gone for bar in brief.bars_in_words(part)]
    return f"{words} ({_some(bars)})" if bars else words


def _some(words: Sequence[str]) -> str:
    return "; ".join(words[:MOST_BARS]) + ("; ..." if len(words) > MOST_BARS else "")


def _in_names(options: Options, refusal: Refusal) -> str:
    """Return a refusal with the names of items and subjects instead of their ids."""
    brief = options.brief
    names = {each.id: each.label for each in brief.shoot.subjects}
    names |= {each.id: each.name for each in brief.kit.items}
    shot, joint, camera = refusal.what.partition(SHOT_WITH)
    if joint:  # "singer MS with cam+zoom+HD"
        subject, _, size = shot.rpartition(" ")
        start = f"{names.get(subject, subject)} {size}{SHOT_WITH}"
    else:
        start, camera = "", shot
    sides = [
        " with ".join(names.get(part, part) for part in side.split("+"))
        for side in camera.split(" on ")
    ]
    return str(replace(refusal, what=start + " on ".join(sides)))


def _is_possible(spot: Spot, item: str) -> bool:
    parts: tuple[Camera | Stand, ...] = (*spot.cameras, *spot.stands)
    return any(item in part.items for part in parts)


def _refusals(options: Options) -> list[Refusal]:
    return [*options.refusals, *(r for spot in options.spots for r in spot.refusals)]
