"""The charging equals the best of everything tried, on small random days."""

from __future__ import annotations

import pytest

from kitplan.day.power.model import charging_of
from tests.day.power.search import best_value, random_case
from tests.examples import usual


def _assert_best(seed: int) -> None:
    case = random_case(seed)
    found = charging_of(case)
    assert found.is_proven
    assert found.value == best_value(case)


@pytest.mark.parametrize("seed", usual(10, range(20)))
def test_charging_equals_trying_everything(seed: int) -> None:
    """Uses that do not last, charge that lacks, packs put in, ends: all as good as can be."""
    _assert_best(seed)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(20, 320))
def test_charging_equals_trying_everything_on_many_days(seed: int) -> None:
    """The same on 300 more."""
    _assert_best(seed)
