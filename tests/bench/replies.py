"""Measure the reply to a loss: seconds, whether it holds, its goals against planning anew.

    python -m tests.bench.replies [--shoots school-dance,depot-brass,S-0,M-0] [--seconds usual,2,10]
                                  [--plan-seconds 60] [--anew-seconds 60] [--write FILE]

A shoot is one of the demos or a family and a seed of `instances`. Of its plan is lost, each by
itself: the first used unit of a body, operator, position, and the first pass. Given are so many
seconds at most, or what the command gives (`usual`). `anew` plans what is left with more time and
nothing to keep: goals of the reply that are as good say `=`, others show both values.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tabulate import tabulate

from kitplan.allocate.solver import Limits
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.produce.solve import NoPlanInTime, plan_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.reading import read_brief
from kitplan.tables import scenario
from kitplan.whatif.losses import Loss, brief_without, find_losses, plan_without, usual_limits
from tests.bench.instances import FAMILIES, instance

SHOOTS = "school-dance,depot-brass,harbour-festival,S-0,S-1,S-2,M-0,M-1"
COMPARED = ("musts", "wants", "thinnest", "viewpoints", "variety")
HEADS = ("lost", "at most s", "took s", "holds", "changes", *COMPARED)


def main() -> None:
    """Print a table for each shoot."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--shoots", default=SHOOTS)
    parser.add_argument("--seconds", default="2,10")
    parser.add_argument("--plan-seconds", type=float, default=60.0)
    parser.add_argument("--anew-seconds", type=float, default=60.0)
    parser.add_argument("--write", type=Path)
    asked = parser.parse_args()
    given = asked.seconds.split(",")
    anew = Limits(seconds=asked.anew_seconds)
    blocks = ["# Replies to a loss, measured"]
    for name in asked.shoots.split(","):
        brief = _brief(name)
        plan = plan_shoot(brief, shoot_id="shoot", limits=Limits(seconds=asked.plan_seconds))
        usual = usual_limits(plan)
        limits = [usual if each == "usual" else Limits(seconds=float(each)) for each in given]
        rows = [row for loss in losses_of(plan) for row in _rows(brief, plan, loss, limits, anew)]
        blocks += [f"## {name}", tabulate(rows, headers=HEADS, tablefmt="github", floatfmt=".4g")]
        print("\n\n".join(blocks[-2:]), end="\n\n", flush=True)
    if asked.write:
        asked.write.write_text("\n\n".join(blocks) + "\n", encoding="utf-8")


def _brief(name: str) -> Brief:
    family, _, seed = name.partition("-")
    return instance(family, int(seed)) if family in FAMILIES else read_brief(scenario(name))


def losses_of(plan: Plan) -> tuple[Loss, ...]:
    """Return one loss of each kind that hurts: of what the plan uses first."""
    first = plan.placements[0]
    operator = next((each.operator for each in plan.placements if each.operator), None)
    names = [first.rig.body, *([operator] if operator else []), first.position]
    passes = plan.pass_ids()
    if len(passes) > 1:
        names.append(passes[0].partition("/")[2])
    return find_losses(plan, names)


def _rows(
    brief: Brief, plan: Plan, loss: Loss, limits: list[Limits], anew: Limits
) -> Iterator[list[Any]]:
    """Yield a row for each limit."""
    best = _values(_planned(brief_without(brief, (loss,)), anew))
    for limit in limits:
        began = time.monotonic()
        try:
            reply = plan_without(plan, (loss,), limit)
        except NoPlanInTime:
            yield [loss.label, limit.seconds, time.monotonic() - began, "no plan"]
            continue
        took = time.monotonic() - began
        own = _values(reply.plan)
        yield [
            loss.label,
            limit.seconds,
            took,
            "yes" if not verify(reply.plan) else "NO",
            len(reply.changes),
            *(_against(own[goal], best.get(goal)) for goal in COMPARED),
        ]


def _planned(brief: Brief, limits: Limits) -> Plan | None:
    try:
        return plan_shoot(brief, shoot_id="shoot", limits=limits)
    except NoPlanInTime:
        return None


def _values(plan: Plan | None) -> dict[str, float]:
    return {goal.goal: goal.value for goal in plan.goals} if plan is not None else {}


def _against(own: float, best: float | None) -> str:
    if best is None:
        return f"{own:g}, none anew"
    return "=" if abs(own - best) < 1e-6 else f"{own:g}, anew {best:g}"


if __name__ == "__main__":
    main()
