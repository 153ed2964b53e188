"""Facts as the text of cells and back: guards against formulas, lists, days away.

Cells that a spreadsheet would run as a formula are written with an apostrophe in front, which is
taken off again on reading. Several values in one cell are separated by |; one that holds a | itself
has it written as \\|. A single | is an empty list. Days away read
`2027-05-14/2027-05-16 with the owner`, `2027-05-14/ in repair` while nobody knows the last day,
`2027-05-14 at a wedding` for one day.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, get_origin

from pydantic import BaseModel

from kitplan.gear.kit import Away

SEPARATOR = "|"
_FORMULA = re.compile("'*[=+@\t\r-]")
_PROTECTED = re.compile("'+[=+@\t\r-]")
_AWAY = re.compile(r"(?P<begins>[^\s/]+)(?P<until>/(?P<ends>[^\s/]+)?)?\s+(?P<why>.*)", re.DOTALL)
_PIECE = re.compile(r"\\*\||[^\\|]+|\\+")


def protected(text: str) -> str:
    """Return a text as a cell that no spreadsheet takes for a formula."""
    return f"'{text}" if _FORMULA.match(text) else text


def unprotected(cell: str) -> str:
    """Return a cell's text without the apostrophe that keeps it from being a formula."""
    cell = cell.strip()
    return cell[1:] if _PROTECTED.match(cell) else cell


def marked_as_text(text: str) -> str:
    """Return a text for a cell whose type says that it is no formula: guarded only where reading
    would take an apostrophe of its own for the guard."""
    return f"'{text}" if _PROTECTED.match(text) else text


def cell_of(value: Any) -> str:
    """Return a value as the text of a cell, not yet protected."""
    match value:
        case bool():
            return "yes" if value else "no"
        case tuple():
            return joined([cell_of(each) for each in value])
        case Away():
            return f"{value.begins}/{value.ends or ''} {value.why}"
        case _:
            return str(value)


def csv_cell(value: Any) -> str:
    """Return a value as the text of a cell that no spreadsheet takes for a formula."""
    cell = cell_of(value)
    return cell if isinstance(value, (int, float)) else protected(cell)


def told_facts(record: BaseModel) -> dict[str, Any]:
    """Return the facts of a record that fit into cells and are not their defaults."""
    return {
        name: value
        for name in type(record).model_fields
        if (value := getattr(record, name)) != type(record).model_fields[name].default
        and not isinstance(value, BaseModel)
    }


def data_of(model: type[BaseModel], cells: Mapping[str, str]) -> dict[str, Any]:
    """Return cells as the data of a record: lists split, all else as text for pydantic to read."""
    data: dict[str, Any] = {}
    for name, cell in cells.items():
        is_list = name in model.model_fields and (
            get_origin(model.model_fields[name].annotation) is tuple
        )
        data[name] = split(cell) if is_list else cell
        if is_list and name == "away":
            data[name] = [_away(part) for part in data[name]]
    return data


def joined(parts: Sequence[str]) -> str:
    """Return several texts as one cell, which `split` takes apart again."""
    guarded = [re.sub(r"(\\*)\|", r"\1\1\\|", part) for part in parts]
    guarded = [part + _backslashes(part) for part in guarded[:-1]] + guarded[-1:]
    return SEPARATOR.join(guarded) or SEPARATOR


def split(cell: str) -> list[str]:
    """Return the texts of a cell that holds several."""
    parts = [""]
    for piece in _PIECE.findall(cell):
        if not piece.endswith(SEPARATOR):
            parts[-1] += piece
            continue
        parts[-1] += "\\" * ((len(piece) - 1) // 2)
        if len(piece) % 2:
            parts.append("")
        else:
            parts[-1] += SEPARATOR
    return [part.strip() for part in parts if part.strip()]


def _backslashes(text: str) -> str:
    """Return the backslashes at the end of a text; doubled, a | after them still separates."""
    return text[len(text.rstrip("\\")) :]


def _away(text: str) -> Any:
    """Return days away as data; what is none as text, for the record to refuse."""
    found = _AWAY.fullmatch(text)
    if not found:
        return text
    ends = found["ends"] if found["until"] else found["begins"]
    return {"begins": found["begins"], "ends": ends, "why": found["why"]}
