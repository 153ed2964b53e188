"""Facts from the rows of a table, one row at a time: what it says, in our names and units."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from kitplan.gear.cells import unprotected
from kitplan.gear.grids import Grid, Row
from kitplan.gear.intake.amounts import Unreadable, whole, yes_or_no
from kitplan.gear.intake.columns import IGNORE, NOTE, Column, Header
from kitplan.gear.intake.facts import (
    SEVERAL,
    UNIT_READERS,
    Cell,
    fact_of,
    looks_like_lens,
    one_line,
    parts_of,
    told_by_name,
)
from kitplan.gear.intake.words import is_nothing, is_total, last_meaning, meaning
from kitplan.gear.kit import Unit
from kitplan.gear.records import ITEM_TYPES, Optic
from kitplan.wording import hint, plain

_ERRORS = frozenset({"#REF!", "#N/A", "#VALUE!", "#DIV/0!", "#NAME?", "#NULL!", "#NUM!"})
_WRONG_LETTERS = re.compile("�|Ã[\x80-\xbf€‚ƒ„…†‡ˆ‰Š‹Œ‘’“”•–—˜™š›œ]|â€")
_UNSEEN = re.compile("[\u00ad\u200b\u2060\u202a-\u202e\u2066-\u2069\ufeff]")
"""What comes along when people copy from a web page: two names that look alike would differ, or
the letters after it stand backwards. Joiners of letters and marks of direction may be meant."""
_ROUNDED = re.compile(r"\d{15,}0|\d[\d.]*[eE]\+\d+")
"""A number of more than 15 digits, as spreadsheets keep it."""


@dataclass(frozen=True)
class Reading:
    """What one row says."""

    grid: Grid
    row: Row
    kind: str
    name: str
    item_id: str | None
    item: dict[str, Any]
    """Facts of the item by name."""
    unit_id: str | None
    unit: dict[str, Any]
    """Facts of each of its units."""
    serials: tuple[str, ...]
    count: int
    labels: tuple[str, ...]
    """What else it is called: its home is found by any of them."""


@dataclass(frozen=True)
class RowFault:
    """Why a row cannot be read."""

    wrong: str
    right: str


class Reader:
    """Reads the rows of one table."""

    def __init__(
        self,
        grid: Grid,
        header: Header,
        *,
        kind: str | None,
        owner: str | None,
    ) -> None:
        self._grid, self._columns = grid, header.columns
        self._width = len(grid.rows[header.row].cells)
        self._kind = kind or last_meaning("kinds", grid.name)
        self._owner = owner

    def heading(self, row: Row) -> bool:
        """Whether a row is only a heading ('Lenses'), which tells the kind of those below it, or
        the sums of a column."""
        cells = (row.cell(each.index) for each in self._columns if each.fact != IGNORE)
        filled = [cell for cell in cells if cell.strip()]
        if filled and is_total(filled[0]):
            return True
        kind = meaning("kinds", filled[0]) if len(filled) == 1 else None
        if kind is None or any(t <= row.number <= b > t for t, b, _ in self._grid.merged):
            return False
        self._kind = kind
        return True

    def read(self, row: Row) -> Reading | list[RowFault]:
        """Return what a row says, or everything that is wrong with it."""
        faults = list(self._damage(row))
        told: dict[str, tuple[Column, str]] = {}
        extras = []
        for column in self._columns:
            text = row.cell(column.index)
            text = unprotected(_UNSEEN.sub("", text.replace("\r\n", "\n").replace("\r", "\n")))
            if column.fact == IGNORE or is_nothing(text):
                continue
            if column.fact == NOTE:
                is_own = meaning("fields", column.title) is not None
                extras.append(text if is_own else f"{column.title}: {text}")
            else:
                told[column.fact] = (column, text)
        if faults:
            return faults
        name = _name({fact: text for fact, (_, text) in told.items()})
        kind = self._kind_of(told, name, faults)
        if not name:
            faults.append(RowFault("the row has no name", "Say what the thing is"))
        if kind is None or not name:
            return faults
        item, unit = self._facts(kind, told, faults)
        told_by_name(kind, name, item)
        return self._reading(row, kind, name, item, unit, told, extras, faults)

    def _reading(
        self,
        row: Row,
        kind: str,
        name: str,
        item: dict[str, Any],
        unit: dict[str, Any],
        told: Mapping[str, tuple[Column, str]],
        extras: list[str],
        faults: list[RowFault],
    ) -> Reading | list[RowFault]:
        count, serials = self._count(told, faults)
        if "owner" not in unit:
            if self._owner is None:
                right = "Fill in the owner, or give --owner NAME for all that have none"
                faults.append(RowFault("nothing says whose it is", right))
            else:
                unit["owner"] = self._owner
        notes = [*extras, *([unit["note"]] if "note" in unit else [])]
        if notes:
            unit["note"] = "; ".join(notes)
        ids = {fact: told[fact][1].strip() for fact in ("id", "item") if fact in told}
        labels = tuple(told[fact][1] for fact in ("name", "model", "id") if fact in told)
        return faults or Reading(
            self._grid,
            row,
            kind,
            name,
            ids.get("item"),
            item,
            ids.get("id"),
            unit,
            serials,
            count,
            labels,
        )

    def _damage(self, row: Row) -> Iterator[RowFault]:
        """Yield what keeps the cells of a row from being what somebody typed."""
        for column in self._columns:
            if column.fact == IGNORE:
                continue
            text = row.cell(column.index)
            if (row.number, column.index) in self._grid.formulas:
                right = "Open it in a spreadsheet and save it, or write the value itself"
                yield RowFault(f"{column.label} holds a formula without its result", right)
            elif text in _ERRORS:
                yield RowFault(f"{column.label} holds the error {text}", "Mend the formula")
            elif found := _WRONG_LETTERS.search(text):
                wrong = f"{column.label} holds '{plain(found[0])}', letters of another encoding"
                yield RowFault(
                    wrong, "Save the file anew as UTF-8, from where its letters are right"
                )
        if self._grid.delimiter and any(map(str.strip, row.cells[self._width :])):
            wrong = f"the row has {len(row.cells)} cells but the header {self._width}"
            yield RowFault(wrong, f"Put cells that contain {self._grid.delimiter!r} in quotes")
        for top, bottom, cells in self._grid.merged:
            if top <= row.number <= bottom:
                yield RowFault(f"the cells {cells} are merged", "Unmerge them and fill in each row")

    def _kind_of(
        self, told: Mapping[str, tuple[Column, str]], name: str, faults: list[RowFault]
    ) -> str | None:
        """Return the kind: from its column, the last word of its name, its sheet, its name."""
        text = told["kind"][1] if "kind" in told else ""
        names = [told["name"][1] if "name" in told else "", name]
        surely = next(filter(None, (last_meaning("kinds", n, at_end=True) for n in names)), None)
        perhaps = next(filter(None, (last_meaning("kinds", n) for n in names)), None)
        found = last_meaning("kinds", text) if text else None
        kind = found or surely or (None if text else self._kind) or perhaps
        if kind is None and looks_like_lens(name):
            kind = "lens"
        if kind is None and name:
            what = f"'{plain(text)}' is no kind of gear" if text else "nothing says what kind it is"
            right = f"Add a column kind, or --kind: {', '.join(ITEM_TYPES)}"
            faults.append(RowFault(what, hint(text, ITEM_TYPES) if text else right))
        return kind

    def _facts(
        self, kind: str, told: Mapping[str, tuple[Column, str]], faults: list[RowFault]
    ) -> tuple[dict[str, Any], dict[str, Any]]:
        item: dict[str, Any] = {}
        unit: dict[str, Any] = {}
        fields = ITEM_TYPES[kind].model_fields
        for fact, (column, text) in told.items():
            try:
                if fact in UNIT_READERS:
                    unit[fact] = UNIT_READERS[fact](text)
                elif fact in SEVERAL:
                    item |= SEVERAL[fact](self._cell(kind, column, text))
                elif fact in fields and fact not in ("id", "name", "kind", "note"):
                    item[fact] = fact_of(self._cell(kind, column, text))
                elif kind == "body" and fact in Optic.model_fields:
                    item[f"built_in.{fact}"] = fact_of(self._cell("lens", column, text))
                elif fact not in _TAKEN_APART and fact in Unit.model_fields:
                    unit[fact] = yes_or_no(text) if fact == "owner_only" else text
                elif fact not in _TAKEN_APART:
                    unit["note"] = "; ".join(
                        filter(None, (unit.get("note"), f"{column.title}: {text}"))
                    )
            except Unreadable as error:
                faults.append(RowFault(f"{column.label} is {error.wrong}", error.right))
        return item, unit

    def _cell(self, kind: str, column: Column, text: str) -> Cell:
        return Cell(kind, column.fact, text, column.unit, self._grid.comma_is_decimal)

    def _count(
        self, told: Mapping[str, tuple[Column, str]], faults: list[RowFault]
    ) -> tuple[int, tuple[str, ...]]:
        """Return how many there are, and the serial of each where they are given."""
        count = 1
        if "count" in told:
            column, text = told["count"]
            try:
                count = whole(text)
            except Unreadable as error:
                faults.append(RowFault(f"{column.label} is {error.wrong}", error.right))
        if "serial" not in told:
            return count, ()
        column, text = told["serial"]
        serials = (text,) if count == 1 else tuple(filter(None, map(str.strip, parts_of(text))))
        if _ROUNDED.fullmatch(text):
            right = "Format the column as text and type it again"
            faults.append(
                RowFault(f"{column.label} is {text}: a spreadsheet has rounded the number", right)
            )
        elif len(serials) != count:
            wrong = f"{column.label} has {len(serials)} serials for {count} things"
            faults.append(
                RowFault(wrong, "Give each its own row, or as many serials, parted by commas")
            )
        return count, serials


_TAKEN_APART = frozenset({"id", "item", "name", "maker", "model", "kind", "serial", "count"})


def _name(texts: Mapping[str, str]) -> str:
    """Return the name of a thing: maker and model where there are such columns, else its name."""
    name = one_line(texts.get("name", ""))
    exact = " ".join(one_line(texts[each]) for each in ("maker", "model") if each in texts)
    if not exact or exact.casefold() in name.casefold():
        return name
    if not name or meaning("kinds", name) is not None:
        return exact  # 'Lens' says its kind, not which one
    return f"{exact} {name}" if "model" not in texts else f"{name} ({exact})"
