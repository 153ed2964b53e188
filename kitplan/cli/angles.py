"""`kitplan angles`: how far the angles of a plan are apart, which cut together, how often each."""

from __future__ import annotations

from typing import Annotated

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument


def angles(
    plan_path: PlanArgument,
    pass_name: Annotated[
        str | None,
        typer.Option(
            "--pass", metavar="NAME", help="Only pairs with this pass.", show_default=False
        ),
    ] = None,
    subject: Annotated[
        str | None,
        typer.Option(
            "--subject",
            metavar="NAME",
            help="Only pairs that both show this subject.",
            show_default=False,
        ),
    ] = None,
    is_all: Annotated[
        bool, typer.Option("--all", help="Every pair, not only the closest viewpoints.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Show how far the angles of a plan are apart and which cut together.

    By pass and from pass to pass, the closest pairs first; then how often the same angle comes
    round in the edit of each song. With --json every pair, whatever else is asked.

    Example: kitplan angles my-show-plan --subject drummer
    """
    from kitplan.paper.angles import Selection, angles_records, angles_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    findings = verify(plan)
    selection = Selection(pass_name, subject, is_all)
    if as_json:
        print_json(angles_records(plan, selection))
    else:
        typer.echo(angles_text(plan, selection))
    end_unless_it_holds(plan_path, findings, "angles")
