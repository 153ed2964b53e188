"""What a goal is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kitplan.allocate.demands import Demand
from kitplan.allocate.variables import total

FULL_MARKS = 3


@dataclass(frozen=True)
class Goal:
    """One goal: what is maximised and the parts that people may want to see."""

    id: str
    expression: Any
    parts: dict[str, Any]
    most: int
    """No plan gives more."""


def weighted(demands: list[Demand]) -> Any:
    """Return the weight of the demands that are met, as an expression."""
    return total(demand.weight * demand.is_met for demand in demands)
