"""Two shoots from one pool: a plan of each, what each could have alone, how it was divided."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from kitplan.plan.records import Plan

Way = Literal["in-order", "balanced"]
"""The first shoot before the second, or none of them first."""
FIRST, SECOND = 0, 1


@dataclass(frozen=True)
class Step:
    """What a goal came to while units were divided, in the solver's whole numbers."""

    goal: str
    """Id of a goal; with ` share` behind it the smaller share of what each could have alone."""
    shoot: int | None
    """Place of the shoot; None for a goal of both."""
    value: int
    bound: int
    """No way to divide gives more, given the goals before it."""


@dataclass(frozen=True)
class Apart:
    """Somebody who is in both crews, and the days on which the first shoot has them."""

    person: str
    days: tuple[date, ...]


@dataclass(frozen=True)
class Shared:
    """Two plans from one pool."""

    way: Way
    plans: tuple[Plan, ...]
    alone: tuple[Plan, ...]
    """What each could have with everything to itself."""
    steps: tuple[Step, ...] | None
    """How it was divided, goal by goal; None where each is as good as alone."""
    apart: tuple[Apart, ...]
