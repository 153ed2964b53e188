"""Plans of the bundled shoots for tests that need one, solved once per test process."""

from __future__ import annotations

from contextlib import suppress
from functools import cache
from pathlib import Path

from kitplan.allocate.search import Limits
from kitplan.plan.files import write_plan
from kitplan.plan.records import Plan
from kitplan.produce.solve import NoPlanInTime, plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.reading import read_brief
from kitplan.tables import scenario
from tests.small import run, show, small_brief, solve

SECONDS = {"school-dance": 3.0, "depot-brass": 4.0}
"""On a machine too busy to find any plan in these, ten times as many."""


@cache
def brief_of(name: str) -> Brief:
    """Return the brief of a bundled shoot."""
    return read_brief(scenario(name))


@cache
def plan_of(name: str) -> Plan:
    """Return a plan of a bundled shoot, as good as a few seconds make it."""
    for seconds in (SECONDS[name], 10 * SECONDS[name]):
        with suppress(NoPlanInTime):
            return plan_shoot(brief_of(name), shoot_id=name, limits=Limits(seconds=seconds))
    raise AssertionError(f"no plan of {name} in {10 * SECONDS[name]:g} s")


@cache
def small_plan() -> Plan:
    """Return the best plan of a tiny shoot of two passes; every goal is proven, so it holds."""
    return solve(small_brief(passes=(run(), show())))


def written(folder: Path, plan: Plan | None = None) -> Path:
    """Write a plan, by default the small one, and return its path."""
    return write_plan(plan or small_plan(), folder, "plan")
