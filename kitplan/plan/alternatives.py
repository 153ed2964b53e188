"""Alternatives to a plan: as good in what matters most, with cameras at other places."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Literal

from kitplan.plan.records import Plan

Ending = Literal["all-found", "none-left", "none-found", "stopped"]
Places = Counter[tuple[str, str]]


@dataclass(frozen=True)
class Alternative:
    """A plan as good as another in musts, wants, viewpoints and variety, at other places."""

    plan: Plan
    is_proven: bool
    """Whether no plan as good is more different from the first one and the alternatives before."""


@dataclass(frozen=True)
class Alternatives:
    """The alternatives that were found, and why there are no more."""

    first: Plan
    """The plan that they are alternatives to."""
    found: tuple[Alternative, ...]
    ending: Ending
    """`none-left` is proven, `none-found` is not."""

    @property
    def plans(self) -> tuple[Plan, ...]:
        """The first plan and its alternatives."""
        return (self.first, *(each.plan for each in self.found))


def places_of(plan: Plan) -> Places:
    """Return how many rigs of a plan stand where, by pass and position."""
    return Counter((each.pass_id, each.position) for each in plan.placements)


def places_left(before: Plan, after: Plan) -> Places:
    """Return at which places of one plan another has no rig any more, or fewer."""
    return places_of(before) - places_of(after)
