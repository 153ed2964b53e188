"""The text of a YAML file with the place of every value in it, for changing one and no other byte.

A change is a list of splices: what stands from one index to another gives way to other text.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from io import StringIO
from typing import Any

from kitplan.errors import BadInput, Problem
from kitplan.sources import composed
from kitplan.wording import Place

WIDEST = 110
"""Rows are broken where they get wider than this."""
_ANCHOR = "an anchor (&name) is used in several places"
_DASH = re.compile(r"^[ ]*-(?=\s)", re.MULTILINE)


@dataclass(frozen=True)
class Splice:
    """Text that takes the place of what stands from one index to another."""

    start: int
    end: int
    text: str


def spliced(text: str, splices: Iterable[Splice]) -> str:
    """Return a text with splices, which do not overlap, done."""
    for each in sorted(splices, key=lambda one: (one.start, one.end), reverse=True):
        text = text[: each.start] + each.text + text[each.end :]
    return text


class Tree:
    """A YAML text and its nodes."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file
        self.root: Any = composed(text, file)

    # -- nodes -------------------------------------------------------------------------------------

    @cached_property
    def _shared(self) -> frozenset[int]:
        """Nodes that stand in several places, through aliases."""
        seen: set[int] = set()
        shared: set[int] = set()
        waiting = [self.root]
        while waiting:
            node = waiting.pop()
            if id(node) in seen:
                shared.add(id(node))
                continue
            seen.add(id(node))
            waiting += _children(node)
        return frozenset(shared)

    def at(self, place: Place) -> Any:
        """Return the node at a place; None where there is none.

        Raises:
            BadInput: If it is written once for several places.
        """
        node = self.root
        for part in place:
            if node is None:
                return None
            if node.id == "mapping":
                node = next((value for key, value in node.value if key.value == part), None)
            elif node.id == "sequence" and isinstance(part, int) and part < len(node.value):
                node = node.value[part]
            else:
                return None
            if node is not None and id(node) in self._shared:
                raise self.refusal(node, _ANCHOR)
        return node

    def pair(self, place: Place) -> tuple[Any, Any]:
        """Return the key and the value of a fact that is there."""
        mapping = self.at(place[:-1])
        found: tuple[Any, Any] = next(p for p in mapping.value if p[0].value == place[-1])
        return found

    def refusal(self, node: Any, why: str) -> BadInput:
        """Return what says that a place cannot be changed by the page."""
        wrong = f"the page cannot change this place: {why}"
        line = node.start_mark.line + 1
        return BadInput([Problem(self.file, line, wrong, "Change it in the file by hand")])

    # -- extents -----------------------------------------------------------------------------------

    def after_colon(self, key: Any) -> int:
        """Return the index after the colon of a key."""
        return self.text.index(":", key.end_mark.index) + 1

    def is_empty(self, node: Any) -> bool:
        """Whether nothing at all is written for a value."""
        return node.id == "scalar" and bool(node.start_mark.index == node.end_mark.index)

    def end(self, node: Any) -> int:
        """Return the index after the last letter of a node, comments behind it not counted.

        Raises:
            BadInput: If it is written once for several places: one cannot tell where it ends here.
        """
        if id(node) in self._shared:
            raise self.refusal(node, _ANCHOR)
        if node.id != "scalar" and not node.flow_style and node.value:
            if node.id == "sequence":
                return self.end(node.value[-1])
            return self.pair_end(*node.value[-1])
        written = self.text[node.start_mark.index : node.end_mark.index]
        return int(node.start_mark.index) + len(written.rstrip())

    def pair_end(self, key: Any, value: Any) -> int:
        """Return the index after the last letter of a fact."""
        return self.after_colon(key) if self.is_empty(value) else self.end(value)

    def line_start(self, index: int) -> int:
        """Return where the line of an index begins."""
        return self.text.rfind("\n", 0, index) + 1

    def line_end(self, index: int) -> int:
        """Return where the line of an index ends, its comment included."""
        found = self.text.find("\n", index)
        return len(self.text) if found < 0 else found

    def column(self, index: int) -> int:
        """Return how many letters stand before an index on its line."""
        return index - self.line_start(index)

    def dash(self, sequence: Any, number: int) -> int:
        """Return where the dash of an entry of a block list stands.

        Raises:
            BadInput: If it does not begin a line.
        """
        node = sequence.value[number]
        before = self.end(sequence.value[number - 1]) if number else None
        start = self.line_start(sequence.start_mark.index) if before is None else before
        found = _DASH.search(self.text, start, node.start_mark.index)
        if found is None:
            raise self.refusal(node, "its dash does not begin a line")
        return found.end() - 1


def _children(node: Any) -> list[Any]:
    if node.id == "sequence":
        return list(node.value)
    return [each for pair in node.value for each in pair] if node.id == "mapping" else []


# -- values as text --------------------------------------------------------------------------------


def flow(value: Any) -> str:
    """Return a value on one line, texts quoted where they have to be."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{scalar(k)}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(flow, value)) + "]"
    return scalar(value)


def scalar(value: Any) -> str:
    """Return a single value as YAML that stands in lists and rows as well."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return _number(value)
    from ruamel.yaml import YAML

    yaml = YAML()
    yaml.default_flow_style = True
    yaml.width = 1_000_000
    yaml.allow_unicode = True
    stream = StringIO()
    yaml.dump([value], stream)
    return stream.getvalue().strip()[1:-1]


def _number(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)
    return "0" if text == "-0" else text


def flow_row(row: dict[str, Any], indent: int) -> str:
    """Return an entry of a list as `- {...}`, broken between facts where it gets too wide."""
    facts = [f"{scalar(name)}: {flow(value)}" for name, value in row.items()]
    lines = [" " * indent + "- {"]
    for number, fact in enumerate(facts):
        piece = fact + ("}" if number == len(facts) - 1 else ",")
        is_new = lines[-1].endswith("{") or not lines[-1].strip()
        if not is_new and len(lines[-1]) + len(piece) + 1 > WIDEST:
            lines.append(" " * (indent + 3))
            is_new = True
        lines[-1] += piece if is_new else f" {piece}"
    return "\n".join(lines)


def block_row(row: dict[str, Any], indent: int) -> str:
    """Return an entry of a list with a line for each fact."""
    lines = [f"{scalar(name)}: {flow(value)}" for name, value in row.items()]
    lead = [" " * indent + "- ", *[" " * (indent + 2)] * (len(lines) - 1)]
    return "\n".join(before + line for before, line in zip(lead, lines, strict=True))
