"""What several commands share: options, and printing as a table or as JSON.

Only typer is imported with this module; commands import what they need when they run, so that
`kitplan --help` and mistyped commands answer at once.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

WIDEST_TABLE = 100

DbOption = Annotated[
    Path | None,
    typer.Option(
        "--db",
        envvar="KITPLAN_DB",
        help="The inventory file; by default one in your user's data folder.",
        show_default=False,
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for other programs.")]


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


def print_json(data: Any) -> None:
    """Print plain data as JSON; dates become text such as 2026-05-31."""
    typer.echo(json.dumps(data, ensure_ascii=False, indent=2, default=_as_json))


def _as_json(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"{type(value).__name__} has no form in JSON")


def print_table(headers: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Print a plain table; its widest columns wrap so that it stays within 100 characters."""
    typer.echo(table_text(headers, rows))


def table_text(headers: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Return a plain table of at most 100 characters a line."""
    from tabulate import tabulate

    cells = [["" if cell is None else _cell(cell) for cell in row] for row in rows]
    widths = (
        [
            max(len(line) for text in (header, *column) for line in (text.splitlines() or [""]))
            for header, column in zip(headers, zip(*cells, strict=True), strict=True)
        ]
        if cells
        else []
    )
    gaps = 2 * (len(widths) - 1)
    while sum(widths) + gaps > WIDEST_TABLE:
        widths[widths.index(max(widths))] -= 1
    return tabulate(
        cells,
        headers=list(headers),
        tablefmt="simple",
        disable_numparse=True,
        maxcolwidths=widths or None,
    )


def _cell(value: object) -> str:
    """Return a value as a reader expects it in a table."""
    match value:
        case bool():
            return "yes" if value else "no"
        case float():
            return f"{value:.10g}"
        case list() | tuple():
            return ", ".join(map(_cell, value))
        case _:
            return str(value)
