"""`kitplan packing`: what goes in which case for which pass, and what goes back to whom."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json

PlanArgument = Annotated[
    Path,
    typer.Argument(
        metavar="PLAN", help="A plan file, or the folder that holds it.", show_default=False
    ),
]


def packing(
    plan_path: PlanArgument,
    pass_name: Annotated[
        str | None,
        typer.Option("--pass", metavar="NAME", help="Only this pass.", show_default=False),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Print packing lists and returns.

    One list for each pass by camera, what changes between passes, and what goes back to whom.

    Example: kitplan packing my-show-plan --pass show
    """
    from kitplan.cli.day import read_with
    from kitplan.paper.packing import packing as packing_text
    from kitplan.paper.packing import packing_records

    plan, findings = read_with(plan_path, None)
    if as_json:
        print_json(packing_records(plan, pass_name))
    else:
        typer.echo(packing_text(plan, pass_name))
    end_unless_it_holds(plan_path, findings, "lists")
