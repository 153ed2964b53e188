"""Measure the work between passes: seconds to proof, gap, hand-overs, per gap of a plan.

    python -m tests.bench.work PLAN... [--steps 10]

CPU seconds, so that a busy machine does not count.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from pathlib import Path

from tabulate import tabulate

from kitplan.day.work.book import gap_work, usual_effort
from kitplan.day.work.engine import Effort
from kitplan.plan.files import read_plan
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.gaps import stretches

HEADERS = ("gap", "jobs", "end min", "bound min", "proven", "hand-overs", "bound", "CPU s")


def measured(plan: Plan, steps: float = 10.0) -> Iterator[tuple[object, ...]]:
    """Yield a row of figures for every gap of a plan, in the order of `HEADERS`."""
    for shoot_id, shoot in plan.shoots.items():
        brief = Brief(shoot, plan.kit)
        own = [p for p in plan.placements if p.pass_id.partition("/")[0] == shoot_id]
        for stretch in stretches(shoot):
            effort = Effort(steps=steps, grain_s=usual_effort(brief).grain_s)
            start = time.process_time()
            gap = gap_work(brief, shoot_id, stretch, own, effort=effort)
            took = time.process_time() - start
            yield (
                f"{gap.after or 'load-in'} to {gap.before or 'get-out'}",
                len(gap.jobs),
                gap.end_s / 60,
                gap.bound_s / 60,
                gap.is_proven,
                gap.hand_overs,
                gap.hand_overs_bound,
                took,
            )


def main() -> None:
    """Print a table for each plan."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("plans", type=Path, nargs="+")
    parser.add_argument("--steps", type=float, default=10.0)
    asked = parser.parse_args()
    for path in asked.plans:
        rows = list(measured(read_plan(path), asked.steps))
        print(f"{path}\n{tabulate(rows, HEADERS, tablefmt='github', floatfmt='.2f')}\n")


if __name__ == "__main__":
    main()
