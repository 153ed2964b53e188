"""`kitplan without`: something is lost; a new plan that leaves what is rigged as it stands."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kitplan.cli.common import JsonOption, end_with_plan, print_json, writable
from kitplan.cli.packing import PlanArgument

ThingsArgument = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="THING",
        help="Units, items, people, positions or passes, by id or name; or minutes of the gap "
        "after a pass, such as 60min:closed-run.",
        show_default=False,
    ),
]
GotOption = Annotated[
    Path | None,
    typer.Option(
        "--got",
        metavar="FILE",
        help="What was got in the passes that are over: a YAML list or CSV table of pass, "
        "camera, song, result (got, spoiled, not run). Without a camera a row is for all of "
        "them, without a song for the whole pass; what is not listed was got.",
        show_default=False,
    ),
]
LossSecondsOption = Annotated[
    float | None,
    typer.Option(
        "--seconds",
        metavar="N",
        min=0.1,
        max=86_400,
        help="How long to look at most. By default under 1 for a shoot with up to 20 places "
        "for a camera over all passes, 6 with up to 60, 2 with up to 100 (its model takes "
        "longer than that), else 30.",
        show_default=False,
    ),
]


def without(
    plan_path: PlanArgument,
    things: ThingsArgument = None,
    got: GotOption = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FOLDER", help="Write the new plan there as well."),
    ] = None,
    seconds: LossSecondsOption = None,
    as_json: JsonOption = False,
) -> None:
    """Plan anew without something, and move as little as possible.

    Of the plans that are as good in musts, wants and viewpoints the one that changes least of what
    is rigged; checked like any plan. Prints only what changes, person by person. With --got the
    passes in the file are over: they stay as they were, and what was not got there counts as
    missing. Exit status 1 if a must is missed.

    Example: kitplan without my-show-plan camcorder-1

    Example: kitplan without my-show-plan Senna "Pit house left"

    Example: kitplan without my-show-plan 60min:closed-run

    Example: kitplan without my-show-plan --got closed-run.csv --out new-plan
    """
    from kitplan.allocate.solver import Limits
    from kitplan.cli.day import add_day
    from kitplan.errors import SettingError
    from kitplan.paper.losses import loss_records, loss_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.whatif.got import read_past
    from kitplan.whatif.losses import find_losses, plan_without, usual_limits

    before = read_plan(plan_path)
    require_whole(before, str(plan_path))
    folder = writable(out) if out else None
    if not things and got is None:
        fix = "Name what is lost, or give --got FILE"
        raise SettingError("nothing is said to be lost", where="THING", fix=fix)
    lost = find_losses(before, things or [])
    past = read_past(got, before) if got is not None else None
    limits = Limits(seconds=seconds) if seconds is not None else usual_limits(before)
    reply = plan_without(before, lost, limits, past=past)
    if as_json:
        print_json(loss_records(before, reply.plan, reply.changes))
    else:
        names = [each.label for each in lost]
        typer.echo(loss_text(names, before, reply.plan, reply.changes))
    wants_day = folder is not None and before.day is not None
    made = add_day()(reply.plan) if wants_day else reply.plan
    end_with_plan(made, folder, next(iter(before.shoots)), is_quiet=as_json)
