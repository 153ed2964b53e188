"""What is still to ask of the gear, and what an answer changes.

A fact is asked while a guess stands in for it, or (of the few that planning leans on most) until it
is measured. How much hangs on it is left to `whatif.asking`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from kitplan.gear.intake.amounts import Unreadable, dimension_of
from kitplan.gear.intake.facts import Cell, fact_of
from kitplan.gear.kit import Kit
from kitplan.gear.records import AnyItem, Body
from kitplan.tables import table

_NOTHING = frozenset({"none", "never", "no", "-"})
_SOURCES = ("looked_up", "to_ask")
_DIGITS = 4


@dataclass(frozen=True)
class Question:
    """A fact of an item that nobody has measured."""

    item: str
    """Its id."""
    name: str
    fact: str
    value: str
    """What is assumed so far; empty where nothing is."""
    ask: str
    unit: str
    how: str
    is_guess: bool
    """Nobody has said it at all."""
    ends: tuple[float, ...]
    """The least and the most that it may be; empty where it is no number."""


def questions(kit: Kit) -> Iterator[Question]:
    """Yield what is to ask of every item that has a unit, in the order of the kit."""
    rows: dict[str, dict[str, Any]] = table("questions")
    for item in kit.items:
        if item.id not in kit.units_by_item:
            continue
        for fact, row in rows.items():
            if item.kind in row["kinds"] and _is_open(item, fact, row["when"]):
                yield _question(item, fact, row)


def _is_open(item: AnyItem, fact: str, when: str) -> bool:
    if item.is_measured(fact):
        return False
    value = value_of(item, fact)
    if fact == "battery_min" and value is None:
        return False
    is_absent = value is None and when == "absent"
    return fact in item.to_ask or when == "unmeasured" or is_absent


def value_of(item: AnyItem, fact: str) -> Any:
    """Return the value of a fact; a dot reaches inside, `modes` are told by their shortest clip."""
    if fact == "modes" and isinstance(item, Body):
        limits = [mode.clip_limit_min for mode in item.modes if mode.clip_limit_min is not None]
        return min(limits, default=None)
    value: Any = item
    for step in fact.split("."):
        value = getattr(value, step, None)
    return value


def _question(item: AnyItem, fact: str, row: dict[str, Any]) -> Question:
    value = value_of(item, fact)
    shown = "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
    ends: tuple[float, ...] = ()
    is_number = isinstance(value, (int, float)) and fact != "modes"
    if is_number and row["low"] != row["high"]:
        ends = (round(value * row["low"], _DIGITS), round(value * row["high"], _DIGITS))
    is_guess = fact in item.to_ask
    return Question(
        item.id, item.name, fact, shown, row["ask"], row["unit"], row["how"], is_guess, ends
    )


def answered(item: AnyItem, fact: str, text: str) -> dict[str, Any]:
    """Return the facts that an answer changes, the fact marked as measured among them.

    Raises:
        Unreadable: If it is no such amount.
    """
    changed: dict[str, Any]
    is_nothing = text.strip().casefold() in _NOTHING
    if fact == "modes":
        assert isinstance(item, Body)  # only bodies have modes
        clip_min = None if is_nothing else _value(item.kind, "clip", text)
        modes = [mode.model_copy(update={"clip_limit_min": clip_min}) for mode in item.modes]
        changed = {"modes": [mode.model_dump(exclude_defaults=True) for mode in modes]}
    elif is_nothing and fact in ("plate", "heat_limit_min"):
        changed = {fact: None}
    else:
        changed = {fact: _value(item.kind, fact, text)}
    if fact == "max_iso" and isinstance(item, Body) and changed[fact] < item.base_iso:
        wrong = f"{changed[fact]:g}, below its base ISO {item.base_iso:g}"
        raise Unreadable(wrong, "Change base_iso first, or give a higher one")
    changed["measured"] = [*dict.fromkeys((*item.measured, fact))]
    for source in _SOURCES:
        changed[source] = [name for name in getattr(item, source) if name != fact]
    return changed


def _value(kind: str, fact: str, text: str) -> Any:
    if fact == "clip" or "." in fact:
        name = fact.rpartition(".")[2]
        return Cell(kind, name, text, None, True).amount(name)
    found = fact_of(Cell(kind, fact, text, None, True))
    if dimension_of(fact) is not None and not found > 0:
        raise Unreadable(repr(text), "Write a number above 0")
    return found
