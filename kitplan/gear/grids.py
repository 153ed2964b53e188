"""Tables of text as files hold them: every cell as its writer sees it, with its row and column.

CSV is read here, workbooks in `workbooks`; what the cells mean is left to `sheets` and `intake`.
Bounds keep a file that is no list of gear from filling the memory.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from io import StringIO
from pathlib import Path

from kitplan.errors import BadInput, Problem
from kitplan.sources import read_text
from kitplan.wording import file_name, plain

MOST_BYTES = 20_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 200
MOST_CELL = 32_767
"""Characters in one cell, as spreadsheets have it."""
WORKBOOK_ENDINGS = frozenset({".xlsx", ".xlsm"})
_DELIMITERS = ",;\t"


@dataclass(frozen=True)
class Row:
    """One row: its number as a spreadsheet counts, or its line in a CSV file; and its cells."""

    number: int
    cells: tuple[str, ...]

    def cell(self, index: int) -> str:
        """Return the text of a column; nothing beyond the end of the row."""
        return self.cells[index] if index < len(self.cells) else ""


@dataclass(frozen=True)
class Grid:
    """One table of a file."""

    file: str
    """Name for messages: the file, and the sheet where it has several."""
    name: str
    """Of the sheet, or of the file without its ending."""
    rows: tuple[Row, ...]
    """Those with anything in them, the header first."""
    delimiter: str = ""
    """What parts the cells of a CSV file."""
    problems: tuple[Problem, ...] = ()
    """Of rows that could not be read, and are left out."""
    is_hidden: bool = False
    merged: tuple[tuple[int, int, str], ...] = ()
    """First and last row of merged cells, and their range."""
    formulas: frozenset[tuple[int, int]] = field(default=frozenset())
    """Row and column (from 0) of formulas whose result is not in the file."""
    is_western: bool = False
    """Whether its letters are taken for Western European ones, as it is not UTF-8."""

    @property
    def comma_is_decimal(self) -> bool:
        """Whether 1,250 is surely 1.25: between commas it may be 1250 as well."""
        return self.delimiter in (";", "\t")


def read_grids(path: Path) -> tuple[Grid, ...]:
    """Return the tables of a CSV file or a workbook.

    Raises:
        BadInput: If it is none, too large, protected or damaged.
    """
    if path.suffix.lower() in WORKBOOK_ENDINGS:
        from kitplan.gear.workbooks import read_workbook

        return read_workbook(path)
    return (_read_csv(path),)


def _read_csv(path: Path) -> Grid:
    text, is_western = _text(path)
    file = file_name(path)
    delimiter, skipped, text = _delimiter(text)
    problems: list[Problem] = []
    try:
        rows = tuple(_csv_rows(file, text, delimiter, skipped, problems))
    except csv.Error as error:
        right = "Check the quotes; a quote inside a cell is written twice"
        wrong = f"this is not a CSV table ({error})"
        raise BadInput([Problem(file, 0, wrong, right)]) from error
    return Grid(file, path.stem, rows, delimiter, tuple(problems), is_western=is_western)


def _text(path: Path) -> tuple[str, bool]:
    """Return the text of a file, and whether its letters had to be guessed."""
    try:
        return read_text(path, most_bytes=MOST_BYTES), False
    except BadInput:  # the same again where it is not for its letters
        return read_text(path, fallback_encoding="cp1252", most_bytes=MOST_BYTES), True


def _delimiter(text: str) -> tuple[str, int, str]:
    """Return what parts the cells, and the text after a first line that only says so."""
    first_line, _, rest = text.partition("\n")
    if first_line[:4].casefold() == "sep=" and first_line[4:].rstrip() in ("", *_DELIMITERS):
        return first_line[4:5] or "\t", 1, rest
    return max(_DELIMITERS, key=_outside_quotes(first_line).count), 0, text


def _outside_quotes(line: str) -> str:
    return "".join(line.split('"')[::2])


def _csv_rows(
    file: str, text: str, delimiter: str, skipped: int, problems: list[Problem]
) -> Iterator[Row]:
    reader = csv.reader(StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line, header, count = 1, None, 0
    for cells in reader:
        number, line = line + skipped, reader.line_num + 1
        if header is None:
            _refuse_wide(file, number, cells)
            header = cells
        elif not any(cell.strip() for cell in cells):
            continue
        count += 1
        if count > MOST_ROWS:
            raise BadInput([too_many_rows(file)])
        other = _other_delimiter(cells, header, delimiter)
        if other:
            named = {"\t": "tabs"}
            wrong = (
                f"the cells are parted by {named.get(other, repr(other))} here, "
                f"by {named.get(delimiter, repr(delimiter))} elsewhere"
            )
            right = "Save the table once more, with one kind of separator"
            problems.append(Problem(file, number, wrong, right))
            continue
        long = next((cell for cell in cells if len(cell) > MOST_CELL), None)
        if long is not None:
            problems.append(too_long(file, number, long))
            continue
        yield Row(number, tuple(cells))


def _other_delimiter(cells: Sequence[str], header: Sequence[str], delimiter: str) -> str | None:
    """Return what parts the cells of a row that is parted unlike its header."""
    if len(header) < 3 or len(cells) != 1:
        return None
    others = (each for each in _DELIMITERS if each != delimiter)
    return next((each for each in others if cells[0].count(each) == len(header) - 1), None)


def _refuse_wide(file: str, number: int, cells: Sequence[str]) -> None:
    if len(cells) > MOST_COLUMNS:
        wrong = f"the table has {len(cells)} columns, more than {MOST_COLUMNS}"
        raise BadInput([Problem(file, number, wrong, "Is this a list of gear? Take out columns")])


def too_many_rows(file: str) -> Problem:
    """Return the problem of a table that is too long."""
    return Problem(
        file, 0, f"the table has more than {MOST_ROWS} rows", "Split it into several files"
    )


def too_long(file: str, number: int, cell: str) -> Problem:
    """Return the problem of a cell that holds more than spreadsheets allow."""
    wrong = f"a cell holds {len(cell)} characters ({plain(cell[:20])}...)"
    return Problem(file, number, wrong, f"The limit is {MOST_CELL}; is a quote missing?")


def column_letter(index: int) -> str:
    """Return the name that spreadsheets give a column, counted from 0: A, B ... Z, AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
