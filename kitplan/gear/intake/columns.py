"""Which column of a table means which fact: by trade words, or by a file of the user's own."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from kitplan.errors import BadInput, Problem
from kitplan.gear.grids import Grid, column_letter
from kitplan.gear.intake.amounts import units_of
from kitplan.gear.intake.words import plain_words
from kitplan.gear.kit import Unit
from kitplan.gear.records import ITEM_TYPES, Optic
from kitplan.gear.sheets import MODES, columns_of, kind_of
from kitplan.sources import read_yaml
from kitplan.tables import table
from kitplan.wording import hint, plain

FIRST_ROWS = 20
"""The header is looked for in so many rows: titles may stand above it."""
NOTE, IGNORE = "note", "ignore"
_NAMING = frozenset({"name", "maker", "model"})
_IN_BRACKETS = re.compile(r"\s*[(\[]\s*(?:in\s+)?([^)\]]+)[)\]]\s*$")
_AFTER_WORD = re.compile(r"(?:\s+in\s+|\s*[,/]\s*|[\s_]+)(\S+)\s*$")
_CURRENCIES = frozenset({"€", "£", "$", "eur", "gbp", "usd", "chf", "sek", "nok", "dkk", "pln"})


@dataclass(frozen=True)
class Column:
    """One column of a table."""

    index: int
    title: str
    fact: str
    """Our name, or one of the words of the table that stand for several."""
    unit: str | None
    """Of numbers without one; None is the unit in the fact's name."""

    @property
    def label(self) -> str:
        """How messages call it: column D 'Weight (g)'."""
        return f"column {column_letter(self.index)} '{plain(self.title)}'"


@dataclass(frozen=True)
class Meant:
    """What a user's file says of a column."""

    fact: str
    unit: str | None = None


@dataclass(frozen=True)
class Header:
    """The columns of a table, and where they are named."""

    row: int
    """Position among the rows of the grid."""
    columns: tuple[Column, ...]
    unknown: tuple[str, ...]
    """Titles that mean no fact: their cells go into the note."""


@cache
def facts() -> frozenset[str]:
    """Return every name that a column may stand for."""
    own = {*Optic.model_fields, *Unit.model_fields, *table("column_names")["fields"]}
    for model in ITEM_TYPES.values():
        own |= set(model.model_fields)
    return frozenset(own - {"modes", "built_in", "measured", "looked_up", "to_ask"})


def read_meanings(path: Path) -> dict[str, Meant]:
    """Return what a file says of columns: `Their title: our_fact`, `Their title: our_fact in g`.

    Raises:
        BadInput: If it is no such YAML file, or names a fact or unit that there is not.
    """
    document = read_yaml(path)
    problems: list[Problem] = []
    found: dict[str, Meant] = {}
    if not isinstance(document.data, dict):
        right = "Write one line for each column, such as 'Weight: mass_kg in g'"
        raise BadInput([Problem(document.file, 1, "this is not a list of columns", right)])
    for title, value in document.data.items():
        fact, _, unit = str(value).strip().partition(" in ")
        fact, unit = fact.strip(), unit.strip().casefold()
        line = document.line_of((title,))
        if fact not in facts():
            wrong = f"column '{plain(title)}' is to be '{plain(fact)}', which is no fact"
            problems.append(Problem(document.file, line, wrong, hint(fact, facts())))
        elif unit and unit not in units_of(fact):
            wrong = f"{fact} of column '{plain(title)}' cannot be in '{plain(unit)}'"
            known = units_of(fact)
            right = hint(unit, known) if known else "Leave ' in ...' out"
            problems.append(Problem(document.file, line, wrong, right))
        found[plain_words(title)] = Meant(fact, unit or None)
    if problems:
        raise BadInput(problems)
    return found


def header_of(grid: Grid, meanings: Mapping[str, Meant], problems: list[Problem]) -> Header | None:
    """Return the columns of a table; None where no row names any.

    What is wrong with the header is added to the problems.
    """
    place = _header_place(grid, meanings)
    if place is None:
        words = "name, kind, owner, serial no, weight"
        wrong = "no row with names of columns was found"
        right = f"Name them in the first row ({words} ...), or map yours with --columns"
        problems.append(Problem(grid.file, 1, wrong, right))
        return None
    row = grid.rows[place]
    columns, unknown = [], []
    for index, title in enumerate(row.cells):
        if not title.strip():
            continue
        meant = meant_by(title, meanings)
        columns.append(Column(index, title.strip(), *_told(meant)))
        if meant is None:
            unknown.append(title.strip())
    header = Header(place, tuple(columns), tuple(unknown))
    problems += [Problem(grid.file, row.number, *fault) for fault in _faults(grid, header)]
    return header


