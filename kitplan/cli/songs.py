"""`kitplan songs`: the set list changes late on the day; every rig stays where it is."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kitplan.cli.common import JsonOption, end_with_plan, print_json, writable
from kitplan.cli.packing import PlanArgument

OrderOption = Annotated[
    Path,
    typer.Option(
        "--order",
        metavar="FILE",
        help="The songs in their new order, one a line, by id or name; songs left out are "
        "dropped. After a song may stand its new length and gap: cobbles, 340, 30.",
        show_default=False,
    ),
]
NewPlanOption = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="FOLDER",
        help="Write the new plan there; a plan of the same name is kept as .earlier.",
        show_default=False,
    ),
]


def songs(
    plan_path: PlanArgument,
    order: OrderOption,
    out: NewPlanOption = None,
    as_json: JsonOption = False,
) -> None:
    """Re-order or drop songs without moving a rig.

    All cameras, people and things stay; the shot sheets and all else that hangs on the songs
    follow. Says what no longer holds. Exit status 1 if a must is missed.

    Example: kitplan songs my-show-plan --order tonight.txt

    Example: kitplan songs my-show-plan --order tonight.txt --out my-show-plan
    """
    from kitplan.paper.songs import songs_records, songs_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.whatif.losses import require_one_shoot
    from kitplan.whatif.setlist import read_order
    from kitplan.whatif.songs import plan_songs

    before = read_plan(plan_path)
    require_whole(before, str(plan_path))
    require_one_shoot(before)
    (shoot,) = before.shoots.values()
    listed = read_order(order, shoot)
    folder = writable(out) if out else None
    typer.echo("Counting anew what the rigs give as they stand ...", err=True)
    new = plan_songs(before, listed, order)
    if as_json:
        print_json(songs_records(new))
    else:
        typer.echo(songs_text(new))
    end_with_plan(new.plan, folder, next(iter(before.shoots)), is_quiet=as_json)
