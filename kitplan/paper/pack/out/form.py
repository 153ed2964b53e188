"""Sheets as plain data for templates: every block a dict with its kind; equal pictures once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, is_dataclass
from hashlib import sha256
from typing import Any

from kitplan.paper.pack.blocks import Picture, Sheet


class Form:
    """Collects the pictures of the sheets that it turns into plain data."""

    def __init__(self) -> None:
        self.pictures: dict[str, str] = {}
        """SVG by name."""

    def sheets(self, sheets: Iterable[Sheet]) -> list[dict[str, Any]]:
        """Return sheets as dicts."""
        return [self._plain(sheet) for sheet in sheets]

    def _plain(self, value: Any) -> Any:
        if isinstance(value, tuple):
            return [self._plain(each) for each in value]
        if not is_dataclass(value):
            return value
        found = {each.name: self._plain(getattr(value, each.name)) for each in fields(value)}
        found["kind"] = type(value).__name__.lower()
        if isinstance(value, Picture):
            found["svg"] = self._name(value.svg)
        return found

    def _name(self, svg: str) -> str:
        name = f"p{sha256(svg.encode()).hexdigest()[:16]}"
        self.pictures[name] = svg
        return name
