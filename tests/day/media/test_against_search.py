"""The copying equals the best of everything tried, on small random evenings."""

from __future__ import annotations

import pytest

from kitplan.day.media.copying import copying_of
from tests.day.media.search import best_value, random_case
from tests.examples import usual


def _assert_best(seed: int) -> None:
    case = random_case(seed)
    found = copying_of(case)
    assert found.value == found.bound
    assert found.value == best_value(case)


@pytest.mark.parametrize("seed", usual(10, range(20)))
def test_copying_equals_trying_everything(seed: int) -> None:
    """Cards that are late, cards without copies at the next downbeat, the last copy."""
    _assert_best(seed)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(20, 320))
def test_copying_equals_trying_everything_on_many_evenings(seed: int) -> None:
    """The same on 300 more."""
    _assert_best(seed)
