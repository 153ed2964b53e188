"""`kitplan media`: cards of each camera and pass, copies, disks to bring."""

from __future__ import annotations

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument


def media(plan_path: PlanArgument, as_json: JsonOption = False) -> None:
    """Print cards and copies.

    Cards of each camera and pass with minutes and gigabytes, copies by laptop, disks to bring,
    what is left as spare.

    Example: kitplan media my-show-plan
    """
    from kitplan.cli.day import read_with
    from kitplan.paper.media import media_records, media_text

    plan, findings = read_with(plan_path, "media")
    if as_json:
        print_json(media_records(plan))
    else:
        typer.echo(media_text(plan))
    end_unless_it_holds(plan_path, findings, "media")
