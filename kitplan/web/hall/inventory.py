"""The inventory behind the page: which file it is, and who writes in it.

A shoot may also be planned with a kit from a plain file. That can be looked at, but nothing can be
signed out of it: loans are kept in an inventory only.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from kitplan.errors import SettingError
from kitplan.gear.records import Name
from kitplan.gear.store import Store
from kitplan.shoot.reading import INVENTORY_ENDINGS, default_inventory
from kitplan.sources import read_yaml
from kitplan.web.project import Project

MOST_OF_A_NAME = 80
_LINE: TypeAdapter[str] = TypeAdapter(Name)


def inventory_of(project: Project) -> Path | None:
    """Return the inventory that the shoot is planned with; None where its kit is a plain file.

    Raises:
        BadInput: If the shoot file cannot be read.
    """
    if project.kit is not None:
        return project.kit if _is_inventory(project.kit) else None
    if project.db is not None:
        return project.db
    data = read_yaml(project.shoot_path).data
    named = data.get("kit") if isinstance(data, dict) else None
    if not isinstance(named, str):
        return default_inventory()
    path = project.shoot_path.parent / named
    return path if _is_inventory(path) else None


@contextmanager
def reading(project: Project) -> Iterator[Store]:
    """Open what there is, an inventory or the kit of a plain file, to look things up.

    Raises:
        KitplanError: If it cannot be read.
    """
    path = inventory_of(project)
    if path is None:
        with Store.in_memory(project.brief().kit) as store:
            yield store
    else:
        with Store.open(path, writing=False) as store:
            yield store


@contextmanager
def writing(project: Project, who: str) -> Iterator[Store]:
    """Open the inventory to write in it.

    Args:
        who: Signs the change in the ledger.
    Raises:
        SettingError: If nobody says who it is, or the kit is a plain file.
        StoreError: If the inventory cannot be opened.
    """
    signer = line_of(who, "your name")
    path = inventory_of(project)
    if path is None:
        raise SettingError(
            "the kit of this shoot is a plain file, in which no loans are kept",
            where="the gear",
            fix="Put it into an inventory with `kitplan gear import KIT --db gear.sqlite`, and "
            "serve the shoot with `--db gear.sqlite`",
        )
    with Store.open(path, writing=path.exists(), who=signer) as store:
        yield store


def line_of(text: object, what: str, most: int = MOST_OF_A_NAME) -> str:
    """Return a name or a few words as they are written down.

    Raises:
        SettingError: If it is no line of text, or too long.
    """
    try:
        line = _LINE.validate_python(text, strict=True)
    except ValidationError as error:
        fix = "Type a few words without invisible characters"
        raise SettingError("nothing can be read there", where=what, fix=fix) from error
    if len(line) > most:
        raise SettingError("it is too long", where=what, fix=f"Use at most {most} characters")
    return line


def _is_inventory(path: Path) -> bool:
    return path.suffix.lower() in INVENTORY_ENDINGS
