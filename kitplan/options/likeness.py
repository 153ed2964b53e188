"""Which views are one viewpoint, worked out once for all models of a shoot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from kitplan.options.views import View, alike_views
from kitplan.shoot.brief import Brief
from kitplan.stage.angles import Flags, clique_cover


@dataclass(frozen=True)
class Likeness:
    """Which of some views are alike, by their place among them."""

    same: Flags
    """Of every pair, shape (n, n)."""

    @classmethod
    def of(cls, brief: Brief, views: Sequence[View]) -> Likeness:
        """Return the likeness of some views."""
        none = np.zeros((0, 0), dtype=np.bool_)
        return cls(alike_views(brief, tuple(views)) if views else none)

    @cached_property
    def cliques(self) -> tuple[tuple[int, ...], ...]:
        """Groups of views that are all alike; every pair of alike views is in one at least."""
        return tuple(clique_cover(self.same))
