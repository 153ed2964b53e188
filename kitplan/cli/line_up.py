"""`kitplan line-up`: one sheet of settings for all cameras, and how they are kept in step."""

from __future__ import annotations

from typing import Annotated

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument


def line_up(
    plan_path: PlanArgument,
    pass_name: Annotated[
        str | None,
        typer.Option("--pass", metavar="NAME", help="Only this pass.", show_default=False),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Print the settings that all cameras share.

    Frame rate, shutter, white balance and look for all; focal length, stop, ISO, focus and mode of
    each; how late each hears the stage; what to look at in the real light, and in which order.

    Example: kitplan line-up my-show-plan --pass show
    """
    from kitplan.cli.day import read_with
    from kitplan.paper.line_up import line_up_records, line_up_text

    plan, findings = read_with(plan_path, None)
    if as_json:
        print_json(line_up_records(plan, pass_name))
    else:
        typer.echo(line_up_text(plan, pass_name))
    end_unless_it_holds(plan_path, findings, "settings")
