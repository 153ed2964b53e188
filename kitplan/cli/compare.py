"""`kitplan compare`: one pass or several, each schedule planned, side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.check import KitOption, ShootArgument
from kitplan.cli.common import InventoryOption, JsonOption, print_json

if TYPE_CHECKING:
    from kitplan.plan.records import Plan
    from kitplan.shoot.brief import Brief


def compare(
    shoot_path: ShootArgument,
    kit: KitOption = None,
    db: InventoryOption = None,
    seconds: Annotated[
        float,
        typer.Option(
            "--seconds", metavar="N", min=0.5, max=86_400, help="How long to search per schedule."
        ),
    ] = 20.0,
    as_json: JsonOption = False,
) -> None:
    """Compare schedules: one pass or several.

    Every pass alone, and all of them; with three passes also every two of them. Each is planned
    and checked for itself.

    Example: kitplan compare my-show.yaml --seconds 30
    """
    from kitplan.cli.plan import solved
    from kitplan.paper.schedules import schedules_records, schedules_text
    from kitplan.produce.solve import NoPlanInTime
    from kitplan.shoot.reading import read_brief
    from kitplan.whatif.schedules import compare as compared

    brief = read_brief(shoot_path, kit, db)

    def solve(part: Brief, label: str) -> Plan | None:
        try:
            return solved(part, shoot_path.stem, seconds=seconds, what=label)
        except NoPlanInTime as error:
            typer.echo(f"{label}: {error}", err=True)
            return None

    outcomes = compared(brief, solve)
    if as_json:
        print_json(schedules_records(brief.shoot, outcomes))
    else:
        typer.echo(schedules_text(brief.shoot, outcomes))
    if any(each.findings for each in outcomes):
        raise typer.Exit(1)
