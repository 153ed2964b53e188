"""What is owned but cannot be had on the days of the passes: who or what has it, until when."""

from __future__ import annotations

from collections import Counter

from kitplan.gear.kit import Unit
from kitplan.paper.layout import joined
from kitplan.paper.names import Names
from kitplan.shoot.brief import Brief

GONE = ("missing", "retired")
"""Conditions of units that nobody expects to be there."""


def away_lines(names: Names) -> list[str]:
    """Return a line for each reason why units are away, and what no unit is left of."""
    units: dict[str, dict[str, Unit]] = {}
    for shoot in names.plan.shoots.values():
        brief = Brief(shoot, names.plan.kit)
        for item in names.plan.kit.items:
            for bar in brief.bars(item.id):
                if bar.unit.condition not in GONE:
                    units.setdefault(bar.words, {})[bar.unit.id] = bar.unit
    return [_line(names, words, [*found.values()]) for words, found in units.items()]


def _line(names: Names, words: str, units: list[Unit]) -> str:
    counts = Counter(names.unit(unit.id) for unit in units)
    things = [name if number == 1 else f"{number} x {name}" for name, number in counts.items()]
    none_left = [
        names.plan.kit.items_by_id[item].name
        for item in dict.fromkeys(unit.item for unit in units)
        if not _is_left(names, item)
    ]
    start = f"{words[0].upper()}{words[1:]}: {joined(things)}."
    return f"{start} No other is left of: {', '.join(none_left)}." if none_left else start


def _is_left(names: Names, item: str) -> bool:
    return any(
        Brief(shoot, names.plan.kit).free_units(item, each)
        for shoot in names.plan.shoots.values()
        for each in shoot.passes
    )
