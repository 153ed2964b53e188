"""Rules of the single placement as a table: each case is one rule with its bound.

A case has a first choice that every goal prefers and a second choice that would do. Its `make`
returns what the case changes at a level; three tests run over every case:

- binds: beyond the bound the plan has to fall back on the second choice and is worse for it;
- is slack: at the bound the plan is as good as far within it;
- makes infeasible: without a second choice the must role is missed, the clash names just that role,
  and the options name the rule with both figures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import isnan, nan
from typing import Any, Literal

import pytest

from kitplan.shoot.brief import Brief
from tests.small import (
    body,
    demand_met,
    items_used,
    operators,
    person,
    places,
    position,
    refusals,
    role,
    small_brief,
    small_kit,
    solve,
    support,
    values,
    words_of,
)

Parts = dict[str, Any]
"""Changes: `items`, `counts`, `units` of the kit, any part of the shoot; `role` changes the must
role, `ben` the second person."""
KIT_PARTS = ("counts", "units", "without")
CHOICES = {
    "camera": ("cam", "spare"),
    "stand": ("legs", "tower"),
    "position": ("front", "left"),
    "person": ("ann", "ben"),
}
BYSTANDERS = (
    body("dark", mass_kg=0.01, max_iso=101),
    support("weak", payload_kg=0.1, mass_kg=0.1),
)
"""A camera that sees nothing in this light, and a stand that carries no other: whatever a case
refuses, something is possible there, and it is never of use."""


@dataclass(frozen=True)
class Case:
    """One rule: what it is tried on, far within the bound, at it and beyond it."""

    id: str
    choice: Literal["camera", "stand", "position", "person"]
    make: Callable[[Any], Parts]
    loose: Any
    at: Any
    beyond: Any
    rule: str
    value: float = nan
    limit: float = nan
    """Figures of the refusal beyond the bound."""
    alone: bool = False
    """At the bound the first choice will do but is worse than the second, so it is tried alone."""

    def brief(self, level: Any, *, has_second: bool) -> Brief:
        """Return the shoot at a level, with or without the second choice."""
        parts = self.make(level)
        items = (*parts.pop("items", ()), *BYSTANDERS)
        ben = parts.pop("ben", {})
        must = role(**parts.pop("role", {}))
        given: Parts = {
            "positions": (position("front"),),
            "crew": (person("ann"),),
            "roles": (must,),
        }
        given.update(parts)
        if has_second:
            items += self._second(given, ben)
        kit_parts: Parts = {name: given.pop(name) for name in KIT_PARTS if name in given}
        counts = {"cam": 1, **kit_parts.pop("counts", {})}
        return small_brief(small_kit(*items, counts=counts, **kit_parts), **given)

    def _second(self, given: Parts, ben: Parts) -> tuple[Any, ...]:
        """Add the second choice and why the first is better."""
        if self.choice == "camera":  # heavier: worse economy
            return (body("spare", mass_kg=5),)
        if self.choice == "stand":
            return (support("tower", mass_kg=9, payload_kg=20),)
        if self.choice == "position":  # a nice role wants the front: worse variety
            given["positions"] += (position("left"),)
            front = role("front", priority="nice", positions=("front",), also=True)
            given["roles"] += (front,)
            return ()
        # every view is narrow and Ben is not steady: worse quality
        given["crew"] += (person("ben", is_skilled=False, **ben),)
        given["rules"] = {"narrow_deg": 180, **given.get("rules", {})}
        return ()


def used(case: Case, brief: Brief) -> tuple[set[str], dict[str, float]]:
    """Return which of the two choices a plan uses, and what its goals come to."""
    plan = solve(brief)
    assert plan.status == "solved"
    found = items_used(plan).union(
        *(places(plan, each.id) | operators(plan, each.id) for each in brief.shoot.passes)
    )
    return found & set(CHOICES[case.choice]), values(plan)


def check_binds(case: Case) -> None:
    """Beyond the bound the second choice is taken, at a cost."""
    first, second = CHOICES[case.choice]
    free, better = used(case, case.brief(case.loose, has_second=True))
    bound, worse = used(case, case.brief(case.beyond, has_second=True))
    assert (free, bound) == ({first}, {second})
    assert tuple(worse.values()) < tuple(better.values())


def check_is_slack(case: Case) -> None:
    """At the bound the plan is the same as far within it."""
    if case.alone:
        found, _ = used(case, case.brief(case.at, has_second=False))
        assert found == {CHOICES[case.choice][0]}
        return
    assert used(case, case.brief(case.at, has_second=True)) == used(
        case, case.brief(case.loose, has_second=True)
    )


def check_makes_infeasible(case: Case) -> None:
    """Without a second choice the must is missed, for the right reason and with its figures."""
    brief = case.brief(case.beyond, has_second=False)
    plan = solve(brief)
    assert plan.status == "musts-missed"
    assert not demand_met(plan, "close")
    assert set(plan.clash) == words_of(plan, "close")
    if not case.rule:
        return
    found = [refusal for refusal in refusals(brief) if refusal.rule == case.rule]
    assert found, f"no refusal by {case.rule}"
    if not isnan(case.value):
        figures = [(refusal.value, refusal.limit) for refusal in found]
        assert any(
            pair == pytest.approx((case.value, case.limit), rel=1e-4, nan_ok=True)
            for pair in figures
        ), figures


def ids(cases: tuple[Case, ...]) -> list[str]:
    """Return the ids of cases for pytest."""
    return [case.id for case in cases]
