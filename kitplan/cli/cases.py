"""`kitplan cases`: which thing travels in which case, who lifts it, in which order it is loaded."""

from __future__ import annotations

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument


def cases(plan_path: PlanArgument, as_json: JsonOption = False) -> None:
    """Pack everything into cases.

    What is in each case, litres and kilograms, one or two to lift it; the order of loading; what
    stays in the building overnight; what does not fit, and the smallest remedy.

    Example: kitplan cases my-show-plan
    """
    from kitplan.cli.day import read_with
    from kitplan.paper.cases import cases_records, cases_text

    plan, findings = read_with(plan_path, "cases")
    if as_json:
        print_json(cases_records(plan))
    else:
        typer.echo(cases_text(plan))
    end_unless_it_holds(plan_path, findings, "cases")
