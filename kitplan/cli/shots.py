"""`kitplan shots`: what each camera holds in which song."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import JsonOption, end_unless_it_holds, print_json
from kitplan.cli.packing import PlanArgument

if TYPE_CHECKING:
    from kitplan.plan.records import Plan


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
    from kitplan.paper.shots import Wanted, shots_records, shots_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.plan.verify import verify

    plan = read_plan(plan_path)
    require_whole(plan, str(plan_path))
    findings = verify(plan)
    plan = _with_sheets(plan, str(plan_path), is_sound=not findings)
    assert plan.day is not None
    assert plan.day.shots is not None
    wanted = Wanted(pass_name, camera)
    if as_json:
        print_json(shots_records(plan, plan.day.shots, wanted))
    else:
        typer.echo(shots_text(plan, plan.day.shots, wanted))
    end_unless_it_holds(plan_path, findings, "sheets")


def _with_sheets(plan: Plan, where: str, *, is_sound: bool) -> Plan:
    """Return the plan with shot sheets: one made before there were any gets them now.

    Raises:
        PlanFileError: If it has none and does not hold, so that none can be made.
    """
    from kitplan.errors import PlanFileError
    from kitplan.produce.day import with_shots

    if plan.day is not None and plan.day.shots is not None:
        return plan
    if not is_sound:
        fix = f"See what is wrong with `kitplan verify {where}`"
        raise PlanFileError("it has no shot sheets and does not hold", where=where, fix=fix)
    return with_shots(plan)
