"""Measure planning: first plan, proof of each goal, peak memory, and the same model in HiGHS.

    python -m tests.bench.plan [--seconds 60] [--shoots depot-brass] [--write docs/bench.md]

Each shoot runs in a process of its own, so that its peak memory is its own. HiGHS gets, goal group
by goal group, the very rows that CP-SAT gets, the values of the groups before, both cores and the
same time.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import resource
import subprocess
import sys
import time
from itertools import islice
from pathlib import Path
from typing import Any

from tabulate import tabulate

SHOOTS = ("school-dance", "depot-brass", "harbour-festival")


def main() -> None:
    """Run every shoot and print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--shoots", default=",".join(SHOOTS))
    parser.add_argument("--write", type=Path)
    parser.add_argument("--one", choices=("ours", "highs"), help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        measure = _measure_ours if asked.one == "ours" else _measure_highs
        print(json.dumps(measure(asked.shoots, asked.seconds)))
        return
    text = "\n\n".join(_report(shoot, asked.seconds) for shoot in asked.shoots.split(","))
    text = f"{_machine()}, limit {asked.seconds:g} s a shoot.\n\n{text}\n"
    print(text)
    if asked.write:
        asked.write.write_text(f"# Planning, measured\n\n`python -m tests.bench.plan`\n\n{text}")


def _machine() -> str:
    return (
        f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}, "
        f"{time.strftime('%Y-%m-%d')}"
    )


def _child(which: str, shoot: str, seconds: float) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.bench.plan", "--one", which]
    command += ["--shoots", shoot, "--seconds", str(seconds)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    found: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return found


def _report(shoot: str, seconds: float) -> str:
    ours, highs = _child("ours", shoot, seconds), _child("highs", shoot, seconds)
    rows = []
    for goal in ours["goals"]:
        peer = highs["groups"].get(goal["goal"])
        rows.append(
            [
                goal["goal"],
                goal["value"],
                "proven" if goal["is_proven"] else f"bound {goal['bound']:g}",
                goal["seconds"],
                *(peer or ["", "", ""]),
            ]
        )
    table = tabulate(
        rows,
        headers=["goal", "ours", "", "at s", "HiGHS alone", "bound", "took s"],
        tablefmt="github",
        floatfmt=".6g",
    )
    return (
        f"## {shoot}\n\n"
        f"Options {ours['options_s']:.2f} s, model {ours['build_s']:.2f} s "
        f"({ours['columns']} decisions, {ours['rows']} rows), first plan {ours['first_s']:.2f} s "
        f"after the model, checked plan {ours['verified_s']:.2f} s after the start, "
        f"peak {ours['peak_mb']:.0f} MB. HiGHS peak {highs['peak_mb']:.0f} MB.\n\n{table}"
    )


def _brief(shoot: str) -> Any:
    from kitplan.shoot.reading import read_brief
    from kitplan.tables import scenario

    return read_brief(scenario(shoot))


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _measure_ours(shoot: str, seconds: float) -> dict[str, Any]:
    from kitplan.allocate.model import build
    from kitplan.allocate.search import Limits, Step
    from kitplan.options.spots import find_options
    from kitplan.plan.verify import verify
    from kitplan.produce.solve import plan_shoot

    brief = _brief(shoot)
    start = time.monotonic()
    options = find_options(brief)
    options_s = time.monotonic() - start
    allocation = build(options)
    build_s = time.monotonic() - start - options_s
    first: list[float] = []

    def tell(step: Step) -> None:
        if step.best is not None and not first:
            first.append(step.elapsed_s)

    start = time.monotonic()
    plan = plan_shoot(brief, shoot_id=shoot, limits=Limits(seconds=seconds), tell=tell)
    findings = verify(plan)
    if findings:
        raise SystemExit(f"the plan does not hold: {findings[0]}")
    return {
        "options_s": options_s,
        "build_s": build_s,
        "columns": len(allocation.model.proto.variables),
        "rows": len(allocation.model.proto.constraints),
        "first_s": first[0],
        "verified_s": time.monotonic() - start,
        "peak_mb": _peak_mb(),
        "goals": [goal.model_dump() for goal in plan.goals],
    }


def _measure_highs(shoot: str, seconds: float) -> dict[str, Any]:
    """Solve the same groups of goals in HiGHS alone, each held at HiGHS's own value."""
    from kitplan.allocate.climb import GROUPS, SHARE_OF_TIME_LEFT
    from kitplan.allocate.goals import goals_in_order
    from kitplan.allocate.matrix import to_highs, value_of
    from kitplan.allocate.model import build
    from kitplan.allocate.order import sum_in_order
    from kitplan.options.spots import find_options

    allocation = build(find_options(_brief(shoot)))
    coming = goals_in_order(allocation.variables, allocation.demands, allocation.resets)
    start = time.monotonic()
    groups: dict[str, list[Any]] = {}
    for names in GROUPS:
        goals = tuple(islice(coming, len(names)))
        expression = sum_in_order(goals)
        allocation.model.maximize(expression)
        highs = to_highs(allocation.model)
        left = seconds - (time.monotonic() - start)
        highs.setOptionValue("time_limit", max(left * SHARE_OF_TIME_LEFT[names[-1]], 1.0))
        highs.setOptionValue("threads", os.cpu_count() or 1)
        began = time.monotonic()
        highs.run()
        took, info = time.monotonic() - began, highs.getInfo()
        if abs(info.objective_function_value) > 1e15:
            groups[names[-1]] = ["none found", "", took]
            break
        solution = highs.getSolution().col_value
        for goal in goals:
            groups[goal.id] = [value_of(allocation.model, goal.expression, solution), "", took]
        groups[names[-1]][1] = info.mip_dual_bound if len(names) == 1 else info.mip_gap
        reached = round(info.objective_function_value)
        allocation.model.add(expression >= reached)
    return {"groups": groups, "peak_mb": _peak_mb()}


if __name__ == "__main__":
    main()
