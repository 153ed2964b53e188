"""`kitplan labels`: sheets of adhesive labels with codes, for what a plan takes or a kit holds."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from kitplan.cli.common import (
    DbOption,
    JsonOption,
    end_unless_it_holds,
    inventory_path,
    print_json,
)
from kitplan.paper.layout import counted

if TYPE_CHECKING:
    from kitplan.gear.kit import Kit
    from kitplan.paper.pack.labels.contents import Label
    from kitplan.paper.pack.labels.layout import Drawn
    from kitplan.paper.pack.labels.stock import Stock

YAML_ENDINGS = (".yaml", ".yml")
MM_MOST = 200.0


SourceArgument = Annotated[
    Path | None,
    typer.Argument(
        metavar="PLAN|KIT",
        help="A plan (file or folder), a kit (file, folder or inventory) or a shoot file; "
        "without one your inventory.",
        show_default=False,
    ),
]
WhatOption = Annotated[
    str, typer.Option("--what", metavar="KINDS", help="Which: units,cases,batteries,cards.")
]
SizeOption = Annotated[
    str | None,
    typer.Option(
        "--size",
        metavar="SIZE",
        help="Width x height in mm (63.5x38.1), or a common sheet (a4-21, letter-30).",
        show_default=False,
    ),
]
PaperOption = Annotated[
    Literal["a4", "letter"] | None,
    typer.Option("--paper", help="Size of the sheets.", show_default=False),
]
MarginOption = Annotated[
    float | None,
    typer.Option(
        "--margin",
        metavar="MM",
        min=0.0,
        max=MM_MOST,
        help="Free on every side of a sheet, at least.",
        show_default=False,
    ),
]
GapOption = Annotated[
    float | None,
    typer.Option(
        "--gap", metavar="MM", min=0.0, max=MM_MOST, help="Between labels.", show_default=False
    ),
]
SkipOption = Annotated[
    int, typer.Option("--skip", metavar="N", min=0, help="Labels gone from a started sheet.")
]
AddressOption = Annotated[
    str | None,
    typer.Option(
        "--address",
        metavar="URL",
        help="Of `kitplan serve --lan`: a phone's camera opens the page of the unit.",
        show_default=False,
    ),
]
OutOption = Annotated[
    Path | None,
    typer.Option("--out", metavar="FILE", help="The PDF to write.", show_default=False),
]


def labels(
    source: SourceArgument = None,
    what: WhatOption = "units,cases,batteries,cards",
    size: SizeOption = None,
    paper: PaperOption = None,
    margin_mm: MarginOption = None,
    gap_mm: GapOption = None,
    skip: SkipOption = 0,
    address: AddressOption = None,
    out: OutOption = None,
    db: DbOption = None,
    as_json: JsonOption = False,
) -> None:
    """Print sheets of labels: code, id, name, owner, camera letter.

    The letter stands on bodies, cards and batteries where a plan gives them to one camera.

    Example: kitplan labels my-show-plan --what cards,batteries --size 38.1x21.2 --skip 12

    Example: kitplan labels my-kit.yaml --size 50x25 --gap 2 --margin 8

    Example: kitplan labels my-show-plan --address http://192.168.1.20:8047
    """
    from dataclasses import replace

    from kitplan.paper.pack.labels.codes import address_of
    from kitplan.paper.pack.labels.layout import drawn
    from kitplan.paper.pack.labels.stock import stock_of
    from kitplan.paper.pack.out.labels import labels_pdf

    whats = _whats(what)
    stock = stock_of(size, paper, margin_mm, gap_mm)
    _check_skip(skip, stock)
    page = "" if address is None else address_of(address)
    found, title, findings = _labels(source, db, whats)
    done = drawn(tuple(replace(label, address=page) for label in found), stock)
    path = _written(
        out or Path(f"{source.stem if source else 'inventory'}-labels.pdf"),
        labels_pdf(done, stock, skip=skip, title=title),
    )
    if as_json:
        print_json(_records(path, done, stock, skip))
    else:
        typer.echo(_said(path, len(done), stock, skip))
    if source is not None:
        end_unless_it_holds(source, findings, "labels")


def _said(path: Path, number: int, stock: Stock, skip: int) -> str:
    """Return what was written, and how to print it."""
    sheets = -(-(skip + number) // stock.per_page)
    return (
        f"{counted(number, 'label')} of {stock.width_mm:g} x {stock.height_mm:g} mm on "
        f"{counted(sheets, 'sheet')} ({stock.columns} x {stock.rows}, {stock.name}) written to "
        f"{path}\n"
        "Print at full size (100 %), first on plain paper, and hold it against a sheet."
    )


def _whats(words: str) -> tuple[str, ...]:
    """Return the kinds of labels that are asked for.

    Raises:
        SettingError: If there is no such kind.
    """
    from kitplan.errors import SettingError
    from kitplan.paper.pack.labels.contents import WHATS
    from kitplan.wording import hint

    asked = tuple(part.strip() for part in words.split(",") if part.strip())
    for part in asked or (words,):
        if part not in WHATS:
            wrong = f"there are no labels for {part!r}"
            raise SettingError(wrong, where="--what", fix=hint(part, WHATS))
    return asked


def _check_skip(skip: int, stock: Stock) -> None:
    """Refuse to leave out a whole sheet.

    Raises:
        SettingError: If none would be left on it.
    """
    from kitplan.errors import SettingError

    if skip >= stock.per_page:
        raise SettingError(
            f"{skip} labels are more than a started sheet can lack",
            where="--skip",
            fix=f"It has {stock.per_page}: give at most {stock.per_page - 1}",
        )


def _labels(
    source: Path | None, db: Path | None, whats: tuple[str, ...]
) -> tuple[tuple[Label, ...], str, tuple[object, ...]]:
    """Return the labels, a title for the file, and what does not hold in the plan.

    Raises:
        SettingError: If there is nothing to label.
        BadInput, PlanFileError, StoreError: If the source cannot be read.
    """
    from kitplan.cli.day import read_with
    from kitplan.errors import SettingError
    from kitplan.paper.pack.labels.contents import labels_of_kit, labels_of_plan

    findings: tuple[object, ...] = ()
    if source is not None and _is_plan(source):
        plan, findings = read_with(source, None)
        found, title = labels_of_plan(plan, whats), plan.title
    else:
        kit, people = _kit(source, db)
        found, title = labels_of_kit(kit, whats, people), "Labels"
    if not found:
        raise SettingError(
            f"there is nothing to label among {', '.join(whats)}",
            where=str(source or "inventory"),
            fix="Ask for other kinds with --what",
        )
    return found, title, findings


def _is_plan(source: Path) -> bool:
    """Whether a path is that of a plan: a JSON file, or a folder with one."""
    if source.is_dir():
        return any(source.glob("*.json"))
    return source.suffix.lower() == ".json"


def _kit(source: Path | None, db: Path | None) -> tuple[Kit, dict[str, str]]:
    """Return the kit of a kit file, a folder of them, an inventory or a shoot file, and the names
    of people where a shoot tells them.
    """
    from kitplan.gear.files import read_kit
    from kitplan.gear.store import Store
    from kitplan.shoot.reading import INVENTORY_ENDINGS, read_brief

    if source is None or source.suffix.lower() in INVENTORY_ENDINGS:
        with Store.open(source or inventory_path(db), writing=False) as store:
            return store.load(), {}
    if _is_shoot(source):
        brief = read_brief(source, None, db)
        return brief.kit, {person.id: person.label for person in brief.shoot.crew}
    return read_kit(source), {}


def _is_shoot(source: Path) -> bool:
    """Whether a YAML file is that of a shoot: it has a venue, which no kit has."""
    from kitplan.sources import read_yaml

    if source.suffix.lower() not in YAML_ENDINGS or source.is_dir():
        return False
    data = read_yaml(source).data
    return isinstance(data, dict) and bool({"venue", "passes", "songs"} & set(data))


def _records(path: Path, done: tuple[Drawn, ...], stock: Stock, skip: int) -> dict[str, Any]:
    """Return what was written as plain data: each label with its code and place."""
    from dataclasses import asdict

    from kitplan.paper.pack.labels.codes import code_of

    return {
        "file": str(path),
        "sheet": asdict(stock),
        "labels": [
            asdict(one.label)
            | {
                "code": code_of(one.label.unit, one.label.address),
                "module_mm": round(one.module_mm, 3),
            }
            | {"page": page + 1, "x_mm": round(x_mm, 3), "y_mm": round(y_mm, 3)}
            for number, one in enumerate(done, skip)
            for page, x_mm, y_mm in (stock.place(number),)
        ],
    }


def _written(path: Path, content: bytes) -> Path:
    """Write a file, never half of it, and return its path.

    Raises:
        SettingError: If it cannot be written.
    """
    from kitplan.errors import SettingError

    part = path.with_name(f"{path.name}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(content)
        part.replace(path)
    except OSError as error:
        raise SettingError(
            f"the labels cannot be written ({error.strerror or error})",
            where=str(path),
            fix="Choose another file with --out",
        ) from error
    return path
