"""`kitplan fallback`: for each single loss the reply to it, as a table for the show pack."""

from __future__ import annotations

from typing import Annotated

import typer

from kitplan.cli.common import (
    ClusterOption,
    JsonOption,
    OutFileOption,
    ProcessesOption,
    print_json,
    writable_file,
)
from kitplan.cli.packing import PlanArgument

LEAST_SECONDS = 2.0
"""Counted in steps of the solver: enough to prove a small shoot's reply."""

LossSecondsOption = Annotated[
    float | None,
    typer.Option(
        "--seconds",
        metavar="N",
        min=0.1,
        max=86_400,
        help="How long to search per loss, in steps of the solver so that answers repeat. By "
        "default 2, 6 or 30 by size.",
        show_default=False,
    ),
]


def fallback(
    plan_path: PlanArgument,
    seconds: LossSecondsOption = None,
    processes: ProcessesOption = None,
    cluster: ClusterOption = None,
    out: OutFileOption = None,
    as_json: JsonOption = False,
) -> None:
    """Say in advance what to do if one thing is lost.

    One unit of each item in use, each person on a camera, each position, each pass: what moves, and
    what it costs; as `kitplan without` would answer, each checked. Ctrl-C keeps what is done.

    Example: kitplan fallback my-show-plan

    Example: kitplan fallback my-show-plan --seconds 20 --json
    """
    from kitplan.allocate.solver import Limits
    from kitplan.cli.counting import counting
    from kitplan.paper.fallback import fallback_records, fallback_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.whatif.fallback import Fallback, jobs_of, key_of, single_losses, worst_first
    from kitplan.whatif.losses import require_one_shoot, usual_limits
    from kitplan.whatif.sweep import run

    out = writable_file(out)
    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    require_one_shoot(plan)
    losses = single_losses(plan)
    limits = Limits(seconds or max(usual_limits(plan).seconds, LEAST_SECONDS), seed=1, workers=1)
    labels = {key_of(kind, loss): loss.label for kind, loss in losses}
    jobs = jobs_of(plan, losses, limits)
    with counting("Without", labels.__getitem__) as tell:
        results = dict(run(jobs, processes=processes, cluster=cluster, tell=tell))
    found = [Fallback(kind, loss, results[key_of(kind, loss)]) for kind, loss in losses]
    found = worst_first(plan, found)
    if as_json:
        print_json(fallback_records(plan, found))
    else:
        typer.echo(fallback_text(plan, found))
    if out is not None:
        from kitplan.paper.pack.beside import mark_of_plan, write_beside

        answer = {"losses": fallback_records(plan, found)}
        write_beside(out, "fallback", mark_of_plan(plan), answer)
        typer.echo(f"Written to {out}", err=True)
    if any(each.result.findings for each in found):
        raise typer.Exit(1)
