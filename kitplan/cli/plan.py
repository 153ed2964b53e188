"""`kitplan plan` and `kitplan demo`: solve, check, write the plan, say what it promises."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from kitplan.cli.check import KitOption, ShootArgument
from kitplan.cli.common import InventoryOption, writable

if TYPE_CHECKING:
    from kitplan.plan.records import Plan
    from kitplan.plan.verify import Finding
    from kitplan.shoot.brief import Brief

logger = logging.getLogger("kitplan")

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
        "machine, 4 to 8.",
        show_default=False,
    ),
]
DetailOption = Annotated[
    bool, typer.Option("--detail", help="Add goals with proof or gap, what is left at home.")
]
PlanJsonOption = Annotated[bool, typer.Option("--json", help="Print the plan as JSON instead.")]


def plan(
    shoot_path: ShootArgument,
    kit: KitOption = None,
    db: InventoryOption = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="FOLDER", help="Where the plan goes; by default SHOOT-plan."),
    ] = None,
    seconds: SecondsOption = 60.0,
    seed: SeedOption = 1,
    workers: WorkersOption = None,
    as_json: PlanJsonOption = False,
    is_detailed: DetailOption = False,
) -> None:
    """Plan a shoot: search, check, write, sum up.

    Ctrl-C stops the search and keeps the best plan so far. Exit status 1 if a must is missed.

    Example: kitplan plan my-show.yaml --seconds 120
    """
    from kitplan.shoot.reading import read_brief

    brief = read_brief(shoot_path, kit, db)
    folder = writable(out or Path(f"{shoot_path.stem}-plan"))
    made = solved(brief, shoot_path.stem, seconds=seconds, seed=seed, workers=workers)
    path, findings = _checked_and_written(made, folder, shoot_path.stem)
    if as_json:
        typer.echo(made.model_dump_json(indent=1, by_alias=True))
        typer.echo(f"Plan written to {path}", err=True)
    else:
        _print_summary(made, is_detailed=is_detailed)
        _print_path(path)
    _end(made, findings)


def demo(
    shoot: Annotated[
        str, typer.Option("--shoot", metavar="NAME", help="Another of the shoots that come along.")
    ] = "depot-brass",
    out: Annotated[
        Path, typer.Option("--out", metavar="FOLDER", help="Where the plan goes.")
    ] = Path("kitplan-demo"),
    seconds: SecondsOption = 20.0,
    is_detailed: DetailOption = False,
) -> None:
    """Plan an invented evening; nothing to set up.

    Prints the summary and the packing list of each pass, and writes the plan.

    Example: kitplan demo

    Example: kitplan demo --shoot school-dance --seconds 10
    """
    from kitplan.paper.packing import packing
    from kitplan.shoot.reading import read_brief

    source = _bundled(shoot)
    brief = read_brief(source)
    folder = writable(out)
    made = solved(brief, source.stem, seconds=seconds)
    path, findings = _checked_and_written(made, folder, source.stem)
    _print_summary(made, is_detailed=is_detailed)
    typer.echo(f"\n{packing(made)}\n")
    _print_path(path)
    typer.echo(f"The shoot file to copy and change: {source}")
    _end(made, findings)


def solved(
    brief: Brief,
    shoot_id: str,
    *,
    seconds: float,
    seed: int = 1,
    workers: int | None = None,
    what: str = "Planning",
) -> Plan:
    """Return the best plan, with progress on stderr.

    Raises:
        NoPlanInTime: If there is none in that time.
    """
    from kitplan.allocate.search import Limits
    from kitplan.allocate.solver import usual_workers
    from kitplan.cli.progress import Progress
    from kitplan.produce.solve import plan_shoot

    limits = Limits(seconds=seconds, seed=seed, workers=workers or usual_workers())
    logger.info("planning %s: %g s, seed %d, workers %d", shoot_id, seconds, seed, limits.workers)
    with Progress(what) as progress:
        made = plan_shoot(brief, shoot_id=shoot_id, limits=limits, tell=progress.tell)
    if made.status == "stopped-early":
        typer.echo("stopped early; best plan so far", err=True)
    return made


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


def _checked_and_written(made: Plan, folder: Path, name: str) -> tuple[Path, tuple[Finding, ...]]:
    from kitplan.plan.files import write_plan
    from kitplan.plan.verify import verify

    findings = verify(made)
    logger.info("the check found %d faults", len(findings))
    return write_plan(made, folder, name), findings


def _print_summary(made: Plan, *, is_detailed: bool) -> None:
    from kitplan.paper.summary import summary

    typer.echo(summary(made, is_detailed=is_detailed))


def _print_path(path: Path) -> None:
    typer.echo(f"\nPlan written to {path}")
    typer.echo(f"Packing lists: kitplan packing {path}")
    typer.echo(f"Floor plans and frames: kitplan draw {path}")


def _end(made: Plan, findings: tuple[Finding, ...]) -> None:
    """Say what the check found, and end with status 1 where a must is missed or it found any."""
    from kitplan.paper.findings import findings_text

    if findings:
        typer.echo(findings_text(made, findings), err=True)
    if findings or made.status == "musts-missed":
        raise typer.Exit(1)
