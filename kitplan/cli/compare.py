"""`kitplan compare`: one pass or several, each schedule planned, side by side."""

from __future__ import annotations

import typer

from kitplan.cli.check import KitOption, ShootArgument
from kitplan.cli.common import (
    ClusterOption,
    EachSecondsOption,
    InventoryOption,
    JsonOption,
    OutFileOption,
    ProcessesOption,
    print_json,
    writable_file,
)


def compare(
    shoot_path: ShootArgument,
    kit: KitOption = None,
    db: InventoryOption = None,
    seconds: EachSecondsOption = 40.0,
    processes: ProcessesOption = None,
    cluster: ClusterOption = None,
    out: OutFileOption = None,
    as_json: JsonOption = False,
) -> None:
    """Compare schedules: one pass or several.

    Every pass alone, and all of them; with three passes also every two of them. Each is planned
    and checked for itself. Seconds are counted in steps of the solver, so that answers repeat.
    Ctrl-C keeps what is done.

    Example: kitplan compare my-show.yaml --seconds 60
    """
    from kitplan.allocate.solver import Limits
    from kitplan.cli.counting import counting
    from kitplan.paper.schedules import schedules_records, schedules_text
    from kitplan.shoot.reading import read_brief
    from kitplan.whatif.executors import executor_for
    from kitplan.whatif.schedules import compare as compared
    from kitplan.whatif.schedules import trials
    from kitplan.whatif.sweep import STOPPED

    out = writable_file(out)
    brief = read_brief(shoot_path, kit, db)
    tries = trials(brief, shoot_path.stem, Limits(seconds=seconds, seed=1, workers=1))
    labels = {each.key: each.schedule.label for each in tries}
    with counting("Schedules", labels.__getitem__) as tell:
        outcomes = compared(tries, executor_for(processes, cluster), tell)
    if all(each.reason == STOPPED for each in outcomes):
        raise KeyboardInterrupt
    if as_json:
        print_json(schedules_records(brief.shoot, outcomes))
    else:
        typer.echo(schedules_text(brief.shoot, outcomes))
    if out is not None:
        from kitplan.paper.pack.beside import mark_of_shoot, write_beside

        mark = mark_of_shoot(brief.shoot, brief.kit)
        write_beside(out, "schedules", mark, schedules_records(brief.shoot, outcomes))
        typer.echo(f"Written to {out}", err=True)
    if any(each.findings for each in outcomes):
        raise typer.Exit(1)
