"""`kitplan shots`: what each camera holds in which song."""

from __future__ import annotations

from typing import Annotated

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument


def shots(
    plan_path: PlanArgument,
    pass_name: Annotated[
        str | None,
        typer.Option("--pass", metavar="NAME", help="Only this pass.", show_default=False),
    ] = None,
    camera: Annotated[
        str | None,
        typer.Option("--camera", metavar="LETTER", help="Only this camera.", show_default=False),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Print the shot sheets: what each camera holds in which song.

    With what to fall back on and what to go to for moments; then who holds each moment, who is the
    second, and what nobody holds.

    Example: kitplan shots my-show-plan --pass show

    Example: kitplan shots my-show-plan --camera B
    """
    from kitplan.cli.day import read_with
    from kitplan.paper.shots import Wanted, shots_records, shots_text

    plan, findings = read_with(plan_path, "shots")
    assert plan.day is not None
    assert plan.day.shots is not None
    wanted = Wanted(pass_name, camera)
    if as_json:
        print_json(shots_records(plan, plan.day.shots, wanted))
    else:
        typer.echo(shots_text(plan, plan.day.shots, wanted))
    end_unless_it_holds(plan_path, findings, "sheets")
