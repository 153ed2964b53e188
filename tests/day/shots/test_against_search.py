"""The solver's sheets against every sheet there is, on random small days."""

from __future__ import annotations

import pytest

from kitplan.day.shots import shot_sheets
from kitplan.plan.records import Day
from kitplan.shoot.brief import Brief
from tests.day.shots.days import random_day
from tests.day.shots.hall import faults
from tests.day.shots.search import MOST, best_value, day_of
from tests.small import SHOOT_ID

LEAST = 6


def _compare(seed: int, most: int) -> bool:
    """Compare one day; False where there is next to nothing to choose, or too much to try."""
    plan = random_day(seed)
    day = day_of(plan)
    if not LEAST <= day.size <= most:
        return False
    sheets = shot_sheets({SHOOT_ID: Brief(plan.shoots[SHOOT_ID], plan.kit)}, plan.placements)
    assert sheets.is_proven
    assert sheets.value == best_value(day)
    made = plan.model_copy(update={"day": Day(shots=sheets)})
    assert [str(finding) for finding in faults(made)] == []
    return True


def _compare_many(first: int, number: int, most: int) -> int:
    """Compare so many days that are small enough; return how many seeds that took."""
    tried = compared = 0
    while compared < number:
        compared += _compare(first + tried, most)
        tried += 1
    return tried


def test_eight_days() -> None:
    """As many as fit a moment."""
    assert _compare_many(0, 8, 1_500) < 40


@pytest.mark.long
def test_three_hundred_days() -> None:
    """Larger ones as well."""
    assert _compare_many(1_000, 300, MOST) < 900
