"""What several commands share: options, and printing as a table or as JSON.

Only typer is imported with this module; commands import what they need when they run, so that
`kitplan --help` and mistyped commands answer at once.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kitplan.paper.layout import WIDEST_TABLE, counted, table_text

if TYPE_CHECKING:
    from kitplan.plan.records import Plan

__all__ = [
    "WIDEST_TABLE",
    "ByOption",
    "ClusterOption",
    "DbOption",
    "InventoryOption",
    "JsonOption",
    "OutFileOption",
    "ProcessesOption",
    "end_unless_it_holds",
    "end_with_plan",
    "inventory_path",
    "print_json",
    "print_table",
    "table_text",
    "writable",
    "writable_file",
]

DbOption = Annotated[
    Path | None,
    typer.Option(
        "--db",
        envvar="KITPLAN_DB",
        metavar="FILE",
        help="The inventory file; by default one in your user's data folder.",
        show_default=False,
    ),
]
ByOption = Annotated[
    str | None,
    typer.Option(
        "--by",
        envvar="KITPLAN_BY",
        metavar="NAME",
        help="Who signs the change in the ledger; by default the user of this machine.",
        show_default=False,
    ),
]
InventoryOption = Annotated[
    Path | None,
    typer.Option(
        "--db",
        envvar="KITPLAN_DB",
        metavar="FILE",
        help="Plan with the inventory in this file instead of the kit that the shoot names.",
        show_default=False,
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for other programs.")]

EachSecondsOption = Annotated[
    float,
    typer.Option(
        "--seconds", metavar="N", min=0.5, max=86_400, help="How long to search per solve."
    ),
]
ProcessesOption = Annotated[
    int | None,
    typer.Option(
        "--processes",
        metavar="N",
        min=1,
        max=64,
        help="Solves at a time on this machine; same answers. By default one a core, at most 4.",
        show_default=False,
    ),
]
ClusterOption = Annotated[
    str | None,
    typer.Option(
        "--cluster",
        metavar="ADDRESS",
        help="Solve on the workers of this Dask scheduler; same answers.",
        show_default=False,
    ),
]

OutFileOption = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="FILE",
        help="Also write it for `kitplan papers`, which finds it beside the plan file by name: "
        "PLAN-schedules.json, PLAN-fallback.json, PLAN-gains.json.",
        show_default=False,
    ),
]


def inventory_path(db: Path | None, *, writing: bool = False) -> Path:
    """Return the inventory file: the option, or the user's own, whose folder is made on writing.

    Raises:
        StoreError: If that folder cannot be made.
    """
    if db is not None:
        return db
    from platformdirs import user_data_path

    from kitplan.errors import StoreError

    folder = user_data_path("kitplan", appauthor=False)
    if writing:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise StoreError(
                f"the folder cannot be made ({error.strerror or error})",
                where=str(folder),
                fix="Give another place with --db FILE",
            ) from error
    return folder / "inventory.sqlite"


def end_unless_it_holds(plan_path: Path, findings: Sequence[object], what: str) -> None:
    """Warn of what was just printed from a plan that does not hold, and end with status 1."""
    if not findings:
        return
    places = counted(len(findings), "place")
    typer.echo(
        f"{plan_path}: this plan does not hold in {places}, so its {what} may be wrong. See them "
        f"with `kitplan verify {plan_path}`.",
        err=True,
    )
    raise typer.Exit(1)


def end_with_plan(plan: Plan, folder: Path | None, name: str, *, is_quiet: bool) -> None:
    """Write a plan that came from another one where that is asked for, and say what does not hold
    in it; ends with status 1 if anything does not, or a must is missed.

    Args:
        is_quiet: Standard output belongs to other programs.
    """
    from kitplan.paper.findings import findings_text
    from kitplan.plan.files import write_plan
    from kitplan.plan.verify import verify

    if folder is not None:
        typer.echo(f"\nPlan written to {write_plan(plan, folder, name)}", err=is_quiet)
    findings = verify(plan)
    if findings:
        typer.echo(findings_text(plan, findings), err=True)
    if findings or plan.status == "musts-missed":
        raise typer.Exit(1)


def writable_file(path: Path | None) -> Path | None:
    """Return a file that can be written, its folder made if need be: known before work begins.

    Raises:
        SettingError: If it cannot.
    """
    from kitplan.errors import SettingError

    if path is None:
        return None
    if path.is_dir():
        raise SettingError(
            "it is a folder", where=str(path), fix="Name a file with --out, such as answer.json"
        )
    writable(path.parent)
    return path


def print_json(data: Any) -> None:
    """Print plain data as JSON; dates become text such as 2026-05-31."""
    typer.echo(json.dumps(data, ensure_ascii=False, indent=2, default=_as_json))


def _as_json(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no form in JSON")


def print_table(headers: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Print a plain table; its widest columns wrap so that it stays within 100 characters. Days
    are in words, as everywhere for people."""
    from kitplan.gear.days import in_words

    cells = [[in_words(cell) if isinstance(cell, date) else cell for cell in row] for row in rows]
    typer.echo(table_text(headers, cells))


def writable(folder: Path) -> Path:
    """Return a folder that can be written to, made if need be: known before work begins.

    Raises:
        SettingError: If it cannot.
    """
    from kitplan import sources

    return sources.writable(folder, "--out")
