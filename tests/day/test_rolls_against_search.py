"""The roll plan against trying everything, on small random days."""

from __future__ import annotations

from itertools import count, islice

import pytest

from kitplan.day.cover import cover_of
from kitplan.day.rolls import roll_plan
from kitplan.plan.records import Day, Plan
from kitplan.plan.verify.day import day_findings
from tests.day.rolls_by_search import MOST_WAYS, best_by_search, random_day
from tests.day.small import scenes_of

DAYS, LONG_DAYS = 8, 300


def small_days(number: int, first: int = 0, most: int = MOST_WAYS) -> list[tuple[int, Plan]]:
    """Return random days with their seeds."""
    days = ((seed, plan) for seed in count(first) if (plan := random_day(seed, most)) is not None)
    return list(islice(days, number))


def check(plan: Plan) -> None:
    """A roll plan is proven, holds, and nothing that anybody could try is better."""
    rolls = roll_plan(plan)
    assert rolls.is_proven
    assert rolls.reached[0].value == best_by_search(plan, rolls)
    day = Day(rolls=rolls, cover=cover_of(plan, rolls))
    whole = plan.model_copy(update={"day": day})
    assert list(day_findings(whole, scenes_of(whole))) == []


def test_nothing_tried_is_better() -> None:
    """A few days."""
    for _, plan in small_days(DAYS, most=1_500):
        check(plan)


@pytest.mark.long
@pytest.mark.parametrize("block", range(10))
def test_nothing_tried_is_better_on_many_days(block: int) -> None:
    """Three hundred more."""
    for _, plan in small_days(LONG_DAYS // 10, first=1000 * (block + 1)):
        check(plan)
