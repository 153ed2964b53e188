"""`kitplan without`: something is lost; a new plan that leaves what is rigged as it stands."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kitplan.cli.common import JsonOption, print_json, writable
from kitplan.cli.packing import PlanArgument


def without(
    plan_path: PlanArgument,
    things: Annotated[
        list[str],
        typer.Argument(
            metavar="THING...",
            help="Units, items, people, positions or passes, by id or name.",
            show_default=False,
        ),
    ],
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FOLDER", help="Write the new plan there as well."),
    ] = None,
    seconds: Annotated[
        float, typer.Option("--seconds", metavar="N", min=0.5, max=86_400, help="How long to look.")
    ] = 10.0,
    as_json: JsonOption = False,
) -> None:
    """Plan anew without something, and move as little as possible.

    Of the plans that are as good in musts, wants and viewpoints the one that changes least of what
    is rigged; checked like any plan. Prints only what changes. Exit status 1 if a must is missed.

    Example: kitplan without my-show-plan camcorder-1

    Example: kitplan without my-show-plan Senna "Pit house left"
    """
    from kitplan.allocate.solver import Limits
    from kitplan.paper.findings import findings_text
    from kitplan.paper.losses import loss_records, loss_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan, write_plan
    from kitplan.plan.verify import verify
    from kitplan.whatif.losses import find_losses, plan_without

    before = read_plan(plan_path)
    require_whole(before, str(plan_path))
    folder = writable(out) if out else None
    lost = find_losses(before, things)
    reply = plan_without(before, lost, Limits(seconds=seconds))
    if as_json:
        print_json(loss_records(before, reply.plan, reply.changes))
    else:
        names = [each.label for each in lost]
        typer.echo(loss_text(names, before, reply.plan, reply.changes))
    if folder is not None:
        name = next(iter(before.shoots))
        typer.echo(f"\nPlan written to {write_plan(reply.plan, folder, name)}", err=as_json)
    findings = verify(reply.plan)
    if findings:
        typer.echo(findings_text(reply.plan, findings), err=True)
    if findings or reply.plan.status == "musts-missed":
        raise typer.Exit(1)
