"""`kitplan verify`: hold a plan against every rule again, without what made it."""

from __future__ import annotations

import typer

from kitplan.cli.common import JsonOption, print_json
from kitplan.cli.packing import PlanArgument


def verify(plan_path: PlanArgument, as_json: JsonOption = False) -> None:
    """Hold a plan against every rule again.

    Re-derives every rule and figure from what the plan carries, without what made it. Exit status
    1 if anything does not hold.

    Example: kitplan verify my-show-plan
    """
    from dataclasses import asdict

    from kitplan.paper.findings import findings_text
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify as check_plan

    plan = read_plan(plan_path)
    findings = check_plan(plan)
    if as_json:
        print_json({"holds": not findings, "findings": [asdict(each) for each in findings]})
    else:
        typer.echo(findings_text(plan, findings))
    if findings:
        raise typer.Exit(1)
