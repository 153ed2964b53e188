"""`kitplan cases`: which thing travels in which case, who lifts it, in which order it is loaded."""

from __future__ import annotations

import sys

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument


def cases(plan_path: PlanArgument, as_json: JsonOption = False) -> None:
    """Pack everything into cases.

    What is in each case, litres and kilograms, one or two to lift it; the order of loading; what
    stays in the building overnight; what does not fit, and the smallest remedy.

    Example: kitplan cases my-show-plan
    """
    from kitplan.paper.cases import cases_records, cases_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    if plan.day is None or plan.day.cases is None:
        from kitplan.produce.day import with_cases  # brings the solver along

        if sys.stderr.isatty():
            typer.echo("packing what the plan takes", err=True)
        plan = with_cases(plan)
    findings = verify(plan)
    if as_json:
        print_json(cases_records(plan))
    else:
        typer.echo(cases_text(plan))
    end_unless_it_holds(plan_path, findings, "cases")
