"""Things to be counted, as lines of a checklist: equal ones on one line, with their number."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from kitplan.gear.records import Sound
from kitplan.paper.layout import counted
from kitplan.paper.lists import build_rank
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Fields, Tick
from kitplan.plan.brought import cases_around

Cells = tuple[str, ...]
OUT_AND_IN = ("out", "in")
KINDS = ("case", "body", "lens", "adapter", "head", "support")


def no_cells(_: str) -> Cells:
    """Return nothing for the further columns."""
    return ()


def count_fields(lead: str) -> Fields:
    """Return the foot of a list: what it comes to, and who has counted."""
    return Fields(("Counted out", "Counted in", "by"), is_in_row=True, lead=lead)


def ticks(
    names: Names,
    units: Iterable[str],
    more: Callable[[str], Cells] = no_cells,
    mark: Callable[[str], str] | None = None,
) -> tuple[Tick, ...]:
    """Return the lines of a checklist, each unit once, in the order in which they first come.

    Args:
        more: What stands in the further columns beside a unit; only those that agree in it share a
            line.
        mark: What stands beside the id of a unit.
    """
    lines: dict[tuple[str, Cells], list[str]] = {}
    for unit in dict.fromkeys(units):
        lines.setdefault((names.item_of(unit).id, more(unit)), []).append(unit)
    found = []
    for (_, cells), same in lines.items():
        ids = tuple(sorted(same, key=numbered))
        found.append(Tick(names.unit(ids[0]), ids, tuple(map(mark, ids)) if mark else (), cells))
    return tuple(found)


def numbered(unit_id: str) -> tuple[tuple[int, str], ...]:
    """Return a key that puts `card-2` before `card-10`."""
    return tuple(
        (int(part), "") if part.isdecimal() else (0, part) for part in re.split(r"(\d+)", unit_id)
    )


def mass_kg(names: Names, units: Iterable[str]) -> float:
    """Return the mass of units, each by itself, in kg."""
    return sum(names.item_of(unit).mass_kg for unit in units)


def total(names: Names, units: Iterable[str]) -> str:
    """Return number and mass: '9 things, 4.1 kg'; no mass where it rounds to nothing."""
    found = tuple(units)
    mass = f"{mass_kg(names, found):.1f}"
    return counted(len(found), "thing") + (f", {mass} kg" if mass != "0.0" else "")


def rank(names: Names, unit_id: str) -> tuple[int, int, str, tuple[tuple[int, str], ...]]:
    """Return a key that puts a case before its things, large things before small ones, and those
    as they are built.
    """
    item = names.item_of(unit_id)
    kind = KINDS.index(item.kind) if item.kind in KINDS else len(KINDS)
    return kind, build_rank(names, unit_id), item.name, numbered(unit_id)


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
