"""Measure shot sheets: seconds to proof, size, what is left open.

    python -m tests.bench.shots [--shoots school-dance,depot-brass,S-0,M-0,L-0] [--plan-seconds 30]

A shoot is one of the demos or a family and a seed of `instances`, planned for some seconds first.
"""

from __future__ import annotations

import argparse
import time
from typing import Any

from tabulate import tabulate

from kitplan.allocate.solver import Limits
from kitplan.day.shots import shot_sheets
from kitplan.plan.day.shots import SHOT_GOALS
from kitplan.plan.records import Day
from kitplan.plan.verify import verify
from kitplan.produce.solve import plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.reading import read_brief
from kitplan.tables import scenario
from tests.bench.instances import FAMILIES, instance

SHOOTS = "school-dance,depot-brass,harbour-festival,S-0,S-1,M-0,M-1,L-0"
HEADS = ("shoot", "cameras", "rows", "cues", "seconds", "proven", "open", "holds")


def main() -> None:
    """Print a row for each shoot."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shoots", default=SHOOTS)
    parser.add_argument("--plan-seconds", type=float, default=30.0)
    asked = parser.parse_args()
    rows = [_row(name, asked.plan_seconds) for name in asked.shoots.split(",")]
    print(tabulate(rows, headers=HEADS, tablefmt="github", floatfmt=".2f"))


def _row(name: str, seconds: float) -> list[Any]:
    family, _, seed = name.partition("-")
    brief: Brief = instance(family, int(seed)) if family in FAMILIES else read_brief(scenario(name))
    plan = plan_shoot(brief, shoot_id="shoot", limits=Limits(seconds=seconds, workers=1))
    began = time.monotonic()
    sheets = shot_sheets({"shoot": brief}, plan.placements)
    took = time.monotonic() - began
    made = plan.model_copy(update={"day": Day(shots=sheets)})
    triples = zip(SHOT_GOALS, sheets.value, sheets.bound, strict=True)
    rows = [row for sheet in sheets.sheets for row in sheet.songs]
    return [
        name,
        len(sheets.sheets),
        len(rows),
        sum(len(row.cues) for row in rows),
        took,
        "yes" if sheets.is_proven else "no",
        ", ".join(
            f"{goal} {value:g} of {bound:g}" for goal, value, bound in triples if value != bound
        ),
        "yes" if not verify(made) else "NO",
    ]


if __name__ == "__main__":
    main()