def _told(meant: Meant | None) -> tuple[str, str | None]:
    return (NOTE, None) if meant is None else (meant.fact, meant.unit)


def _header_place(grid: Grid, meanings: Mapping[str, Meant]) -> int | None:
    """Return which row names the columns: the first of the top ones with two names, or all."""
    for place, row in enumerate(grid.rows[:FIRST_ROWS]):
        titles = [cell for cell in row.cells if cell.strip()]
        known = sum(meant_by(title, meanings) is not None for title in titles)
        if known >= min(2, len(titles)) and known:
            return place
    return None


def meant_by(title: str, meanings: Mapping[str, Meant]) -> Meant | None:
    """Return which fact a title means, with the unit that stands in it; None where it is none."""
    own = meanings.get(plain_words(title))
    if own is not None:
        return own
    for name, unit in _readings(title):
        fact = _fact_named(name)
        if fact is not None and (unit is None or unit in units_of(fact)):
            return Meant(fact, unit)
    bracketed = _IN_BRACKETS.search(title)
    fact = _fact_named(title[: bracketed.start()]) if bracketed else None
    return Meant(fact) if fact else None


def _readings(title: str) -> Iterator[tuple[str, str | None]]:
    """Yield the ways to take a title apart into a name and a unit."""
    yield title, None
    for pattern in (_IN_BRACKETS, _AFTER_WORD):
        found = pattern.search(title)
        if found:
            unit = found[1].strip().casefold().rstrip(".")
            yield title[: found.start()], None if unit in _CURRENCIES else unit


@cache
def _fact_named(name: str) -> str | None:
    stripped = name.strip()
    if stripped in facts() and stripped not in table("column_names")["fields"]:
        return stripped
    return _titles().get(plain_words(name))


@cache
def _titles() -> dict[str, str]:
    found: dict[str, str] = {}
    rows = table("column_names")["fields"]
    for fact, words in rows.items():
        for word in words:
            found.setdefault(plain_words(word), fact)
    for fact in rows:  # 'item' is the name of a thing to most people
        found.setdefault(plain_words(fact), fact)
    return found


def is_exact(grid: Grid) -> bool:
    """Whether a table is meant in the exact form of `sheets`: its kind is told, its things have
    ids, and no column is named in other words. Slips are left to `sheets`, which names them."""
    header = [cell.strip() for cell in grid.rows[0].cells] if grid.rows else []
    kind = kind_of(grid.name)
    if "kind" in header:
        known = {name for each in ITEM_TYPES for name in columns_of(each)} | {"kind"}
    elif kind is not None:
        known = set(columns_of(kind))
    else:
        return False
    others = [name for name in header if name and name not in known]
    key = "body" if kind == MODES else "id"
    return key in header and not any(meant_by(name, {}) for name in others)


def _faults(grid: Grid, header: Header) -> Iterator[tuple[str, str]]:
    """Yield what is wrong with a header row, and what would be right."""
    by_fact: dict[str, list[Column]] = {}
    for column in header.columns:
        by_fact.setdefault(column.fact, []).append(column)
    if by_fact.keys().isdisjoint(_NAMING):
        names = ", ".join(plain(column.title) for column in header.columns)
        yield (
            f"no column tells what the things are called; here are {names}",
            "Call one of them 'name', or map it with --columns",
        )
    for fact, columns in by_fact.items():
        if len(columns) > 1 and fact not in (NOTE, IGNORE):
            names = " and ".join(column.label for column in columns)
            right = (
                "Rename one, or say in a file for --columns which one counts (the other: ignore)"
            )
            yield f"{names} both mean {fact}", right
    number = grid.rows[header.row].number
    for top, bottom, cells in grid.merged:
        if top <= number <= bottom:
            yield (
                f"the cells {cells} of the header are merged",
                "Unmerge them and give each column a name of its own",
            )
    named = {column.index for column in header.columns}
    for index in sorted(_filled(grid, header) - named):
        if grid.delimiter and index >= len(grid.rows[header.row].cells):
            continue  # a cell too many in a row of its own, see `rows`
        row = next(r for r in grid.rows[header.row + 1 :] if r.cells[index : index + 1] > ("",))
        yield (
            f"column {column_letter(index)} has no name but holds {plain(row.cells[index])!r} "
            f"in row {row.number}",
            "Name it in the header, or clear it",
        )


def _filled(grid: Grid, header: Header) -> set[int]:
    """Return the columns with anything under the header."""
    return {
        index
        for row in grid.rows[header.row + 1 :]
        for index, cell in enumerate(row.cells)
        if cell.strip()
    }
