"""Briefs of the bundled shoots and a tiny plan, once a test process; finished plans: `stored`."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from kitplan.plan.files import write_plan
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.reading import read_brief
from kitplan.tables import scenario
from tests.small import run, show, small_brief, solve


@cache
def brief_of(name: str) -> Brief:
    """Return the brief of a bundled shoot."""
    return read_brief(scenario(name))


@cache
def small_plan() -> Plan:
    """Return the best plan of a tiny shoot of two passes; every goal is proven, so it holds."""
    return solve(small_brief(passes=(run(), show())))


def written(folder: Path, plan: Plan | None = None) -> Path:
    """Write a plan, by default the small one, and return its path."""
    return write_plan(plan or small_plan(), folder, "plan")
