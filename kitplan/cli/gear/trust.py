"""`kitplan gear log, check, backup`: whether the inventory can be relied on."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kitplan.cli.common import DbOption, JsonOption, inventory_path, print_json, print_table


def log(
    record_id: Annotated[
        str | None, typer.Argument(metavar="ID", help="Only about this item, unit or booking.")
    ] = None,
    last: Annotated[int, typer.Option("--last", metavar="N", min=1, help="So many entries.")] = 30,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """Show the ledger: who changed what, when, from what to what.

    Example: kitplan gear log zoom-24-70-1
    """
    from kitplan.gear.store import Store

    with Store.open(inventory_path(db), writing=False) as store:
        entries = store.ledger.entries(record_id=record_id, last=last)
    if as_json:
        print_json([entry.model_dump(mode="json") for entry in entries])
        return
    rows = [
        (
            entry.number,
            f"{entry.at:%Y-%m-%d %H:%M}",
            entry.who,
            entry.what,
            entry.id,
            ", ".join(f"{name} {_word(old)} -> {_word(new)}" for name, (old, new) in changes),
        )
        for entry in entries
        if (changes := _told(entry.changed, is_new=entry.before is None)) is not None
    ]
    print_table(["", "when (UTC)", "who", "what", "about", "change"], rows)


def check(as_json: JsonOption = False, db: DbOption = None) -> None:
    """Check the inventory: the file, what refers to what, the ledger against the state.

    Example: kitplan gear check
    """
    from kitplan.gear.store import Store

    path = inventory_path(db)
    with Store.open(path, writing=False) as store:
        findings = list(store.trust.findings(store.load()))
    if as_json:
        print_json(findings)
    else:
        for finding in findings:
            typer.echo(finding)
        typer.echo(f"{path}: {'all is well' if not findings else f'{len(findings)} found'}.")
    if findings:
        raise typer.Exit(1)


def backup(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="The copy, a new file.")],
    db: DbOption = None,
) -> None:
    """Copy the inventory, also while others use it; the copy is checked before it counts.

    Example: kitplan gear backup inventory-2027-05-15.sqlite
    """
    from kitplan.gear.store import Store

    with Store.open(inventory_path(db), writing=False) as store:
        store.trust.backup(path)
    typer.echo(f"Copied to {path}.")


def _told(
    changed: dict[str, tuple[object, object]], *, is_new: bool
) -> list[tuple[str, tuple[object, object]]]:
    """Return what a change is told by; of a new row only what is filled in."""
    empty = (None, "", "[]")
    return [each for each in changed.items() if not is_new or each[1][1] not in empty]


def _word(value: object) -> str:
    return "nothing" if value in (None, "") else str(value)
