"""Measure how long the roll plan of a plan takes, and how far it is proven.

python -m tests.bench.rolls PLAN...
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from tabulate import tabulate

from kitplan.day.rolls import days_of, roll_pass
from kitplan.plan.files import read_plan
from kitplan.plan.records import Plan

Row = tuple[str, int, int, float, bool, tuple[int, ...], tuple[int, ...]]
HEADERS = ("pass", "cameras", "songs", "CPU s", "proven", "goals", "bounds")


def measure(plan: Plan) -> list[Row]:
    """Return for each pass: cameras, songs, seconds of processor time, proven, goals, bounds."""
    rows: list[Row] = []
    for day in days_of(plan):
        begin = time.process_time()
        (reached,) = roll_pass(day).reached
        seconds = round(time.process_time() - begin, 2)
        rows.append(
            (
                day.pass_id,
                len(day.recorders),
                len(day.songs),
                seconds,
                reached.is_proven,
                reached.value,
                reached.bound,
            )
        )
    return rows


def main() -> None:
    """Print a table for the plans that are named."""
    rows = [row for name in sys.argv[1:] for row in measure(read_plan(Path(name)))]
    print(tabulate(rows, headers=HEADERS))


if __name__ == "__main__":
    main()
