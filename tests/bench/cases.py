"""How long the packing of a plan takes to proof, as it is and with nothing at home in a case.

Run as `python -m tests.bench.cases PLAN...`; times are never unit tests.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from pathlib import Path

from kitplan.day.cases import packed_cases
from kitplan.gear.kit import Kit
from kitplan.gear.records import Case
from kitplan.plan.day.cases import GOALS
from kitplan.plan.files import read_plan
from kitplan.plan.records import Plan


def homeless(plan: Plan) -> Plan:
    """Return the plan with a kit in which nothing has a home case."""
    kit = plan.kit
    units = tuple(unit.model_copy(update={"case": None}) for unit in kit.units)
    return plan.model_copy(update={"kit": Kit(items=kit.items, units=units)})


def measure(plan: Plan) -> Iterator[str]:
    """Yield a line for each shoot: seconds, and each goal with its bound where not proven."""
    start = time.monotonic()
    loads = packed_cases(plan).loads
    seconds = time.monotonic() - start
    cases = sum(isinstance(plan.kit.items_by_id[u.item], Case) for u in plan.kit.units)
    for load in loads:
        goals = ", ".join(
            f"{goal} {value}" + (f" (bound {bound})" if bound < value else "")
            for goal, value, bound in zip(GOALS, load.value, load.bound, strict=True)
        )
        things = sum(len(each.units) for each in load.cases) + len(load.left)
        yield f"{things} things, {cases} cases owned, {seconds:.2f} s: {goals}"


if __name__ == "__main__":
    for name in sys.argv[1:]:
        plan = read_plan(Path(name))
        for title, one in (("at home", plan), ("homeless", homeless(plan))):
            for line in measure(one):
                print(f"{name}, {title}: {line}", flush=True)
