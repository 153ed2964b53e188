"""The kit as sheets: one for each kind of item, one for recording modes, one for units.

They are CSV files, or the sheets of one workbook. A sheet's kind is told by its name (`lenses`,
`body`) or, row by row, by a column `kind`. Columns are the field names of the records; the lens
built into a body has columns such as `built_in.focal_min_mm`; the sheet `modes` names its body in
the column `body`. An empty cell is a fact not given. What stands in a cell is left to `cells`, how
files become tables to `grids` and `workbooks`.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path
from typing import Any

from kitplan.checked import validated
from kitplan.errors import BadInput, Problem, SettingError
from kitplan.gear.cells import csv_cell, data_of, told_facts, unprotected
from kitplan.gear.grids import Grid, Row, read_grids
from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import ITEM_TYPES, AnyItem, Body, Optic, Record, RecordingMode
from kitplan.sources import write_text
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
    """Return the records of several CSV files and workbooks that belong together.

    Raises:
        BadInput: With every problem of every file: its line, its column, what would be right.
    """
    problems: list[Problem] = []
    grids: list[Grid] = []
    for path in paths:
        try:
            grids += read_grids(path)
        except BadInput as error:
            problems += error.problems
    if problems:
        raise BadInput(problems)
    return gathered(grids)


def gathered(grids: Iterable[Grid]) -> Gathered:
    """Return the records of tables that belong together; see `read_sheets`."""
    problems: list[Problem] = []
    rows = [row for grid in grids for row in _rows(grid, problems)]
    found = Gathered()
    modes_by_body = _modes(rows, problems)
    for row in rows:
        origin = Origin(row.file, lambda _, line=row.line: line)  # type: ignore[misc]
        try:
            if row.kind == UNITS:
                found.units.append(row.record(Unit, data_of(Unit, row.cells)))
                found.unit_origins.append(origin)
            elif row.kind != MODES:
                found.items.append(_item(row, modes_by_body))
                found.item_origins.append(origin)
        except BadInput as error:
            problems += error.problems
    if problems:
        raise BadInput(problems)
    return found


def _rows(grid: Grid, problems: list[Problem]) -> Iterator[_Row]:
    """Yield the rows of one table; what is wrong with it as a table is added to the problems."""
    problems += grid.problems
    first = grid.rows[0] if grid.rows else Row(1, ())
    header, kind = [name.strip() for name in first.cells], kind_of(grid.name)
    faulty = list(_header_faults(header, kind, grid.name))
    if faulty:
        problems += [Problem(grid.file, first.number, *fault) for fault in faulty]
        return
    for row in grid.rows[1:]:
        if not any(cell.strip() for cell in row.cells):
            continue
        if len(row.cells) > len(header) and any(row.cells[len(header) :]):
            wrong = f"the row has {len(row.cells)} cells but the table has {len(header)} columns"
            right = f"Put cells that contain {grid.delimiter!r} in quotes"
            right = right if grid.delimiter else "Give every column a name"
            problems.append(Problem(grid.file, row.number, wrong, right))
            continue
        filled = {
            name: unprotected(cell)
            for name, cell in zip(header, row.cells, strict=False)
            if cell.strip()
        }
        row_kind = filled.pop("kind", kind or "").casefold()
        if row_kind not in (*ITEM_TYPES, MODES, UNITS):
            wrong = f"kind is '{plain(row_kind)}'" if row_kind else "kind is missing"
            problems.append(Problem(grid.file, row.number, wrong, hint(row_kind, ITEM_TYPES)))
            continue
        yield _Row(row_kind, filled, grid.file, row.number, grid.comma_is_decimal)


def kind_of(name: str) -> str | None:
    """Return the kind that the name of a sheet tells, in the singular or the plural."""
    kinds = {plural: kind for kind, plural in SHEET_BY_KIND.items()}
    singular = {kind: kind for kind in ITEM_TYPES}
    known = singular | kinds | {MODES: MODES, "mode": MODES, UNITS: UNITS, "unit": UNITS}
    return known.get(name.casefold())


def _header_faults(
    header: Sequence[str], kind: str | None, sheet: str
) -> Iterator[tuple[str, str]]:
    """Yield what is wrong with a header row, and what would be right."""
    if not any(header):
        yield "the sheet is empty", "Write the column names in its first row"
        return
    if "kind" not in header and kind is None:
        names = ", ".join((*SHEET_BY_KIND.values(), MODES, UNITS))
        yield (
            f"nothing says what kind of gear '{plain(sheet)}' lists",
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
            modes.append(row.record(RecordingMode, data_of(RecordingMode, cells)))
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
    data = data_of(model, row.cells)
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
    """Return the CSV text of each sheet by its name without ending."""
    return {name: _table(columns, rows) for name, columns, rows in tables_of(kit)}


def tables_of(kit: Kit) -> Iterator[tuple[str, tuple[str, ...], list[dict[str, Any]]]]:
    """Yield the sheet's name, columns and rows for each kind in use, for modes and for units."""
    is_empty = True
    for kind, model in ITEM_TYPES.items():
        items = list(map(_item_facts, kit.of_kind(model)))
        if items:
            yield SHEET_BY_KIND[kind], columns_of(kind), items
            is_empty = False
    modes = [{"body": b.id} | told_facts(mode) for b in kit.of_kind(Body) for mode in b.modes]
    if modes:
        yield MODES, columns_of(MODES), modes
    if kit.units or is_empty:
        yield UNITS, columns_of(UNITS), list(map(told_facts, kit.units))


def _item_facts(item: Record) -> dict[str, Any]:
    facts = told_facts(item)
    if isinstance(item, Body):
        facts.pop("modes")
        if item.built_in is not None:
            facts |= {_BUILT_IN + name: told for name, told in told_facts(item.built_in).items()}
    return facts


def _table(columns: Sequence[str], rows: Iterable[Mapping[str, Any]]) -> str:
    stream = StringIO(newline="")
    writer = csv.DictWriter(stream, columns, restval="", extrasaction="ignore")
    writer.writeheader()
    writer.writerows({name: csv_cell(value) for name, value in row.items()} for row in rows)
    return stream.getvalue()
