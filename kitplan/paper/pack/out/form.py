"""Sheets as plain data for templates: every block a dict with its kind; equal pictures once."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass
from functools import cache
from hashlib import sha256
from typing import Any

from kitplan.paper.pack.blocks import (
    Beside,
    Checklist,
    Facts,
    Fields,
    Frames,
    Picture,
    Points,
    Sheet,
    Table,
    Words,
)


class Form:
    """Collects the pictures of the sheets that it turns into plain data."""

    def __init__(self, spell: Callable[[str], str]) -> None:
        """Begin.

        Args:
            spell: Writes a text with the signs that the output can show.
        """
        self.pictures: dict[str, str] = {}
        """SVG by name."""
        self._spell = spell
        self._names: dict[str, str] = {}

    def sheets(self, sheets: Iterable[Sheet]) -> list[dict[str, Any]]:
        """Return sheets as dicts."""
        return [self._plain(sheet) for sheet in sheets]

    def _plain(self, value: Any) -> Any:
        if isinstance(value, str):
            return "\n".join(map(self._spell, value.split("\n")))  # lines of a cell stay
        if isinstance(value, tuple):
            return [self._plain(each) for each in value if not _is_empty(each)]
        if not is_dataclass(value):
            return value
        if isinstance(value, Picture):
            return {**self._fields(value, but="svg"), "svg": self._name(value.svg)}
        return self._fields(value)

    def _fields(self, value: Any, but: str = "") -> dict[str, Any]:
        names = [name for name in _names_of(value.__class__) if name != but]
        found = {name: self._plain(getattr(value, name)) for name in names}
        return found | {"kind": type(value).__name__.lower()}

    def _name(self, svg: str) -> str:
        if svg not in self._names:
            name = f"p{sha256(svg.encode()).hexdigest()[:16]}"
            self._names[svg] = name
            self.pictures[name] = svg
        return self._names[svg]


@cache
def _names_of(kind: Any) -> tuple[str, ...]:
    return tuple(each.name for each in fields(kind))


def _is_empty(value: Any) -> bool:
    """Whether it is a block that shows nothing; it would leave a gap or an orphaned header."""
    match value:
        case Words():
            return not value.text
        case Points() | Checklist():
            return not value.lines
        case Facts() | Table():
            return not value.rows
        case Frames():
            return not value.cells
        case Fields():
            return not value.labels
        case Beside():
            return all(map(_is_empty, (*value.left, *value.right)))
        case _:
            return False
