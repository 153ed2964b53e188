"""The rows that anybody would write down first: the plain formulation of the same allocation.

The same decisions, rules and goals, so the same best values; but every camera stays a choice (none
is left out because another does all it does), what excludes each other is said pair by pair, and
what follows from other rows (counts of a pass, that an empty slot offers nothing) is not spelt out.
"""

from __future__ import annotations

from contextlib import ExitStack
from typing import Any
from unittest.mock import patch

import numpy as np

from kitplan.allocate.model import Allocation, build
from kitplan.allocate.variables import Slot, Variables, total
from kitplan.options.spots import Options
from kitplan.stage.angles import Flags


def build_plain(options: Options) -> Allocation:
    """Return the model in its plain formulation."""
    with ExitStack() as plainly:
        for name, simple in {
            "kitplan.allocate.variables.superfluous_cameras": lambda *_: frozenset(),
            "kitplan.allocate.pictures.clique_cover": pairs,
            "kitplan.allocate.goals.viewpoints._groups_of_alike": _pairs_of_alike,
            "kitplan.allocate.goals.viewpoints._offers": _offers,
            "kitplan.allocate.goals.viewpoints._add_counted_by_pass": lambda _: None,
        }.items():
            plainly.enter_context(patch(name, simple))
        return build(options)


def _pairs_of_alike(x: Variables) -> list[tuple[int, ...]]:
    return pairs(x.options.likeness(sorted(x.viewpoints)).same)


def _offers(x: Variables, slot: Slot, song_id: str) -> Any:
    """Counted, and not operated by somebody who performs in the song."""
    crew = x.options.brief.shoot.crew_by_id
    counted = total(slot.counted.values())
    away = [var for person, var in slot.operators.items() if song_id in crew[person].performs_in]
    if not away:
        return counted
    offers = x.model.new_bool_var(f"offers {song_id}[{slot.name}]")
    x.model.add(offers <= counted)
    x.model.add(offers <= 1 - total(away))
    return offers


def pairs(conflicts: Flags, needed: Flags | None = None) -> list[tuple[int, ...]]:
    """Return every edge of a conflict graph that has to be covered, one by one."""
    edges = np.triu(conflicts if needed is None else conflicts & needed, k=1)
    return [(int(one), int(other)) for one, other in np.argwhere(edges)]
