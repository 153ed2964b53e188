"""`kitplan restarts` and `kitplan coverage`: when recorders are touched, and what that covers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument

if TYPE_CHECKING:
    from kitplan.plan.records import Plan
    from kitplan.plan.verify import Finding

PassOption = Annotated[
    str | None,
    typer.Option("--pass", metavar="NAME", help="Only this pass.", show_default=False),
]


def restarts(
    plan_path: PlanArgument, pass_name: PassOption = None, as_json: JsonOption = False
) -> None:
    """Print the roll and restart sheet.

    By pass: who touches which camera for what, by clock and song; a bar for each camera; what clip,
    battery and card have left at the end of every song; the tightest reserve.

    Example: kitplan restarts my-show-plan --pass show
    """
    from kitplan.paper.restarts import restarts as restarts_text
    from kitplan.paper.restarts import restarts_records

    plan, findings = _rolled(plan_path)
    if as_json:
        print_json(restarts_records(plan, pass_name))
    else:
        typer.echo(restarts_text(plan, pass_name))
    end_unless_it_holds(plan_path, findings, "restarts")


def coverage(
    plan_path: PlanArgument, pass_name: PassOption = None, as_json: JsonOption = False
) -> None:
    """Show whether every second of every song has a usable shot.

    Songs by cameras with what each shows and where it stands still; what is not covered, why, and
    the smallest repair; who holds each moment. Ends with status 1 where something is not covered.

    Example: kitplan coverage my-show-plan
    """
    from kitplan.paper.coverage import coverage as coverage_text
    from kitplan.paper.coverage import coverage_records

    plan, findings = _rolled(plan_path)
    records = coverage_records(plan, pass_name)
    if as_json:
        print_json(records)
    else:
        typer.echo(coverage_text(plan, pass_name))
    end_unless_it_holds(plan_path, findings, "cover")
    if records["uncovered"]:
        raise typer.Exit(1)


def _rolled(plan_path: Path) -> tuple[Plan, tuple[Finding, ...]]:
    """Return a plan with rolls and cover that name only what it holds, and what is wrong."""
    from kitplan.cli.day import read_with
    from kitplan.paper.rolled import require_cameras, require_rolls

    plan, findings = read_with(plan_path, "restarts")
    require_cameras(plan, str(plan_path))
    require_rolls(plan, str(plan_path))
    return plan, findings
