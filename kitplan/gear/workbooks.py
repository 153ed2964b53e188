"""Workbooks (XLSX) of gear: read with bounds, and written so that nothing is lost.

The zip archive is looked through before openpyxl sees it: how much it unpacks to, how far its rows
go, which cells are merged, which hold formulas. Only openpyxl knows the format itself.
"""

from __future__ import annotations

import re
import zipfile
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

from kitplan.errors import BadInput, Problem, SettingError
from kitplan.gear.cells import cell_of, marked_as_text
from kitplan.gear.grids import (
    MOST_CELL,
    MOST_COLUMNS,
    MOST_ROWS,
    Grid,
    Row,
    too_long,
    too_many_rows,
)
from kitplan.gear.kit import Kit
from kitplan.gear.sheets import tables_of
from kitplan.sources import read_bytes, write_bytes
from kitplan.wording import file_name, plain

MOST_BYTES = 20_000_000
MOST_UNPACKED = 100_000_000
"""Bytes that all parts of the archive may come to once they are unpacked."""
MOST_PARTS = 2_000
MOST_SHEETS = 100
_OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ROW = re.compile(rb'<(?:\w+:)?row\b[^>]*?\br="(\d{1,19})"')
_FAR_CELL = re.compile(rb'<(?:\w+:)?c\b[^>]*?\br="[A-Z]{3,}\d')
_MOST_FAR_CELLS = 10_000
"""Cells beyond column ZZ, which are read as far as they go though they may be empty."""
_MERGED = re.compile(
    rb'<(?:\w+:)?mergeCell\b[^>]*?\bref="([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})"'
)
_FORMULA = re.compile(rb"<(?:\w+:)?f[ >/]")
_MOST_DIGITS = 1e15
"""Spreadsheets keep 15 digits of a number: a longer serial has lost its last ones."""


@dataclass
class _Look:
    """What the raw text of a sheet shows."""

    last_row: int = 0
    has_formulas: bool = False
    merged: list[tuple[int, int, str]] = field(default_factory=list)


def read_workbook(path: Path) -> tuple[Grid, ...]:
    """Return every sheet of a workbook with anything in it, hidden ones too.

    Raises:
        BadInput: If it is no workbook, an old or protected one, damaged, or unpacks to too much.
    """
    file = file_name(path)
    raw = read_bytes(path, MOST_BYTES)
    _refuse_other_forms(file, raw)
    try:
        _refuse_bombs(file, raw)
        return _grids(file, raw)
    except BadInput:
        raise
    except Exception as error:
        # The parsers of zip and XML are not ours and the bytes may be anything: whatever they trip
        # over is a fault of the file.
        reason = plain(str(error)) or type(error).__name__
        wrong = f"the workbook cannot be read ({reason})"
        right = "Open it in a spreadsheet and save it again as .xlsx"
        raise BadInput([Problem(file, 0, wrong, right)]) from error


def _refuse_other_forms(file: str, raw: bytes) -> None:
    """Refuse what is no zip archive, by what it is."""
    if raw.startswith(_OLD):
        if "EncryptedPackage".encode("utf-16-le") in raw:
            wrong, right = "the workbook is protected by a password", "Save it without a password"
        else:
            wrong, right = "this is an old workbook (.xls)", "Save it as .xlsx or .csv"
    elif not raw.startswith(b"PK"):
        wrong, right = "this is not an .xlsx workbook", "Save it as .xlsx, or call it .csv"
    else:
        return
    raise BadInput([Problem(file, 0, wrong, right)])


def _refuse_bombs(file: str, raw: bytes) -> None:
    """Refuse an archive that unpacks to more than any list of gear.

    What a part says of its own size binds: zipfile reads no further.
    """
    with zipfile.ZipFile(BytesIO(raw)) as archive:
        parts = archive.infolist()
        unpacked = sum(part.file_size for part in parts)
        if len(parts) > MOST_PARTS or unpacked > MOST_UNPACKED:
            wrong = f"the workbook unpacks to {unpacked / 1e6:.0f} MB in {len(parts)} parts"
            right = f"The limit is {MOST_UNPACKED // 1_000_000} MB; copy the rows into a new one"
            raise BadInput([Problem(file, 0, wrong, right)])
        if any(part.flag_bits & 1 for part in parts):
            wrong = "the workbook is protected by a password"
            raise BadInput([Problem(file, 0, wrong, "Save it without a password")])
        if "xl/workbook.xml" not in archive.namelist() and "mimetype" in archive.namelist():
            wrong = "this is not an .xlsx workbook but another kind of spreadsheet"
            raise BadInput([Problem(file, 0, wrong, "Save it as .xlsx or .csv")])
        for part in parts:
            if part.filename.endswith((".xml", ".rels")):
                _refuse_definitions(file, archive.read(part))


