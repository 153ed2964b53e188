"""The stored plans belong to the bundled shoots as they are now, and hold."""

from __future__ import annotations

import pytest

from kitplan.plan.records import VERSION
from kitplan.plan.verify import verify
from kitplan.shoot.reading import read_brief
from kitplan.tables import scenario
from tests.stored import SECONDS, stored_plan


@pytest.mark.parametrize("name", SECONDS)
def test_a_stored_plan_is_of_the_shoot_as_it_is_now(name: str) -> None:
    """Shoot and kit are the bundled ones; else: `python -m tests.stored`."""
    plan, brief = stored_plan(name), read_brief(scenario(name))
    assert plan.version == VERSION
    assert plan.shoots == {name: brief.shoot}
    assert plan.kit == brief.kit


@pytest.mark.parametrize("name", SECONDS)
def test_a_stored_plan_holds(name: str) -> None:
    """The checker finds nothing, and every part of the day is there."""
    plan = stored_plan(name)
    assert verify(plan) == ()
    assert plan.day is not None
    missing = {part for part, found in plan.day if found is None}
    assert missing == ({"sound"} if not plan.shoots[name].sound else set())
