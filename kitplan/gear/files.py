"""Reading a kit from files (YAML, CSV, workbooks, folders of them) and writing it.

Nothing is half-read: either every record of every file is right and they fit together, or one
`BadInput` lists everything that is wrong. Cells and columns are left to `sheets`, the rules
that hold across records to `checks`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from io import StringIO
from pathlib import Path
from typing import Any

from kitplan.errors import BadInput, Problem
from kitplan.gear.checks import Fault, faults
from kitplan.gear.grids import WORKBOOK_ENDINGS, Grid, read_grids
from kitplan.gear.kit import Kit, facts_of, grouped
from kitplan.gear.records import Record
from kitplan.gear.sheets import Gathered, Origin, gathered
from kitplan.sources import Document, build, read_yaml, write_text
from kitplan.wording import file_name

YAML_ENDINGS = frozenset({".yaml", ".yml"})
SHEET_ENDINGS = WORKBOOK_ENDINGS | {".csv"}
_UNREAD = frozenset({".xls", ".ods", ".numbers", ".tsv"})


def read_kit(path: Path, *more: Path, known: Kit = Kit.EMPTY) -> Kit:
    """Return the kit that a file, or a folder of files, describes; items grouped by kind.

    Args:
        more: Further files or folders that belong to the same kit.
        known: Gear owned already, which the new records may refer to.
    Raises:
        BadInput: With everything that is wrong in any of the files.
    """
    return read_sorted(sorted_files(path, *more), known)


@dataclass(frozen=True)
class Files:
    """What is to be read: YAML files, and the tables of all others."""

    yaml: tuple[Path, ...]
    grids: tuple[Grid, ...]
    problems: tuple[Problem, ...]
    """Of files that cannot be read at all."""


def sorted_files(*paths: Path) -> Files:
    """Return the files of paths and folders, tables read but not yet understood."""
    problems: list[Problem] = []
    grids: list[Grid] = []
    files = [file for one in paths for file in _files_in(one, problems)]
    for file in files:
        if file.suffix.lower() in SHEET_ENDINGS:
            try:
                grids += read_grids(file)
            except BadInput as error:
                problems += error.problems
    yaml = tuple(file for file in files if file.suffix.lower() in YAML_ENDINGS)
    return Files(yaml, tuple(grids), tuple(problems))


def read_sorted(files: Files, known: Kit = Kit.EMPTY) -> Kit:
    """Return the kit of YAML files and of tables in the exact form; see `read_kit`."""
    problems = [*files.problems]
    found = Gathered()
    for file in files.yaml:
        _gather(problems, found, partial(_read_yaml_kit, file))
    _gather(problems, found, partial(gathered, files.grids))
    if problems:
        raise BadInput(problems)
    kit = Kit(items=tuple(found.items), units=tuple(found.units))  # in the order of the origins
    problems = [_located(fault, found) for fault in faults(kit, known)]
    if problems:
        raise BadInput(problems)
    return grouped(kit)


def _gather(problems: list[Problem], found: Gathered, read: Callable[[], Gathered]) -> None:
    """Run one reader and keep what it finds wrong, so that all files are reported together."""
    try:
        found.extend(read())
    except BadInput as error:
        problems += error.problems


def _located(fault: Fault, found: Gathered) -> Problem:
    origins = found.item_origins if fault.part == "items" else found.unit_origins
    origin = origins[fault.index]
    return Problem(origin.file, origin.line_of((fault.field,)), fault.wrong, fault.right)


def _files_in(path: Path, problems: list[Problem]) -> list[Path]:
    """Return the file itself, or the readable files of a folder sorted by name."""
    if not path.is_dir():
        files = [path]
    else:
        try:
            files = sorted(one for one in path.iterdir() if not one.name.startswith((".", "~")))
        except OSError as error:
            wrong = f"the folder cannot be read ({error.strerror})"
            problems.append(Problem(file_name(path), 0, wrong, "Check that you may read it"))
            return []
        endings = YAML_ENDINGS | SHEET_ENDINGS | _UNREAD
        files = [one for one in files if one.is_file() and one.suffix.lower() in endings]
        if not files:
            right = "Put the kit's .yaml, .csv or .xlsx files there, or give another folder"
            problems.append(Problem(file_name(path), 0, "the folder holds no kit files", right))
    for file in files:
        if file.suffix.lower() not in YAML_ENDINGS | SHEET_ENDINGS:
            wrong = f"files with the ending '{file.suffix}' are not read"
            problems.append(Problem(file_name(file), 0, wrong, "Save it as .xlsx, .csv or .yaml"))
    return [file for file in files if file.suffix.lower() in YAML_ENDINGS | SHEET_ENDINGS]


def _read_yaml_kit(path: Path) -> Gathered:
    document = read_yaml(path)
    kit = build(Kit, document)
    return Gathered(
        list(kit.items),
        [_origin(document, "items", index) for index in range(len(kit.items))],
        list(kit.units),
        [_origin(document, "units", index) for index in range(len(kit.units))],
    )


def _origin(document: Document, part: str, index: int) -> Origin:
    return Origin(document.file, lambda place: document.line_of((part, index, *place)))


def write_kit(kit: Kit, path: Path) -> None:
    """Write a kit as one YAML file that `read_kit` reads back unchanged; defaults are left out.

    Raises:
        SettingError: If the file cannot be written.
    """
    from ruamel.yaml import YAML

    yaml = YAML(typ="safe", pure=True)
    yaml.default_flow_style = False
    yaml.allow_unicode = True
    yaml.sort_base_mapping_type_on_output = False  # type: ignore[assignment]
    yaml.width = 10_000  # no folding: a line of the file is a fact of the kit
    stream = StringIO()
    yaml.dump({"items": _plain(kit.items), "units": _plain(kit.units)}, stream)
    write_text(path, stream.getvalue())


def _plain(records: Iterable[Record]) -> list[dict[str, Any]]:
    return [facts_of(record) for record in records]
