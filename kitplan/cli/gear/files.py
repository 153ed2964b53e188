"""`kitplan gear import, export`: gear from files and into files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from kitplan.cli.common import DbOption, inventory_path


def import_gear(
    paths: Annotated[list[Path], typer.Argument(help="YAML or CSV files, or folders of them.")],
    replace: Annotated[
        bool, typer.Option("--replace", help="Overwrite what has the same id.")
    ] = False,
    db: DbOption = None,
) -> None:
    """Add the gear that files describe; all of it, or nothing if anything is wrong.

    Example: kitplan gear import my-kit.yaml
    """
    from kitplan.gear.files import read_kit
    from kitplan.gear.records import Kit
    from kitplan.gear.store import Store

    path = inventory_path(db, writing=True)
    known = Kit.EMPTY
    if path.exists():
        with Store.open(path, writing=False) as store:
            known = store.load()
    kit = read_kit(*paths, known=known)
    with Store.open(path, writing=True) as store:
        store.save_kit(kit, replace=replace)
    typer.echo(f"Imported {len(kit.items)} items and {len(kit.units)} units into {path}.")


def export(
    path: Annotated[Path, typer.Argument(help="A .yaml file, or a folder for CSV sheets.")],
    replace: Annotated[bool, typer.Option("--replace", help="Overwrite files.")] = False,
    db: DbOption = None,
) -> None:
    """Write the inventory as one YAML file, or as a folder of CSV sheets.

    Example: kitplan gear export my-kit.yaml
    """
    from kitplan.errors import SettingError
    from kitplan.gear.files import YAML_ENDINGS, write_kit
    from kitplan.gear.sheets import write_sheets
    from kitplan.gear.store import Store

    is_yaml = path.suffix.lower() in YAML_ENDINGS
    if path.suffix and not is_yaml and not path.is_dir():
        fix = "Give a name ending in .yaml, or a folder"
        raise SettingError(f"files ending in {path.suffix} are not written", where="PATH", fix=fix)
    is_taken = path.is_file() if is_yaml else path.is_dir() and any(path.glob("*.csv"))
    if is_taken and not replace:
        fix = "Give another path, or use --replace"
        raise SettingError(f"{path} exists already", where="PATH", fix=fix)
    with Store.open(inventory_path(db), writing=False) as store:
        kit = store.load()
    if is_yaml:
        write_kit(kit, path)
    else:
        write_sheets(kit, path)
    typer.echo(f"Wrote {len(kit.items)} items and {len(kit.units)} units to {path}.")
