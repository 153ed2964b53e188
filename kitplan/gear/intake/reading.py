"""Reading lists of gear: tables to rows to a kit, with every row that could not be read.

Nothing is written here. The caller decides whether faulty rows keep the rest from being taken in.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from io import StringIO
from pathlib import Path

from kitplan.errors import Problem
from kitplan.gear.cells import protected
from kitplan.gear.grids import Grid, Row
from kitplan.gear.intake.building import built
from kitplan.gear.intake.columns import Header, Meant, header_of
from kitplan.gear.intake.rows import Reader, Reading, RowFault
from kitplan.gear.intake.things import Manner
from kitplan.gear.intake.words import last_meaning
from kitplan.gear.kit import Kit, grouped
from kitplan.sources import write_text
from kitplan.wording import hint, plain


@dataclass(frozen=True)
class Wishes:
    """What the user says about the lists."""

    meanings: Mapping[str, Meant] = field(default_factory=dict)
    """Columns by their title in plain words."""
    sheets: tuple[str, ...] = ()
    """Only these; all that are not hidden where empty."""
    kind: str | None = None
    owner: str | None = None
    manner: Manner = "new"


@dataclass(frozen=True)
class BadRow:
    """A row that could not be read."""

    grid: Grid
    row: Row
    titles: tuple[str, ...]
    faults: tuple[RowFault, ...]

    @property
    def problems(self) -> list[Problem]:
        """What is wrong with it, with sheet, row and column."""
        return [
            Problem(self.grid.file, self.row.number, each.wrong, each.right) for each in self.faults
        ]


@dataclass(frozen=True)
class Intake:
    """What lists of gear come to."""

    kit: Kit
    problems: tuple[Problem, ...]
    """Of whole tables: nothing of them has been read."""
    bad_rows: tuple[BadRow, ...]
    remarks: tuple[str, ...]
    """What the user should know of how it was read."""


def read_lists(grids: Sequence[Grid], known: Kit, wishes: Wishes) -> Intake:
    """Return the gear of tables, whatever their columns are called, and what could not be read.

    Args:
        known: The inventory, which rows may refer to, add to or replace.
    """
    problems: list[Problem] = []
    remarks: list[str] = []
    bad: list[BadRow] = []
    readings: list[Reading] = []
    titles: dict[int, tuple[str, ...]] = {}
    for grid in _chosen(grids, wishes, problems):
        before = len(problems)
        header = header_of(grid, wishes.meanings, problems)
        if header is None or len(problems) > before:
            continue
        remarks += _remarks(grid, header.row, header.unknown)
        titles[id(grid)] = grid.rows[header.row].cells
        bad += [
            BadRow(grid, Row(each.line, ()), (), (RowFault(each.wrong, each.right),))
            for each in grid.problems
        ]
        headings = _read_rows(grid, header, wishes, readings, bad)
        if headings:
            remarks.append(f"{grid.file}: taken for headings and sums: {', '.join(headings)}.")
    readings, respelt = _one_spelling(readings, known)
    if respelt:
        names = ", ".join(f"'{plain(one)}' is {plain(other)}" for one, other in respelt.items())
        remarks.append(f"Owners that differ only in capital letters are one: {names}.")
    kit = _settled(readings, known, wishes.manner, titles, bad)
    order = {id(grid): place for place, grid in enumerate(grids)}
    bad.sort(key=lambda each: (order[id(each.grid)], each.row.number))
    return Intake(grouped(kit), tuple(problems), tuple(bad), tuple(remarks))


def _chosen(grids: Sequence[Grid], wishes: Wishes, problems: list[Problem]) -> list[Grid]:
    """Return the tables to read; a hidden one is read only where it is named."""
    wanted = {name.casefold() for name in wishes.sheets}
    names = {grid.name.casefold() for grid in grids}
    for name in wishes.sheets:
        if name.casefold() not in names:
            wrong = f"there is no sheet '{plain(name)}'"
            problems.append(Problem("--sheet", 0, wrong, hint(name, [g.name for g in grids])))
    chosen = [grid for grid in grids if not wanted or grid.name.casefold() in wanted]
    for grid in chosen:
        if grid.is_hidden and not wanted:
            wrong = "the sheet is hidden"
            right = f"Show it, delete it, or name the sheets to read: --sheet {plain(grid.name)!r}"
            problems.append(Problem(grid.file, 0, wrong, right))
    return [grid for grid in chosen if not grid.is_hidden or wanted]


def _remarks(grid: Grid, header_row: int, unknown: Sequence[str]) -> list[str]:
    found = []
    cells = (cell for row in grid.rows for cell in row.cells)
    if grid.is_western and (odd := next((cell for cell in cells if not cell.isascii()), None)):
        found.append(
            f"{grid.file}: it is not UTF-8; its letters are read as Western European ones, such as "
            f"{plain(odd)!r}. If they are wrong, save it as UTF-8."
        )
    if header_row:
        number = grid.rows[header_row].number
        found.append(f"{grid.file}: what stands above row {number} is taken for a title.")
    if unknown:
        names = ", ".join(plain(each) for each in unknown)
        found.append(f"{grid.file}: kept in the notes, as no column is called so here: {names}.")
    return found


def _read_rows(
    grid: Grid,
    header: Header,
    wishes: Wishes,
    readings: list[Reading],
    bad: list[BadRow],
) -> list[str]:
    """Read the rows under a header; return which were only headings of those below."""
    headings = []
    titles = grid.rows[header.row].cells
    reader = Reader(grid, header, kind=wishes.kind, owner=wishes.owner)
    for row in grid.rows[header.row + 1 :]:
        if row.cells == titles:
            continue  # the header once more, as on every printed page
        if reader.heading(row):
            headings.append(f"row {row.number} '{plain(' '.join(filter(None, row.cells)))}'")
            continue
        found = reader.read(row)
        if isinstance(found, Reading):
            readings.append(found)
        else:
            bad.append(BadRow(grid, row, titles, tuple(found)))
    return headings


def _one_spelling(readings: Sequence[Reading], known: Kit) -> tuple[list[Reading], dict[str, str]]:
    """Return the rows with one spelling for each owner, that of the inventory or else the first
    one, and which others stood in the list."""
    spelling: dict[str, str] = {}
    for name in (*(unit.owner for unit in known.units), *(r.unit["owner"] for r in readings)):
        spelling.setdefault(name.casefold(), name)
    found, respelt = [], {}
    for reading in readings:
        owner = reading.unit["owner"]
        usual = spelling[owner.casefold()]
        if owner != usual:
            respelt[owner] = usual
        found.append(replace(reading, unit=reading.unit | {"owner": usual}))
    return found, respelt


def _settled(
    readings: list[Reading],
    known: Kit,
    manner: Manner,
    titles: Mapping[int, tuple[str, ...]],
    bad: list[BadRow],
) -> Kit:
    """Return the kit of the rows that hold; what hangs on faulty ones falls with them."""
    while True:
        found = built(readings, known, manner)
        if not found.faulty:
            return found.kit
        for place, faults in found.faulty.items():
            reading = readings[place]
            grid = reading.grid
            bad.append(BadRow(grid, reading.row, titles[id(grid)], tuple(faults)))
        readings = [each for place, each in enumerate(readings) if place not in found.faulty]


def write_bad_rows(bad: Sequence[BadRow], path: Path) -> None:
    """Write the rows that could not be read as CSV, each with what is wrong with it, to be mended
    and imported by itself.

    Raises:
        SettingError: If the file cannot be written.
    """
    names = dict.fromkeys(title for each in bad for title in each.titles if title.strip())
    stream = StringIO(newline="")
    writer = csv.writer(stream)
    kinds = [last_meaning("kinds", each.grid.name) or "" for each in bad]
    needs_kind = any(kinds) and not {"kind", "type"} & {name.casefold() for name in names}
    writer.writerow([*map(protected, names), *(["kind"] if needs_kind else []), "problem"])
    for each, kind in zip(bad, kinds, strict=True):
        cells = dict(zip(each.titles, each.row.cells, strict=False))
        why = "; ".join(f"{fault.wrong}. {fault.right}" for fault in each.faults)
        row = [protected(cells.get(name, "")) for name in names]
        writer.writerow([*row, *([kind] if needs_kind else []), protected(why)])
    write_text(path, f"\ufeff{stream.getvalue()}")


def with_kit(found: Intake | None, kit: Kit) -> Intake:
    """Return what lists come to, together with a kit that was read from files in the exact form."""
    found = found or Intake(Kit.EMPTY, (), (), ())
    items, units = (*kit.items, *found.kit.items), (*kit.units, *found.kit.units)
    return replace(found, kit=grouped(Kit(items=items, units=units)))
