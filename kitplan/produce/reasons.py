"""Why an item stays at home: a look-up in the refusals that the options kept."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from kitplan.options.cameras import Camera
from kitplan.options.refusals import Refusal
from kitplan.options.spots import Options, Spot
from kitplan.options.stands import Stand


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
