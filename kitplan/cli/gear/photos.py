"""Photographs of gear: paths, seen from the inventory file or from where the command runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from kitplan.cli.common import inventory_path

if TYPE_CHECKING:
    from kitplan.gear.kit import Unit


def warn_of_lost_photos(unit: Unit, db: Path | None) -> None:
    """Say which photographs of a unit are not where its record says."""
    folders = (inventory_path(db).parent, Path.cwd())
    lost = [one for one in unit.photos if not any(_is_file(at / one) for at in folders)]
    if lost:
        typer.echo(f"{unit.id}: no photograph at {', '.join(lost)}.", err=True)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):  # names that no system takes
        return False
