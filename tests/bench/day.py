"""Measure the parts of the day: seconds to the end of each, what is proven, the gap where not.

    python -m tests.bench.day [PLAN ...] [--families S,M] [--seeds 0-4] [--write docs/day.md]

Plans are read from files, or made of the seeded shoots of `instances` with a few seconds each: what
is measured is the day, not how good the plan is. CPU time of one process; each part works by itself
on one thread and is cut off by its own count of steps, so that the answers repeat.
"""

from __future__ import annotations

import argparse
import os
import platform
import time
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

from tabulate import tabulate

from kitplan.allocate.search import Limits
from kitplan.plan.files import read_plan
from kitplan.plan.records import Day, Plan
from kitplan.plan.verify import verify
from kitplan.produce.day import PARTS, with_day
from kitplan.produce.solve import plan_shoot
from tests.bench.allocate import seeds_of
from tests.bench.instances import instance

PLANNING_SECONDS = {"S": 5.0, "M": 30.0, "L": 120.0}
AIM_S = 5.0
"""All parts of the depot day together."""


@dataclass(frozen=True)
class Measured:
    """The day of one plan."""

    name: str
    cameras: int
    seconds: dict[str, float]
    """By part."""
    told: dict[str, str]
    """By part: proven, or the gap."""
    findings: int


def main() -> None:
    """Measure and print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("plans", nargs="*", type=Path)
    parser.add_argument("--families", default="")
    parser.add_argument("--seeds", default="0")
    parser.add_argument("--write", type=Path)
    asked = parser.parse_args()
    rows = [measured(name, plan) for name, plan in _plans(asked)]
    text = _report(rows)
    print(text)
    if asked.write:
        asked.write.write_text(text, encoding="utf-8")


def _plans(asked: argparse.Namespace) -> Iterator[tuple[str, Plan]]:
    for path in asked.plans:
        yield path.stem, read_plan(path)
    for family in filter(None, asked.families.split(",")):
        for seed in seeds_of(asked.seeds):
            limits = Limits(seconds=PLANNING_SECONDS[family])
            yield (
                f"{family} {seed}",
                plan_shoot(instance(family, seed), shoot_id="s", limits=limits),
            )


def measured(name: str, plan: Plan) -> Measured:
    """Return how long each part of the day of a plan takes, and what it comes to."""
    marks: list[tuple[str, float]] = []
    made = with_day(plan, tell=lambda part: marks.append((part, time.process_time())))
    ends = [at for _, at in marks[1:]] + [time.process_time()]
    seconds = {part: end - at for (part, at), end in zip(marks, ends, strict=True)}
    assert made.day is not None
    return Measured(name, len(plan.placements), seconds, _told(made.day), len(verify(made)))


def _told(day: Day) -> dict[str, str]:
    """Return for each part 'proven', or what it came to against its bound."""
    found = {"sound": "no choice"}
    if day.shots is not None:
        found["shots"] = _gap(day.shots.value, day.shots.bound)
    if day.rolls is not None:
        open_ones = [each for each in day.rolls.reached if not each.is_proven]
        found["restarts"] = "; ".join(_gap(e.value, e.bound) for e in open_ones) or "proven"
    if day.power is not None:
        found["power"] = _gap(day.power.value, day.power.bound)
    if day.media is not None:
        found["media"] = _gap(day.media.value, day.media.bound)
    if day.work is not None:
        open_gaps = [gap for gap in day.work.gaps if not gap.is_proven and not gap.reason]
        found["reset"] = "; ".join(f"{g.end_s} /{g.bound_s} s" for g in open_gaps) or "proven"
        if any(gap.reason for gap in day.work.gaps):
            found["reset"] += ", does not fit"
    if day.cases is not None:
        loads = [load for load in day.cases.loads if not load.is_proven]
        found["cases"] = "; ".join(_gap(load.value, load.bound) for load in loads) or "proven"
    return found


def _gap(value: tuple[float, ...], bound: tuple[float, ...]) -> str:
    """Return the first goal that is not proven, counted from 1, against its bound."""
    for number, (one, other) in enumerate(zip(value, bound, strict=True), 1):
        if one != other:
            return f"goal {number}: {one:g} /{other:g}"
    return "proven"


def _report(rows: list[Measured]) -> str:
    table = [
        [
            row.name,
            row.cameras,
            *(f"{row.seconds[part]:.1f} {row.told[part]}" for part in PARTS),
            f"{sum(row.seconds.values()):.1f}",
            row.findings,
        ]
        for row in rows
    ]
    heads = ["plan", "placements", *(f"{part}, s" for part in PARTS), "all, s", "findings"]
    depot = next((row for row in rows if row.name.startswith("depot")), None)
    aim = "not measured"
    if depot is not None:
        total = sum(depot.seconds.values())
        is_proven = all(told in ("proven", "no choice") for told in depot.told.values())
        aim = f"{'met' if total < AIM_S and is_proven else 'MISSED'}, {total:.1f} s"
    machine = (
        f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}, "
        f"ortools {version('ortools')}, {time.strftime('%Y-%m-%d')}."
    )
    return "\n\n".join(
        [
            "# The day, measured",
            "`python -m tests.bench.day`",
            machine,
            "CPU seconds of each part with what it came to: proven, or the first goal that is not, "
            "against its bound. Plans of the families are made in a few seconds each.",
            tabulate(table, headers=heads, tablefmt="github"),
            f"Aim: all parts of the depot day proven in under {AIM_S:g} s together: {aim}.",
        ]
    ) + "\n"  # fmt: skip


if __name__ == "__main__":
    main()
