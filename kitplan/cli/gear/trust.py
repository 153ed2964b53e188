"""`kitplan gear log, check, backup`: whether the inventory can be relied on."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kitplan.cli.common import DbOption, JsonOption, inventory_path, print_json


def log(
    record_id: Annotated[
        str | None, typer.Argument(metavar="[ID]", help="Only about this item, unit or booking.")
    ] = None,
    first_day: Annotated[
        str | None,
        typer.Option("--from", metavar="DATE", help="From this day on.", show_default=False),
    ] = None,
    last_day: Annotated[
        str | None,
        typer.Option("--until", metavar="DATE", help="Up to this day.", show_default=False),
    ] = None,
    who: Annotated[
        str | None, typer.Option("--by", metavar="NAME", help="Only what this person did.")
    ] = None,
    last: Annotated[int, typer.Option("--last", metavar="N", min=1, help="So many changes.")] = 30,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """Show the ledger: who did what, when, to which things, from what to what.

    Example: kitplan gear log zoom-24-70-1 --from 2027-05-01
    """
    from kitplan.cli.gear.asked import bounds
    from kitplan.gear.store import Store
    from kitplan.paper.ledger import log_text

    begins, ends = bounds(first_day, last_day)
    with Store.open(inventory_path(db), writing=False) as store:
        changes = store.ledger.changes(
            record_id=record_id, who=who, begins=begins, ends=ends, last=last
        )
        if record_id is not None and not store.ledger.changes(record_id=record_id, last=1):
            store.find(record_id)  # what never was is a slip, not a thing without a history
    if as_json:
        print_json([entry.model_dump(mode="json") for each in changes for entry in each.entries])
    else:
        typer.echo(log_text(changes))


def check(
    rebuild: Annotated[
        Path | None,
        typer.Option(
            "--rebuild",
            metavar="FILE",
            help="Write a new inventory as the ledger alone tells it, and check that.",
            show_default=False,
        ),
    ] = None,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """Check the inventory: the file, what refers to what, the ledger against the state.

    Exit status 1 where anything is wrong. --rebuild helps where the state is damaged and the ledger
    is not.

    Example: kitplan gear check --rebuild inventory-anew.sqlite
    """
    from kitplan.gear.store import Store

    path = inventory_path(db)
    if rebuild is not None:
        with Store.open(path, writing=False) as store:
            store.trust.rebuild(rebuild)
        path = rebuild
    findings = _findings(path)
    if as_json:
        print_json(findings)
    else:
        for finding in findings:
            typer.echo(finding)
        made = "rebuilt from the ledger, " if rebuild else ""
        typer.echo(f"{path}: {made}{'all is well' if not findings else f'{len(findings)} found'}.")
    if findings:
        raise typer.Exit(1)


def _findings(path: Path) -> list[str]:
    """Return all that is wrong with an inventory, what cannot be read included."""
    from kitplan.errors import StoreError
    from kitplan.gear.kit import Kit
    from kitplan.gear.store import Store

    with Store.open(path, writing=False) as store:
        try:
            kit, found = store.load(), []
        except StoreError as error:
            kit, found = Kit.EMPTY, [str(error)]
        return [*found, *store.trust.findings(kit)]


def backup(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="The copy, a new file.")],
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """Copy the inventory, also while others use it; the copy is checked before it counts.

    Example: kitplan gear backup inventory-2027-05-15.sqlite
    """
    from kitplan.gear.store import Store

    with Store.open(inventory_path(db), writing=False) as store:
        store.trust.backup(path)
    if as_json:
        print_json({"path": str(path)})
    else:
        typer.echo(f"Copied to {path}.")
