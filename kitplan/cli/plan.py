"""`kitplan plan` and `kitplan demo`: solve, check, write the plan, say what it promises."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.alternatives import AlternativesOption
from kitplan.cli.check import KitOption
from kitplan.cli.common import InventoryOption, writable
from kitplan.cli.locked import KeepOption, NeverOption, locked

if TYPE_CHECKING:
    from collections.abc import Collection

    from kitplan.allocate.search import Limits
    from kitplan.plan.pool import Way
    from kitplan.plan.records import Plan
    from kitplan.produce.solve import Solved
    from kitplan.produce.whole import Written
    from kitplan.shoot.brief import Brief
    from kitplan.shoot.nogoods import NoGood

SecondsOption = Annotated[
    float, typer.Option("--seconds", metavar="N", min=0.5, max=86_400, help="How long to search.")
]
SeedOption = Annotated[
    int, typer.Option("--seed", metavar="N", min=0, max=2**31 - 1, help="Start of chance.")
]
WorkersOption = Annotated[
    int | None,
    typer.Option(
        "--workers",
        metavar="N",
        min=1,
        max=64,
        help="Threads; with 1 the same seed gives the same plan. By default as many as suit the "
        "machine, 2 to 8.",
        show_default=False,
    ),
]
DetailOption = Annotated[
    bool, typer.Option("--detail", help="Add goals with proof or gap, what is left at home.")
]
LeaveOutOption = Annotated[
    list[str] | None,
    typer.Option(
        "--leave-out",
        metavar="PART",
        help="A part of the day that is not worked out: shots, restarts, sound, power, media, "
        "reset, cases, or all of them: day. May be given several times.",
        show_default=False,
    ),
]
PlanJsonOption = Annotated[bool, typer.Option("--json", help="Print the plan as JSON instead.")]


ShootsArgument = Annotated[
    list[Path],
    typer.Argument(
        metavar="SHOOT [SHOOT]", help="The shoot file; or two that share a kit.", show_default=False
    ),
]


def plan(
    shoot_paths: ShootsArgument,
    kit: KitOption = None,
    db: InventoryOption = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FOLDER", help="Where the plan goes; by default SHOOT-plan."),
    ] = None,
    seconds: SecondsOption = 60.0,
    seed: SeedOption = 1,
    workers: WorkersOption = None,
    alternatives: AlternativesOption = None,
    leave_out: LeaveOutOption = None,
    keep: KeepOption = None,
    never: NeverOption = None,
    as_json: PlanJsonOption = False,
    is_detailed: DetailOption = False,
    is_balanced: Annotated[
        bool,
        typer.Option(
            "--balanced", help="Of two shoots none comes first; else the first one named does."
        ),
    ] = False,
) -> None:
    """Plan a shoot: search, work out the day, check, write, sum up.

    Where the work between two passes does not fit, plans again without what was too much. Then
    looks for other plans as good, each as different as possible in where cameras stand, and writes
    each into a folder of its own inside the plan's. Ctrl-C stops the search and keeps the best plan
    so far, and the alternatives that are done. Exit status 1 if a must is missed, or the work
    between passes does not fit.

    Two shoots are planned from one pool: what both could have on the same days is divided so that
    the first one is as good as alone and the second as good as can be then, or with --balanced so
    that both have their share. Each gets a plan of its own.

    With --keep and --never cameras are fixed by hand, beside the locks of the shoot file.

    Example: kitplan plan my-show.yaml --seconds 120

    Example: kitplan plan my-show.yaml --keep position=jib-spot,pass=show --never person=ben

    Example: kitplan plan my-show.yaml other-show.yaml --balanced
    """
    from kitplan.cli.day import left_out
    from kitplan.produce.whole import Written
    from kitplan.shoot.reading import read_brief

    if len(shoot_paths) > 1 or is_balanced:
        from kitplan.cli.pool import Asked, plan_pool

        _refuse_locks(keep, never)

        way: Way = "balanced" if is_balanced else "in-order"
        limits = limits_of(seconds, seed, workers)
        asked = Asked(shoot_paths, kit, db, out, limits, left_out(leave_out), way, alternatives)
        plan_pool(asked, as_json=as_json, is_detailed=is_detailed)
        return
    (shoot_path,) = shoot_paths
    brief = locked(read_brief(shoot_path, kit, db), keep, never)
    name = shoot_path.stem
    folder = writable(out or Path(f"{name}-plan"))
    parts = left_out(leave_out)
    answer = _solve(brief, name, seconds=seconds, seed=seed, workers=workers, leave_out=parts)
    written = Written(answer, folder, name)
    if not as_json:
        print_summary(answer.plan, is_detailed=is_detailed)
    _look_further(written, alternatives)
    if as_json:
        typer.echo(_as_json(written))
        typer.echo(f"Plan written to {written.path}", err=True)
    else:
        _print_alternatives(written, has_table=is_detailed or alternatives is not None)
        _print_paths(written)
    _end(written)


def _refuse_locks(keep: list[str] | None, never: list[str] | None) -> None:
    """Of two shoots nobody could tell which one a lock is for.

    Raises:
        SettingError: If there is one.
    """
    from kitplan.errors import SettingError

    if keep or never:
        fix = "Write them under locks: of the shoot file that they are for"
        raise SettingError("locks are for one shoot", where="--keep, --never", fix=fix)


def demo(
    shoot: Annotated[
        str, typer.Option("--shoot", metavar="NAME", help="Another of the shoots that come along.")
    ] = "depot-brass",
    out: Annotated[
        Path, typer.Option("--out", metavar="FOLDER", help="Where the plan goes.")
    ] = Path("kitplan-demo"),
    seconds: SecondsOption = 20.0,
    alternatives: AlternativesOption = None,
    is_detailed: DetailOption = False,
) -> None:
    """Plan an invented evening; nothing to set up.

    Prints the summary, the packing list of each pass and a line on each alternative, and writes
    the plans.

    Example: kitplan demo

    Example: kitplan demo --shoot school-dance --seconds 10
    """
    from kitplan.paper.packing import packing
    from kitplan.produce.whole import Written
    from kitplan.shoot.reading import read_brief

    source = _bundled(shoot)
    brief = read_brief(source)
    folder = writable(out)
    answer = _solve(brief, source.stem, seconds=seconds)
    written = Written(answer, folder, source.stem)
    print_summary(answer.plan, is_detailed=is_detailed)
    _look_further(written, alternatives)
    _print_alternatives(written, has_table=is_detailed or alternatives is not None)
    typer.echo(f"\n{packing(answer.plan)}")
    _print_paths(written)
    typer.echo(f"The shoot file to copy and change: {source}")
    _end(written)


def _solve(
    brief: Brief,
    shoot_id: str,
    *,
    seconds: float,
    seed: int = 1,
    workers: int | None = None,
    leave_out: Collection[str] = (),
) -> Solved:
    """Return the best plan with its day and what it was found with, with progress on stderr.

    Raises:
        NoPlanInTime: If there is none in that time.
    """
    from kitplan.cli.day import add_day
    from kitplan.cli.progress import searching
    from kitplan.produce.whole import solved_whole

    solved = solved_whole(
        brief,
        shoot_id,
        limits_of(seconds, seed, workers),
        searching=searching,
        tell_again=tell_again,
        add_day=add_day(leave_out),
        has_work="reset" not in leave_out,
    )
    if solved.plan.status == "stopped-early":
        typer.echo("stopped early; best plan so far", err=True)
    return solved


def limits_of(seconds: float, seed: int, workers: int | None) -> Limits:
    """Return how long to search and how."""
    from kitplan.allocate.search import Limits
    from kitplan.allocate.solver import usual_workers

    return Limits(seconds=seconds, seed=seed, workers=workers or usual_workers())


def tell_again(no_good: NoGood) -> None:
    """Say on stderr what did not fit and is planned anew."""
    typer.echo(f"The work between passes does not fit: {no_good.words} Planning again.", err=True)


def _bundled(name: str) -> Path:
    """Return the path of a bundled shoot.

    Raises:
        SettingError: If there is none of that name.
    """
    from kitplan.errors import SettingError
    from kitplan.tables import folder
    from kitplan.wording import hint

    known = {path.stem: path for path in folder("scenarios").glob("*.yaml")}
    if name not in known:
        fix = hint(name, known)
        raise SettingError(f"there is no bundled shoot {name!r}", where="--shoot", fix=fix)
    return known[name]


def print_summary(made: Plan, *, is_detailed: bool) -> None:
    """Print a plan on a page."""
    from kitplan.paper.summary import summary

    typer.echo(summary(made, is_detailed=is_detailed))


def _look_further(written: Written, number: int | None) -> None:
    """Look for a number of alternatives, or the usual one, check and write them."""
    from kitplan.cli.alternatives import looked_for
    from kitplan.produce.alternatives import USUAL

    if number is None:
        number = USUAL
    if number:
        written.add(looked_for(written.solved, number))


def _as_json(written: Written) -> str:
    """Return the plan as JSON; where others were looked for, they stand beside its own keys."""
    from kitplan.paper.alternatives import alternatives_records

    made = written.solved.plan
    if written.alternatives is None:
        return made.model_dump_json(indent=1, by_alias=True)
    data = made.model_dump(mode="json", by_alias=True)
    data["alternatives"] = alternatives_records(written.alternatives, written.beside)
    return json.dumps(data, ensure_ascii=False, indent=1)


def _print_alternatives(written: Written, *, has_table: bool) -> None:
    """Print what there is beside the plan, if it was looked for."""
    from kitplan.paper.alternatives import alternatives_text

    if written.alternatives is not None:
        typer.echo(f"\n{alternatives_text(written.alternatives, has_table=has_table)}")


def _print_paths(written: Written) -> None:
    """Print where all of it was written, and what can be done with it."""
    typer.echo(f"\nPlan written to {written.path}")
    for number, path in enumerate(written.beside, 1):
        typer.echo(f"Alternative {number} written to {path}")
    typer.echo(f"Packing lists: kitplan packing {written.path}")
    typer.echo(f"Floor plans and frames: kitplan draw {written.path}")
    typer.echo(
        "The day: kitplan shots, coverage, restarts, reset, power, media, sound, cases, line-up"
    )


def _end(written: Written) -> None:
    """Say what the check found; end with status 1 where a must is missed or it found any."""
    from kitplan.paper.findings import findings_text

    for which, made, findings in written.faulty:
        typer.echo(f"{which}{findings_text(made, findings)}", err=True)
    if not written.is_fine:
        raise typer.Exit(1)
