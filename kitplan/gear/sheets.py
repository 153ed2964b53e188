"""The kit as CSV sheets: one for each kind of item, one for recording modes, one for units.

A sheet's kind is told by its file name (`lenses.csv`, `body.csv`) or, row by row, by a column
`kind`. Columns are the field names of the records; several values in one cell are separated by |
(a single | is an empty list); the lens built into a body has columns such as
`built_in.focal_min_mm`; `modes.csv` names its body in the column `body`. An empty cell is a fact
not given.

Cells that a spreadsheet would run as a formula are written with an apostrophe in front, which is
taken off again on reading.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path
from typing import Any, get_origin

from pydantic import BaseModel

from kitplan.checked import validated
from kitplan.errors import BadInput, Problem, SettingError
from kitplan.gear.records import (
    ITEM_TYPES,
    AnyItem,
    Body,
    Kit,
    Optic,
    Record,
    RecordingMode,
    Unit,
)
from kitplan.sources import read_text, write_text
from kitplan.wording import Place, file_name, hint, plain

SHEET_BY_KIND = {
    "body": "bodies",
    "lens": "lenses",
    "adapter": "adapters",
    "head": "heads",
    "support": "supports",
    "battery": "batteries",
    "charger": "chargers",
    "media": "media",
    "sound": "sound",
    "accessory": "accessories",
    "case": "cases",
}
MODES, UNITS = "modes", "units"
_BUILT_IN = "built_in."
_SEPARATOR = "|"
_FORMULA = re.compile("'*[=+@\t\r-]")
_PROTECTED = re.compile("'+[=+@\t\r-]")


@dataclass(frozen=True)
class Origin:
    """The file a record was read from, and the line of each of its facts."""

    file: str
    line_of: Callable[[Place], int]


@dataclass
class Gathered:
    """Records read so far, each with its origin in the list beside it."""

    items: list[AnyItem] = field(default_factory=list)
    item_origins: list[Origin] = field(default_factory=list)
    units: list[Unit] = field(default_factory=list)
    unit_origins: list[Origin] = field(default_factory=list)

    def extend(self, other: Gathered) -> None:
        """Take over the records of another reader."""
        self.items += other.items
        self.item_origins += other.item_origins
        self.units += other.units
        self.unit_origins += other.unit_origins


@dataclass(frozen=True)
class _Row:
    """One row of a sheet: its filled cells by column."""

    kind: str
    cells: dict[str, str]
    file: str
    line: int
    comma_is_decimal: bool

    def record(self, model: type[Any], data: Mapping[str, Any]) -> Any:
        """Return the row as a record; `BadInput` if it is none."""
        return validated(
            model,
            data,
            file=self.file,
            line_of=lambda _: self.line,
            comma_is_decimal=self.comma_is_decimal,
        )

    def problem(self, wrong: str, right: str) -> Problem:
        """Return a problem of this row."""
        return Problem(self.file, self.line, wrong, right)


def columns_of(kind: str) -> tuple[str, ...]:
    """Return the columns of the sheet of a kind of item, of modes or of units."""
    if kind == MODES:
        return ("body", *RecordingMode.model_fields)
    if kind == UNITS:
        return tuple(Unit.model_fields)
    names = [name for name in ITEM_TYPES[kind].model_fields if name not in ("kind", "modes")]
    names.sort(key=("name", "id").__contains__, reverse=True)  # a lens lists its optics first
    if kind == "body":
        names.remove("built_in")
        names += [_BUILT_IN + name for name in Optic.model_fields]
    return tuple(names)


def read_sheets(paths: Iterable[Path]) -> Gathered:
    """Return the records of several CSV files that belong together.

    Raises:
        BadInput: With every problem of every file: its line, its column, what would be right.
    """
    problems: list[Problem] = []
    rows = [row for path in paths for row in _rows(path, problems)]
    found = Gathered()
    modes_by_body = _modes(rows, problems)
    for row in rows:
        origin = Origin(row.file, lambda _, line=row.line: line)  # type: ignore[misc]
        try:
            if row.kind == UNITS:
                found.units.append(row.record(Unit, _data(Unit, row.cells)))
                found.unit_origins.append(origin)
            elif row.kind != MODES:
                found.items.append(_item(row, modes_by_body))
                found.item_origins.append(origin)
        except BadInput as error:
            problems += error.problems
    if problems:
        raise BadInput(problems)
    return found


def _rows(path: Path, problems: list[Problem]) -> list[_Row]:
    """Return the rows of one sheet; what is wrong with it as a table is added to the problems."""
    file = file_name(path)
    try:
        text = read_text(path, fallback_encoding="cp1252")
    except BadInput as error:
        problems += error.problems
        return []
    first_line = text.split("\n", 1)[0]
    delimiter = max(",;\t", key=first_line.count)
    try:
        return list(_read_table(path, text, delimiter, problems))
    except csv.Error as error:
        right = "Check the quotes; a quote inside a cell is written twice"
        problems.append(Problem(file, 0, f"this is not a CSV table ({error})", right))
        return []


def _read_table(path: Path, text: str, delimiter: str, problems: list[Problem]) -> Iterator[_Row]:
    reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True)
    header = [name.strip() for name in next(reader, [])]
    file, kind = file_name(path), _kind_of(path)
    faulty = list(_header_faults(header, kind, path))
    if faulty:
        problems += [Problem(file, 1, *fault) for fault in faulty]
        return
    line = reader.line_num + 1
    for cells in reader:
        row_line, line = line, reader.line_num + 1
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) > len(header):
            wrong = f"the row has {len(cells)} cells but the table has {len(header)} columns"
            right = f"Put cells that contain {delimiter!r} in quotes"
            problems.append(Problem(file, row_line, wrong, right))
            continue
        filled = {
            name: _unprotected(cell)
            for name, cell in zip(header, cells, strict=False)
            if cell.strip()
        }
        row_kind = filled.pop("kind", kind or "").casefold()
        if row_kind not in (*ITEM_TYPES, MODES, UNITS):
            wrong = f"kind is '{plain(row_kind)}'" if row_kind else "kind is missing"
            problems.append(Problem(file, row_line, wrong, hint(row_kind, ITEM_TYPES)))
            continue
        yield _Row(row_kind, filled, file, row_line, delimiter != ",")


def _kind_of(path: Path) -> str | None:
    """Return the kind that a file name tells, in the singular or the plural."""
    stem = path.stem.casefold()
    kinds = {plural: kind for kind, plural in SHEET_BY_KIND.items()}
    singular = {kind: kind for kind in ITEM_TYPES}
    known = singular | kinds | {MODES: MODES, "mode": MODES, UNITS: UNITS, "unit": UNITS}
    return known.get(stem)


def _header_faults(
    header: Sequence[str], kind: str | None, path: Path
) -> Iterator[tuple[str, str]]:
    """Yield what is wrong with a header row, and what would be right."""
    if not any(header):
        yield "the sheet is empty", "Write the column names in its first row"
        return
    if "kind" not in header and kind is None:
        names = ", ".join(f"{name}.csv" for name in (*SHEET_BY_KIND.values(), MODES, UNITS))
        yield (
            f"nothing says what kind of gear '{path.name}' lists",
            f"Add a column kind, or call it one of {names}",
        )
        return
    kinds = [*ITEM_TYPES] if "kind" in header else [str(kind)]
    known = {name for one in kinds for name in columns_of(one)} | {"kind"}
    for name in dict.fromkeys(header):
        if header.count(name) > 1 and name:
            yield f"the column '{plain(name)}' stands there twice", "Keep one of the two"
        if name and name not in known:
            yield f"unknown column '{plain(name)}'", hint(name, known)


def _unprotected(cell: str) -> str:
    """Return a cell's text without the apostrophe that keeps it from being a formula."""
    cell = cell.strip()
    return cell[1:] if _PROTECTED.match(cell) else cell


