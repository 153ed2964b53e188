"""`kitplan reset`: who does what when between passes, and how much slack there is."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument

if TYPE_CHECKING:
    from kitplan.plan.day.work import GapWork
    from kitplan.plan.records import Plan


def reset(
    plan_path: PlanArgument,
    is_load_in: Annotated[
        bool, typer.Option("--load-in", help="Only the work before the first pass.")
    ] = False,
    is_get_out: Annotated[
        bool, typer.Option("--get-out", help="Only the work after the last pass.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Print the work between passes, by clock and by person.

    Critical path, slack of every job, supper and doors; exit status 1 where it does not fit.

    Example: kitplan reset my-show-plan
    """
    from kitplan.cli.day import read_with
    from kitplan.paper.work import reset_records, reset_sheet

    plan, findings = read_with(plan_path, "reset")
    gaps = _chosen(plan, plan_path, is_load_in=is_load_in, is_get_out=is_get_out)
    if as_json:
        print_json(reset_records(plan, gaps))
    else:
        typer.echo(reset_sheet(plan, gaps))
    end_unless_it_holds(plan_path, findings, "work")
    if any(gap.reason for gap in gaps):
        raise typer.Exit(1)


def _chosen(
    plan: Plan, plan_path: Path, *, is_load_in: bool, is_get_out: bool
) -> tuple[GapWork, ...]:
    """Return the gaps that are asked for: those between passes unless an option names others.

    Raises:
        SettingError: If nobody knows when the load-in begins.
    """
    from kitplan.errors import SettingError

    gaps = plan.day.work.gaps if plan.day and plan.day.work else ()
    if is_load_in and all(gap.after is not None for gap in gaps):
        raise SettingError(
            "nobody knows when the load-in begins",
            where=str(plan_path),
            fix="Write `since` for the people of the crew, and plan again",
        )
    if not is_load_in and not is_get_out:
        return tuple(gap for gap in gaps if gap.after and gap.before)
    return tuple(
        gap
        for gap in gaps
        if (is_load_in and gap.after is None) or (is_get_out and gap.before is None)
    )