def _refuse_definitions(file: str, raw: bytes) -> None:
    """Refuse a part that defines names of its own, which may grow without end when read."""
    if b"<!DOCTYPE" in raw or b"<!ENTITY" in raw:
        wrong = "the workbook defines names of its own in its XML, as no spreadsheet does"
        raise BadInput([Problem(file, 0, wrong, "Copy the rows into a new workbook")])


def _grids(file: str, raw: bytes) -> tuple[Grid, ...]:
    from openpyxl import load_workbook

    book = load_workbook(BytesIO(raw), read_only=True, data_only=True)
    formulas = None
    try:
        if len(book.worksheets) > MOST_SHEETS:
            wrong = f"the workbook has {len(book.worksheets)} sheets, more than {MOST_SHEETS}"
            raise BadInput([Problem(file, 0, wrong, "Split it into several files")])
        grids = []
        for sheet in book.worksheets:
            label = f"{file}:{plain(sheet.title)}"
            look = _look(label, sheet)
            missing: frozenset[tuple[int, int]] = frozenset()
            if look.has_formulas:
                formulas = formulas or load_workbook(BytesIO(raw), read_only=True)
                missing = _without_result(sheet, formulas[sheet.title])
            grid = _grid(label, sheet, look, missing)
            if grid.rows or grid.problems:
                grids.append(grid)
        return tuple(grids)
    finally:
        book.close()
        if formulas is not None:
            formulas.close()


def _look(label: str, sheet: Any) -> _Look:
    """Return what the raw text of a sheet shows.

    Raises:
        BadInput: If its rows go further than is read.
    """
    with sheet._get_source() as source:  # the archive's part, which openpyxl parses next
        raw = source.read()
    look = _Look(has_formulas=_FORMULA.search(raw) is not None)
    for number in map(int, _ROW.findall(raw)):
        look.last_row = max(look.last_row, number)
    if look.last_row > MOST_ROWS:
        # Cleared or merely coloured rows count as well: nothing may be left unread unseen.
        wrong = f"the sheet goes down to row {look.last_row}"
        right = f"The limit is {MOST_ROWS}; delete the rows below the list, or split it"
        raise BadInput([Problem(label, 0, wrong, right)])
    if len(_FAR_CELL.findall(raw)) > _MOST_FAR_CELLS:
        wrong = "the sheet has thousands of cells beyond column ZZ"
        right = "Delete the columns to the right of the list"
        raise BadInput([Problem(label, 0, wrong, right)])
    for first, top, last, bottom in _MERGED.findall(raw):
        name = f"{first.decode()}{top.decode()}:{last.decode()}{bottom.decode()}"
        look.merged.append((int(top), int(bottom), name))
    return look


def _without_result(values: Any, formulas: Any) -> frozenset[tuple[int, int]]:
    """Return where a formula stands without the result that a spreadsheet would have saved."""
    values.reset_dimensions()
    formulas.reset_dimensions()
    found = set()
    pairs = zip(values.iter_rows(), formulas.iter_rows(), strict=False)
    for number, (row, written) in enumerate(pairs, start=1):
        for index, (value, formula) in enumerate(zip(row, written, strict=False)):
            if value.value is None and getattr(formula, "data_type", "") == "f":
                found.add((number, index))
    return frozenset(found)