def _data(model: type[BaseModel], cells: Mapping[str, str]) -> dict[str, Any]:
    """Return cells as the data of a record: lists split, all else as text for pydantic to read."""
    return {
        name: [part.strip() for part in cell.split(_SEPARATOR) if part.strip()]
        if name in model.model_fields and get_origin(model.model_fields[name].annotation) is tuple
        else cell
        for name, cell in cells.items()
    }


def _modes(rows: Iterable[_Row], problems: list[Problem]) -> dict[str, list[Any]]:
    """Return the recording modes by body id; None stands for a mode that is wrong."""
    body_ids = {row.cells.get("id", "") for row in rows if row.kind == "body"}
    modes_by_body: dict[str, list[Any]] = {}
    for row in rows:
        if row.kind != MODES:
            continue
        body_id = row.cells.get("body", "")
        if body_id not in body_ids:
            wrong = f"body is '{plain(body_id)}', which is in none of the sheets"
            problems.append(row.problem(wrong, hint(body_id, body_ids)))
        modes = modes_by_body.setdefault(body_id, [])
        cells = {name: cell for name, cell in row.cells.items() if name != "body"}
        try:
            modes.append(row.record(RecordingMode, _data(RecordingMode, cells)))
        except BadInput as error:
            problems += error.problems
            modes.append(None)
    return modes_by_body


