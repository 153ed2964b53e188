"""The goals in strict order, one function each, formula beside it. Every goal is maximised.

musts      - missed musts                                        (only when not all can hold)
wants      sum(weight * want role filled)
thinnest   least number of counted viewpoints on offer in any song
viewpoints sum(points * grade % * thirds of songs) over counted placements, no two alike
variety    different (subject, size) pairs + 3 * bands in use + nice roles
quality    - lost marks of light, focus, framing, operator, distinctness, safety body
economy    - (reset minutes + 2 * kilograms + 5 * lens changes)
"""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.allocate.demands import Demands
from kitplan.allocate.goals.economy import economy
from kitplan.allocate.goals.goal import Goal, weighted
from kitplan.allocate.goals.quality import quality
from kitplan.allocate.goals.variety import most_variety, variety
from kitplan.allocate.goals.viewpoints import add_counted_viewpoints, thinnest_song, viewpoints
from kitplan.allocate.reset import Reset
from kitplan.allocate.variables import Variables, total

__all__ = ["Goal", "goals_in_order", "most_variety"]


def goals_in_order(x: Variables, demands: Demands, resets: list[Reset]) -> Iterator[Goal]:
    """Yield the goals in order of importance.

    What a goal counts with is added to the model only when its turn comes: thousands of rows that
    the goals before it would only stumble over.
    """
    yield _musts(demands)
    yield _wants(demands)
    add_counted_viewpoints(x)
    yield thinnest_song(x)
    yield viewpoints(x)
    yield variety(x, demands)
    yield quality(x)
    yield economy(x, resets)


def _musts(demands: Demands) -> Goal:
    missed = total(1 - demand.is_met for demand in demands.musts)
    return Goal("musts", -missed, {"missed": missed}, most=0)


def _wants(demands: Demands) -> Goal:
    """sum(weight of each want role that is filled)."""
    wanted = demands.of_roles("want")
    parts = {"filled": total(d.is_met for d in wanted)}
    return Goal("wants", weighted(wanted), parts, most=sum(d.weight for d in wanted))