def _grid(label: str, sheet: Any, look: _Look, formulas: frozenset[tuple[int, int]]) -> Grid:
    sheet.reset_dimensions()  # what a sheet says of its own size is often wrong
    rows: list[Row] = []
    problems: list[Problem] = []
    for number, values in enumerate(sheet.iter_rows(values_only=True), start=1):
        if number > MOST_ROWS:
            raise BadInput([too_many_rows(label)])
        cells = _texts(values)
        is_filled = any(cells) or any(row == number for row, _ in formulas)
        if not is_filled:
            continue
        if len(cells) > MOST_COLUMNS:
            wrong = f"the row goes out to column {len(cells)}"
            right = f"The limit is {MOST_COLUMNS}; delete what stands to the right of the list"
            raise BadInput([Problem(label, number, wrong, right)])
        long = next((cell for cell in cells if len(cell) > MOST_CELL), None)
        if long is not None:
            problems.append(too_long(label, number, long))
            continue
        rows.append(Row(number, cells))
    is_hidden = sheet.sheet_state != "visible"
    return Grid(
        label,
        sheet.title,
        tuple(rows),
        "",
        tuple(problems),
        is_hidden,
        tuple(look.merged),
        formulas,
    )


def _texts(values: tuple[Any, ...]) -> tuple[str, ...]:
    """Return the cells of a row as text; empty ones at its end are left out."""
    end = len(values)
    while end and values[end - 1] in (None, ""):
        end -= 1
    return tuple([_text(value) for value in values[:end]])


def _text(value: Any) -> str:
    """Return the value of a cell as it is shown, or as near to it as its type tells."""
    match value:
        case str():
            return value
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case int():
            return str(value)
        case float():
            is_whole = value.is_integer() and abs(value) < _MOST_DIGITS * 10
            return str(int(value)) if is_whole else repr(value)
        case datetime():
            has_time = value.time() != time()
            return value.isoformat(sep=" ") if has_time else value.date().isoformat()
        case date() | time():
            return value.isoformat()
        case timedelta():
            minutes, seconds = divmod(round(value.total_seconds()), 60)
            return f"{minutes // 60}:{minutes % 60:02d}:{seconds:02d}"
        case _:
            return str(value)


def write_workbook(kit: Kit, path: Path) -> None:
    """Write the kit as one workbook: a sheet for each kind in use, for modes and for units.

    Numbers are numbers (as text where a cell would cut their last digit); all else is text by type,
    so that nothing is taken for a formula or a date.

    Raises:
        SettingError: If a fact does not fit into a cell, or the file cannot be written.
    """
    from openpyxl import Workbook

    tables = [
        (name, columns, [[_value(facts.get(c), name, facts) for c in columns] for facts in rows])
        for name, columns, rows in tables_of(kit)
    ]  # all of it before the book is begun, so that a refusal leaves nothing half open
    book = Workbook(write_only=True)
    for name, columns, rows in tables:
        sheet = book.create_sheet(name)
        sheet.freeze_panes = "A2"
        sheet.append(list(columns))
        for row in rows:
            sheet.append([_cell(sheet, value) for value in row])
    stream = BytesIO()
    book.save(stream)
    write_bytes(path, stream.getvalue())


def _keeps_every_digit(value: Any) -> bool:
    """Whether a value is a number that survives the 16 digits which openpyxl writes."""
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    return is_number and float(f"{value:.16g}") == value


def _value(value: Any, name: str, facts: dict[str, Any]) -> str | float | None:
    """Return a fact as a number or as text that fits into a cell.

    Raises:
        SettingError: If it does not fit.
    """
    if value is None or _keeps_every_digit(value):
        return value  # type: ignore[no-any-return]
    text = marked_as_text(cell_of(value))
    if len(text) > MOST_CELL:
        raise SettingError(
            f"a fact of '{facts.get('id', facts.get('body'))}' has {len(text)} characters",
            where=f"sheet {name}",
            fix=f"A cell holds {MOST_CELL}: export to YAML instead",
        )
    return text


def _cell(sheet: Any, value: str | float | None) -> Any:
    """Return a value as a cell whose type says that text is text."""
    if not isinstance(value, str):
        return value
    from openpyxl.cell import WriteOnlyCell

    cell = WriteOnlyCell(sheet)
    cell.value = value
    cell.data_type = "s"
    if value[:1] in "=+-@\t":
        cell.quotePrefix = True  # text even after somebody has edited it
    return cell