def _item(row: _Row, modes_by_body: Mapping[str, Sequence[Any]]) -> AnyItem:
    """Return the item of a row.

    Raises:
        BadInput: If a cell is wrong or a fact is missing.
    """
    model = ITEM_TYPES[row.kind]
    data = _data(model, row.cells)
    built_in = {
        name.removeprefix(_BUILT_IN): data.pop(name)
        for name in list(data)
        if name.startswith(_BUILT_IN)
    }
    if built_in:
        data["built_in"] = built_in
    if model is Body:
        modes = modes_by_body.get(row.cells.get("id", ""), ())
        if not modes:
            wrong = f"body '{plain(row.cells.get('id', ''))}' has no recording modes"
            right = f"Add them in {MODES}.csv (columns body, name, ...) and read both files"
            raise BadInput([row.problem(wrong, right)])
        data["modes"] = [mode for mode in modes if mode is not None] or [_STAND_IN]
    item: AnyItem = row.record(model, data)
    return item


# Takes the place of modes that are reported already, so that the body's own cells are checked too.
_STAND_IN = RecordingMode(
    name="-", frame_width_px=1, frame_height_px=1, frame_rate_fps=1, bit_rate_mbps=1
)


def write_sheets(kit: Kit, folder: Path) -> None:
    """Write the kit as one CSV file for each kind in use, with modes and units beside them.

    Raises:
        SettingError: If the folder or a file cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SettingError(
            f"the folder cannot be made ({error.strerror or error})",
            where=file_name(folder),
            fix="Give the path of a folder",
        ) from error
    for name, text in sheets_of(kit).items():
        # The byte-order mark tells spreadsheets that the text is UTF-8.
        write_text(folder / f"{name}.csv", f"\ufeff{text}")


def sheets_of(kit: Kit) -> dict[str, str]:
    """Return the text of each sheet by its name without ending."""
    sheets = {}
    for kind, model in ITEM_TYPES.items():
        items = list(kit.of_kind(model))
        if items:
            sheets[SHEET_BY_KIND[kind]] = _table(columns_of(kind), map(_item_cells, items))
    modes = [{"body": body.id} | _cells(mode) for body in kit.of_kind(Body) for mode in body.modes]
    if modes:
        sheets[MODES] = _table(columns_of(MODES), modes)
    if kit.units or not sheets:
        sheets[UNITS] = _table(columns_of(UNITS), map(_cells, kit.units))
    return sheets


def _item_cells(item: Record) -> dict[str, str]:
    cells = _cells(item)
    if isinstance(item, Body) and item.built_in is not None:
        cells |= {_BUILT_IN + name: cell for name, cell in _cells(item.built_in).items()}
    return cells


def _cells(record: Record) -> dict[str, str]:
    """Return the facts of a record that fit into cells, defaults left empty."""
    return {
        name: _cell(value)
        for name in type(record).model_fields
        if (value := getattr(record, name)) != type(record).model_fields[name].default
        and not isinstance(value, BaseModel)
    }


def _cell(value: Any) -> str:
    """Return a value as the text of a cell; text that looks like a formula is protected."""
    match value:
        case bool():
            return "yes" if value else "no"
        case str():
            return f"'{value}" if _FORMULA.match(value) else value
        case tuple():
            return _SEPARATOR.join(map(str, value)) or _SEPARATOR
        case _:
            return str(value)


def _table(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    stream = StringIO(newline="")
    writer = csv.DictWriter(stream, columns, restval="", extrasaction="ignore")
    writer.writeheader()
    writer.writerows(rows)
    return stream.getvalue()
