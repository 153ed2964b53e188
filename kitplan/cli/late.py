"""`kitplan late`: a pass begins later than planned; every rig stays where it is."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.common import JsonOption, end_with_plan, print_json, writable
from kitplan.cli.packing import PlanArgument

if TYPE_CHECKING:
    from kitplan.plan.records import Plan
    from kitplan.shoot.records import Pass

MOST_MIN = 12 * 60


MinutesOption = Annotated[
    float | None,
    typer.Option(
        "--minutes",
        metavar="N",
        min=-MOST_MIN,
        max=MOST_MIN,
        help="How much later it begins; below 0 it is earlier.",
        show_default=False,
    ),
]
DownbeatOption = Annotated[
    str | None,
    typer.Option("--downbeat", metavar="HH:MM", help="Or the true downbeat.", show_default=False),
]
LatePassOption = Annotated[
    str | None,
    typer.Option(
        "--pass",
        metavar="NAME",
        help="Which pass; by default the one with the audience in, else the last.",
        show_default=False,
    ),
]


def late(
    plan_path: PlanArgument,
    minutes: MinutesOption = None,
    downbeat: DownbeatOption = None,
    pass_name: LatePassOption = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FOLDER", help="Write the plan on its new clock there."),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Put a late pass on a new clock, every rig where it stands.

    Restarts, batteries, cards, the work after it and people's calls are worked out anew; says what
    no longer holds. Exit status 1 if a must is missed.

    Example: kitplan late my-show-plan --minutes 25

    Example: kitplan late my-show-plan --downbeat 20:10 --pass show --out my-show-plan
    """
    from kitplan.paper.late import late_records, late_text
    from kitplan.paper.whole import require_whole
    from kitplan.plan.files import read_plan
    from kitplan.whatif.late import minutes_late, plan_late
    from kitplan.whatif.losses import require_one_shoot

    before = read_plan(plan_path)
    require_whole(before, str(plan_path))
    require_one_shoot(before)
    each = _pass_of(before, pass_name)
    at = _time_of(minutes, downbeat)
    shift = at if isinstance(at, float) else minutes_late(each, at)
    folder = writable(out) if out else None
    typer.echo("Working out the day on the new clock ...", err=True)
    new = plan_late(before, each.id, shift)
    if as_json:
        print_json(late_records(new))
    else:
        typer.echo(late_text(new))
    end_with_plan(new.plan, folder, next(iter(before.shoots)), is_quiet=as_json)


def _pass_of(plan: Plan, name: str | None) -> Pass:
    """Return the pass of a name or id.

    Raises:
        SettingError: If there is none, or it is over.
    """
    from kitplan.errors import SettingError
    from kitplan.paper.names import Names

    passes = [plan.pass_of(pass_id) for pass_id in Names(plan).pass_ids(name)]
    coming = [each for shoot, each in passes if not shoot.past.is_over(each.id)]
    if not coming:
        wrong = f"{passes[0][1].label} is over"
        raise SettingError(wrong, where="--pass", fix="Name a pass that is still to come")
    return next((each for each in reversed(coming) if each.has_audience), coming[-1])


def _time_of(minutes: float | None, downbeat: str | None) -> float | datetime:
    from kitplan.errors import SettingError

    if (minutes is None) == (downbeat is None):
        raise SettingError(
            "neither --minutes nor --downbeat is given" if minutes is None else "both are given",
            where="--minutes, --downbeat",
            fix="Give one of them: how much later it begins, or when",
        )
    if downbeat is None:
        assert minutes is not None
        return minutes
    try:
        return datetime.strptime(downbeat.strip(), "%H:%M")
    except ValueError as error:
        raise SettingError(
            f"{downbeat!r} is no time of day", where="--downbeat", fix="Write one such as 20:10"
        ) from error
