"""`kitplan gear import, export`: gear from files and into files."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from kitplan.cli.common import ByOption, DbOption, JsonOption, inventory_path, print_json
from kitplan.paper.layout import counted

if TYPE_CHECKING:
    from kitplan.gear.changes import Change
    from kitplan.gear.intake.reading import Intake, Wishes
    from kitplan.gear.kit import Kit

MOST_SHOWN = 40
"""Changes that a dry run prints; all of them with --json."""


PathsArgument = Annotated[
    list[Path], typer.Argument(help="Spreadsheets (XLSX, CSV), YAML files, or folders of them.")
]
ColumnsOption = Annotated[
    Path | None,
    typer.Option(
        "--columns",
        metavar="FILE",
        help="YAML that says what your columns mean: 'Their title: mass_kg in g'.",
        show_default=False,
    ),
]
SheetsOption = Annotated[
    list[str] | None,
    typer.Option("--sheet", metavar="NAME", help="Only this sheet; may be given many times."),
]
KindOption = Annotated[str | None, typer.Option("--kind", help="The kind of rows that do not say.")]
OwnerOption = Annotated[
    str | None, typer.Option("--owner", help="Whose it is where a row does not say.")
]
MoreOption = Annotated[
    bool, typer.Option("--more", help="Add further units of items that are there already.")
]
ReplaceOption = Annotated[
    bool, typer.Option("--replace", help="Overwrite what has the same id, name or serial.")
]
SkipBadOption = Annotated[
    bool, typer.Option("--skip-bad", help="Leave out rows that cannot be read.")
]
BadRowsOption = Annotated[
    Path | None,
    typer.Option(
        "--bad-rows",
        metavar="FILE",
        help="Write the rows that cannot be read to a CSV file, to be mended.",
        show_default=False,
    ),
]
DryRunOption = Annotated[
    bool, typer.Option("--dry-run", help="Only show what would be added or changed.")
]


def import_gear(
    paths: PathsArgument,
    columns: ColumnsOption = None,
    sheets: SheetsOption = None,
    kind: KindOption = None,
    owner: OwnerOption = None,
    more: MoreOption = False,
    replace: ReplaceOption = False,
    skip_bad: SkipBadOption = False,
    bad_rows: BadRowsOption = None,
    dry_run: DryRunOption = False,
    as_json: JsonOption = False,
    by: ByOption = None,
    db: DbOption = None,
) -> None:
    """Add the gear that files describe; all of it, or nothing if anything is wrong.

    A spreadsheet of your own is read by what its columns are called: name, serial no, belongs to,
    weight (g), focal length, qty ... Facts that it does not say are guessed on the careful side and
    listed as `to_ask`; `kitplan gear ask` goes through them.

    Example: kitplan gear import our-kit.xlsx --dry-run

    Example: kitplan gear import our-kit.xlsx --skip-bad --bad-rows to-mend.csv --owner Ana
    """
    from kitplan.gear.kit import Kit
    from kitplan.gear.store import Store

    wishes = _wishes(columns, sheets, kind, owner, more, replace)
    path = inventory_path(db, writing=not dry_run)
    known = Kit.EMPTY
    if path.exists():
        with Store.open(path, writing=False) as store:
            known = store.load()
    found = _read(paths, known, wishes, is_mapped=columns is not None)
    if bad_rows is not None and found.bad_rows:
        from kitplan.gear.intake.reading import write_bad_rows

        write_bad_rows(found.bad_rows, bad_rows)
    _refuse_what_is_wrong(found, skips_bad=skip_bad)
    changes = _changes(found.kit, known)
    if not dry_run:
        with Store.open(path, writing=True, who=by or "") as store:
            store.save_kit(_new_of(found.kit, known) if more else found.kit, replace=replace)
    elif not replace and not more:
        _refuse_taken(changes)
    if as_json:
        print_json(_as_json(found, changes, is_written=not dry_run))
    else:
        _tell(found, changes, path, dry_run)


def _number(kit: Kit) -> str:
    return f"{counted(len(kit.items), 'item')} and {counted(len(kit.units), 'unit')}"


def _new_of(kit: Kit, known: Kit) -> Kit:
    """Return the kit without the items that are in the inventory already."""
    items = tuple(item for item in kit.items if item.id not in known.items_by_id)
    return kit.model_copy(update={"items": items})


def _wishes(
    columns: Path | None,
    sheets: Sequence[str] | None,
    kind: str | None,
    owner: str | None,
    more: bool,
    replace: bool,
) -> Wishes:
    """Return the options as one record.

    Raises:
        SettingError: If two of them exclude each other.
        BadInput: If the file of columns is wrong.
    """
    from kitplan.cli.gear.keeping import known_kind
    from kitplan.errors import SettingError
    from kitplan.gear.intake.columns import read_meanings
    from kitplan.gear.intake.reading import Wishes
    from kitplan.gear.intake.things import Manner

    if more and replace:
        fix = "Use --more for further units, --replace for new facts of the same ones"
        raise SettingError("--more and --replace are given", where="import", fix=fix)
    if kind is not None:
        known_kind(kind)
    manner: Manner = "replace" if replace else "more" if more else "new"
    meanings = read_meanings(columns) if columns is not None else {}
    return Wishes(meanings, tuple(sheets or ()), kind, owner, manner)


def _read(paths: Sequence[Path], known: Kit, wishes: Wishes, *, is_mapped: bool) -> Intake:
    """Return the gear of all files: YAML and sheets in the exact form as they are, other tables by
    what their columns are called.

    Raises:
        BadInput: If a file, or anything in the exact form, is wrong.
    """
    from kitplan.errors import BadInput
    from kitplan.gear.files import Files, read_sorted, sorted_files
    from kitplan.gear.intake.columns import is_exact
    from kitplan.gear.intake.reading import read_lists, with_kit

    files = sorted_files(*paths)
    lists = [grid for grid in files.grids if is_mapped or not is_exact(grid)]
    exact = tuple(grid for grid in files.grids if grid not in lists)
    kit = read_sorted(Files(files.yaml, exact, files.problems), known)
    if not lists:
        if not files.yaml and not exact:
            from kitplan.errors import Problem

            where = ", ".join(map(str, paths))
            right = "Give a file with at least a header and one row"
            raise BadInput([Problem(where, 0, "there is nothing in it", right)])
        return with_kit(None, kit)
    return with_kit(read_lists(lists, _together(known, kit), wishes), kit)


def _together(known: Kit, kit: Kit) -> Kit:
    from kitplan.gear.kit import Kit

    own = {record.id for record in (*kit.items, *kit.units)}
    return Kit.model_construct(
        items=(*(item for item in known.items if item.id not in own), *kit.items),
        units=(*(unit for unit in known.units if unit.id not in own), *kit.units),
    )


def _refuse_what_is_wrong(found: Intake, *, skips_bad: bool) -> None:
    """Raise what is wrong, or tell it on stderr where bad rows are to be skipped."""
    from kitplan.errors import BadInput

    of_rows = [problem for each in found.bad_rows for problem in each.problems]
    if found.problems or (of_rows and not skips_bad):
        raise BadInput([*found.problems, *of_rows])
    for problem in sorted(set(of_rows)):
        typer.echo(f"Left out: {problem}", err=True)


def _changes(kit: Kit, known: Kit) -> list[Change]:
    from kitplan.gear.changes import changes

    return list(changes(kit, known))


def _refuse_taken(changes: Sequence[Change]) -> None:
    """Refuse in a dry run what would be refused in earnest."""
    from kitplan.errors import StoreError

    taken = [change.id for change in changes if change.what != "new"]
    if taken:
        listed = ", ".join(taken[:12]) + (" ..." if len(taken) > 12 else "")
        raise StoreError(
            f"these ids are in the inventory already: {listed}",
            where="import",
            fix="Choose other ids, or use --replace to overwrite them",
        )


def _as_json(found: Intake, changes: Sequence[Change], *, is_written: bool) -> dict[str, Any]:
    return {
        "written": is_written,
        "items": len(found.kit.items),
        "units": len(found.kit.units),
        "changes": [
            {
                "part": each.part,
                "id": each.id,
                "what": each.what,
                "facts": {name: {"before": b, "after": a} for name, (b, a) in each.facts.items()},
            }
            for each in changes
        ],
        "left_out": [
            {"where": each.grid.file, "row": each.row.number, "problems": list(map(str, p))}
            for each in found.bad_rows
            if (p := each.problems)
        ],
        "remarks": list(found.remarks),
    }


def _tell(found: Intake, changes: Sequence[Change], path: Path, dry_run: bool) -> None:
    for remark in found.remarks:
        typer.echo(remark, err=True)
    if dry_run:
        _tell_changes(changes)
    asked = sum(bool(item.to_ask) for item in found.kit.items)
    verb, kit = "Would import" if dry_run else "Imported", found.kit
    typer.echo(f"{verb} {_number(kit)} into {path}.")
    if found.bad_rows:
        typer.echo(f"{counted(len(found.bad_rows), 'row')} left out.")
    if asked:
        things = counted(asked, "item")
        typer.echo(f"Guesses stand in for facts of {things}; go through them: `kitplan gear ask`.")


def _tell_changes(changes: Sequence[Change]) -> None:
    from kitplan.cli.common import print_table

    rows = [
        (
            change.what,
            change.part,
            change.id,
            ", ".join(
                f"{name} {after}" if change.what == "new" else f"{name} {before} -> {after}"
                for name, (before, after) in change.facts.items()
                if name not in ("modes", "name", "item")
            ),
        )
        for change in changes
        if change.what != "same"
    ]
    if rows:
        print_table(["", "", "id", "facts"], rows[:MOST_SHOWN])
    else:
        typer.echo("Nothing would change.")
    if len(rows) > MOST_SHOWN:
        typer.echo(f"... and {len(rows) - MOST_SHOWN} more (all with --json).")


def export(
    path: Annotated[
        Path, typer.Argument(help="A .xlsx or .yaml file, or a folder for CSV sheets.")
    ],
    replace: Annotated[bool, typer.Option("--replace", help="Overwrite files.")] = False,
    as_json: JsonOption = False,
    db: DbOption = None,
) -> None:
    """Write the inventory as one workbook or YAML file, or as a folder of CSV sheets.

    Nothing is lost: importing it into an empty inventory gives the same one.

    Example: kitplan gear export our-kit.xlsx
    """
    from kitplan.errors import SettingError
    from kitplan.gear.files import YAML_ENDINGS, write_kit
    from kitplan.gear.grids import WORKBOOK_ENDINGS
    from kitplan.gear.sheets import write_sheets
    from kitplan.gear.store import Store
    from kitplan.gear.workbooks import write_workbook

    ending = path.suffix.lower()
    is_file = ending in YAML_ENDINGS | (WORKBOOK_ENDINGS - {".xlsm"})
    if path.suffix and not is_file and not path.is_dir():
        fix = "Give a name ending in .xlsx or .yaml, or a folder"
        raise SettingError(f"files ending in {path.suffix} are not written", where="PATH", fix=fix)
    is_taken = path.is_file() if is_file else path.is_dir() and any(path.glob("*.csv"))
    if is_taken and not replace:
        fix = "Give another path, or use --replace"
        raise SettingError(f"{path} exists already", where="PATH", fix=fix)
    with Store.open(inventory_path(db), writing=False) as store:
        kit = store.load()
    write = write_kit if ending in YAML_ENDINGS else write_workbook if is_file else write_sheets
    write(kit, path)
    if as_json:
        print_json({"items": len(kit.items), "units": len(kit.units), "path": str(path)})
        return
    typer.echo(f"Wrote {_number(kit)} to {path}.")
