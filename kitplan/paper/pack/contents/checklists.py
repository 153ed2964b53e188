"""Things to be counted, as lines of a checklist: equal ones on one line, with their number."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from kitplan.gear.records import Sound
from kitplan.paper.layout import counted
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Fields, Tick
from kitplan.plan.brought import cases_around

Cells = tuple[str, ...]
OUT_AND_IN = ("out", "in")
COUNTED = Fields(("Counted out", "Counted in", "by"), is_in_row=True)


def no_cells(_: str) -> Cells:
    """Return nothing for the further columns."""
    return ()


def ticks(
    names: Names, units: Iterable[str], more: Callable[[str], Cells] = no_cells
) -> tuple[Tick, ...]:
    """Return the lines of a checklist, each unit once, in the order in which they first come.

    Args:
        more: What stands in the further columns beside a unit; only those that agree in it share a
            line.
    """
    lines: dict[tuple[str, Cells], list[str]] = {}
    for unit in dict.fromkeys(units):
        lines.setdefault((names.item_of(unit).id, more(unit)), []).append(unit)
    return tuple(
        Tick(names.unit(found[0]), tuple(sorted(found, key=numbered)), cells)
        for (_, cells), found in lines.items()
    )


def numbered(unit_id: str) -> tuple[tuple[int, str], ...]:
    """Return a key that puts `card-2` before `card-10`."""
    return tuple(
        (int(part), "") if part.isdecimal() else (0, part) for part in re.split(r"(\d+)", unit_id)
    )


def mass_kg(names: Names, units: Iterable[str]) -> float:
    """Return the mass of units, each by itself, in kg."""
    return sum(names.item_of(unit).mass_kg for unit in units)


def total(names: Names, units: Iterable[str]) -> str:
    """Return number and mass: '9 things, 4.1 kg'."""
    found = tuple(units)
    return f"{counted(len(found), 'thing')}, {mass_kg(names, found):.1f} kg"


def is_at_venue(names: Names, unit_id: str) -> bool:
    """Whether a unit is part of the house and never travels: a feed from the desk."""
    item = names.item_of(unit_id)
    return isinstance(item, Sound) and item.what == "desk-feed"


def home_case(names: Names, unit_id: str) -> str:
    """Return the outermost case that a unit lives in; a case by itself; empty for neither."""
    around = cases_around(names.units_by_id, unit_id)
    if around:
        return around[-1]
    return unit_id if names.item_of(unit_id).kind == "case" else ""


def possessive(name: str) -> str:
    """Return whose something is: 'Ann's'."""
    return f"{name}'s"
