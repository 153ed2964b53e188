"""Goals in strict order as one weighted sum, and what a bound of that sum says of each of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kitplan.allocate.goals import Goal


def sum_in_order(group: Sequence[Goal]) -> Any:
    """Return the sum that is maximal where the goals of a group are, in strict order."""
    return sum(w * goal.expression for w, goal in zip(weights_in_order(group), group, strict=True))


def most_in_order(group: Sequence[Goal]) -> int:
    """Return a value that this sum cannot exceed."""
    return sum(w * goal.most for w, goal in zip(weights_in_order(group), group, strict=True))


def weights_in_order(group: Sequence[Goal]) -> list[int]:
    """Return weights that keep the goals of a group in strict order: one more of a goal outweighs
    all that the goals after it can give.
    """
    weights, weight = [], 1
    for goal in reversed(group):
        weights.append(weight)
        weight *= goal.most + 1
    return weights[::-1]


def bounds_in_order(group: Sequence[Goal], values: Sequence[int], bound: int) -> list[int]:
    """Return a bound for each goal of a group from the bound of their weighted sum.

    As long as a goal's value meets its bound, what is left of the sum bounds the next one; after
    the first gap nothing is known but the most that any plan gives.
    """
    bounds = []
    left, is_tight = bound, True
    for goal, weight, value in zip(group, weights_in_order(group), values, strict=True):
        most = max(min(left // weight, goal.most) if is_tight else goal.most, value)
        bounds.append(most)
        is_tight = is_tight and most == value
        left -= weight * value
    return bounds
