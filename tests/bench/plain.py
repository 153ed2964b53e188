"""The rows that anybody would write down first: the plain formulation of the same allocation.

The same decisions, rules and goals, so the same best values; but every camera stays a choice (none
is left out because another does all it does), what excludes each other is said pair by pair, and
the counts of a pass that follow from other rows are not spelt out.
"""

from __future__ import annotations

from contextlib import ExitStack
from unittest.mock import patch

import numpy as np

from kitplan.allocate.model import Allocation, build
from kitplan.options.spots import Options
from kitplan.stage.angles import Flags


def build_plain(options: Options) -> Allocation:
    """Return the model in its plain formulation."""
    with ExitStack() as plainly:
        for name, simple in {
            "kitplan.allocate.variables.superfluous_cameras": lambda *_: frozenset(),
            "kitplan.allocate.pictures.clique_cover": pairs,
            "kitplan.allocate.goals.viewpoints.clique_cover": pairs,
            "kitplan.allocate.goals.viewpoints._add_counted_by_pass": lambda _: None,
        }.items():
            plainly.enter_context(patch(name, simple))
        return build(options)


def pairs(conflicts: Flags, needed: Flags | None = None) -> list[tuple[int, ...]]:
    """Return every edge of a conflict graph that has to be covered, one by one."""
    edges = np.triu(conflicts if needed is None else conflicts & needed, k=1)
    return [(int(one), int(other)) for one, other in np.argwhere(edges)]
