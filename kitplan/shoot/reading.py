"""Reading a shoot file, and with its kit the brief that everything later trusts.

Nothing is half-read: either every record is right and they fit together, or one `BadInput` lists
everything that is wrong in the shoot file, in the kit and between them. Times without an offset are
those of the shoot's time zone and stay without one.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TypeVar

from kitplan.errors import BadInput, Problem, SettingError, StoreError
from kitplan.gear.history import Own
from kitplan.gear.kit import Kit
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.every import problems, shoot_problems
from kitplan.shoot.records import Shoot
from kitplan.sources import Document, build, parse_yaml, read_yaml
from kitplan.wording import file_name, nearest, shown

INVENTORY_ENDINGS = frozenset({".sqlite", ".db"})

T = TypeVar("T")


def read_shoot(path: Path) -> tuple[Shoot, Document]:
    """Return the shoot of a file, and the document that knows its line numbers.

    Every record is right for itself; whether they fit together is asked by `read_brief`.

    Raises:
        BadInput: With everything that is wrong in the file.
    """
    document = read_yaml(path)
    return build(Shoot, document), document


def read_briefs(
    paths: Sequence[Path], kit_path: Path | None = None, db: Path | None = None
) -> tuple[Brief, ...]:
    """Return shoots that share one kit, each as `read_brief` does; what one of them has booked does
    not stand in the way of another.

    Raises:
        BadInput: With everything that is wrong in any of the files and between them.
        SettingError: If two shoots have the same id, or different kits.
    """
    names = [path.stem for path in paths]
    if len(set(names)) < len(names):
        fix = "A shoot is known by the name of its file: call them differently"
        raise SettingError("two shoot files have the same name", where=names[0], fix=fix)
    titles = [read_shoot(path)[0].title for path in paths]
    own = Own(tuple(zip(names, titles, strict=True)))
    briefs = tuple(read_brief(path, kit_path, db, own=own) for path in paths)
    if any(brief.kit != briefs[0].kit for brief in briefs):
        fix = "Give one kit for both with --kit or --db, or let both files name the same one"
        raise SettingError("the shoots have different kits", where="kit", fix=fix)
    return briefs


def read_brief(
    path: Path,
    kit_path: Path | None = None,
    db: Path | None = None,
    *,
    own: Own | None = None,
    text: str | None = None,
) -> Brief:
    """Return a shoot with its kit, both checked and checked against each other.

    Args:
        kit_path: Kit file or folder; without it the inventory `db`, else the shoot's own `kit`
            (seen from the shoot file), else the user's inventory if there is one.
        own: Whose bookings and loans do not stand in its way; by default its own.
        text: Taken for what stands in the shoot file: one that is not written yet.
    Raises:
        BadInput: With everything that is wrong in any of the files and between them.
    """
    found: list[Problem] = []
    read = partial(read_yaml, path) if text is None else partial(parse_yaml, text, file_name(path))
    document = _tried(found, read)
    shoot = _tried(found, partial(build, Shoot, document)) if document else None
    if shoot is not None and document is not None:
        return brief_with(path, shoot, document, kit_path, db, own=own)
    _tried(found, partial(_read_kit, path, document, None, kit_path, db, own or Own()))
    raise BadInput(found)


def brief_with(
    path: Path,
    shoot: Shoot,
    document: Document,
    kit_path: Path | None = None,
    db: Path | None = None,
    *,
    own: Own | None = None,
) -> Brief:
    """Return a shoot that was read already with its kit; see `read_brief`.

    Raises:
        BadInput: With everything that is wrong in the kit and between them.
    """
    found: list[Problem] = []
    own = own or Own(((path.stem, shoot.title),))
    kit = _tried(found, partial(_read_kit, path, document, shoot, kit_path, db, own))
    where = (document.line_of, document.file)
    if kit is None:
        found += shoot_problems(shoot, *where)
    else:
        found += problems(Brief(shoot, kit), *where)
    if found or kit is None:
        raise BadInput(found)
    return Brief(shoot, kit)


def default_inventory() -> Path:
    """Return the path of the user's own inventory, which need not exist."""
    from platformdirs import user_data_path

    return user_data_path("kitplan", appauthor=False) / "inventory.sqlite"


def _tried(found: list[Problem], read: Callable[[], T]) -> T | None:
    """Return what a reader reads; note what it finds wrong, so that all is reported together."""
    try:
        return read()
    except BadInput as error:
        found += error.problems
    return None


def _read_kit(
    path: Path,
    document: Document | None,
    shoot: Shoot | None,
    kit_path: Path | None,
    db: Path | None,
    own: Own,
) -> Kit | None:
    """Return the kit to plan with; None where what is wrong in the shoot file hides which."""
    if kit_path is not None:
        return kit_at(kit_path, own)
    if db is not None:
        return _stored_kit(db, own)
    if document is None:
        return None
    named = shoot.kit if shoot is not None else _named_kit(document)
    if named is None:
        return _own_kit(document, own) if shoot is not None else None
    beside = path.parent / named
    if not _exists(beside):
        wrong = f"kit is {shown(named)}, and there is no such file"
        raise BadInput([Problem(document.file, document.line_of(("kit",)), wrong, _near(beside))])
    return kit_at(beside, own)


def _named_kit(document: Document) -> str | None:
    """Return the kit that a faulty shoot file names, so that faults of both come together."""
    named = document.data.get("kit") if isinstance(document.data, dict) else None
    return named if isinstance(named, str) else None


def _own_kit(document: Document, own: Own) -> Kit:
    """Return the kit of the user's inventory."""
    inventory = default_inventory()
    if inventory.exists():
        return _stored_kit(inventory, own)
    wrong = "no kit is named, and there is no inventory of yours"
    right = (
        "Add kit: with the path of a kit file, give --kit PATH or --db FILE, "
        "or list what you own with `kitplan gear add`"
    )
    raise BadInput([Problem(document.file, document.line_of(("kit",)), wrong, right)])


def kit_at(path: Path, own: Own | None = None) -> Kit:
    """Return the kit of a file, a folder of files, or an inventory.

    Args:
        own: Whose bookings and loans do not stand in its way.
    Raises:
        BadInput: If it cannot be read.
    """
    from kitplan.gear.files import read_kit

    if path.suffix.lower() in INVENTORY_ENDINGS:
        return _stored_kit(path, own or Own())
    try:
        return read_kit(path)
    except OSError as error:  # paths that no system takes, such as names of a thousand letters
        wrong = f"the kit cannot be read ({error.strerror or error})"
        raise BadInput([Problem(file_name(path), 0, wrong, "Check the path")]) from error


def _stored_kit(path: Path, own: Own) -> Kit:
    """Return the kit of an inventory as it is there for a shoot: what is lent, booked for others or
    in repair is away. What is wrong with the inventory joins the list of problems.
    """
    from kitplan.gear.store import Store

    try:
        with Store.open(path, writing=False) as store:
            return store.load_for(own)
    except StoreError as error:
        raise BadInput([Problem(error.where, 0, error.problem, error.fix)]) from error


def _exists(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:
        return False


def _near(path: Path) -> str:
    """Return the file that a misspelt path most likely meant, or what to look at."""
    try:
        names = [one.name for one in path.parent.iterdir()]
    except OSError:
        return "Check the path: it is seen from the folder of the shoot file"
    near = nearest(path.name, names)
    return f"Did you mean '{near}'?" if near else "Check the path: it is seen from the shoot file"
