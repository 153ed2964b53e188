"""Which labels there are, of a plan or of a whole kit, and what is said on each."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from kitplan.gear.kit import Kit
from kitplan.gear.records import ITEM_TYPES
from kitplan.paper.lists import pass_lists
from kitplan.paper.names import Names
from kitplan.paper.pack.contents.checklists import numbered
from kitplan.plan.records import Plan

What = Literal["units", "cases", "batteries", "cards"]
WHATS: tuple[What, ...] = get_args(What)
_KINDS: dict[str, What] = {"case": "cases", "battery": "batteries", "media": "cards"}
"""Every other kind of thing is labelled with `units`."""
LETTERED = ("body", "media", "battery")
"""Kinds of things that bear the letter of their camera."""


@dataclass(frozen=True)
class Label:
    """What is said on a label."""

    unit: str
    name: str
    """Of its item."""
    owner: str
    letter: str = ""
    """Of the one camera that it serves in every pass; empty where there is none, or several."""
    address: str = ""
    """Of the page that its code opens; empty for a code that only scanners read."""


def labels_of_kit(
    kit: Kit, whats: Collection[str] = WHATS, people: Mapping[str, str] | None = None
) -> tuple[Label, ...]:
    """Return a label for every unit of a kit, by kind and item.

    Args:
        people: Names of owners by id, where they are known.
    """
    known = people or {}
    owners = {unit.id: known.get(unit.owner, unit.owner) for unit in kit.units}
    return tuple(
        Label(unit, kit.items_by_id[item].name, owners[unit]) for unit, item in _wanted(kit, whats)
    )


def labels_of_plan(plan: Plan, whats: Collection[str] = WHATS) -> tuple[Label, ...]:
    """Return a label for everything that a plan takes, cases included."""
    names = Names(plan)
    lists = pass_lists(names, plan.pass_ids())
    taken = {entry.unit for each in lists for entry in each.entries}
    letters: dict[str, set[str]] = {}
    for placement in plan.placements:
        for unit in placement.units:
            letters.setdefault(unit, set()).add(placement.letter)
    return tuple(
        Label(unit, names.unit(unit), names.owner(unit), _letter(names, unit, letters))
        for unit, _ in _wanted(plan.kit, whats)
        if unit in taken
    )


def _letter(names: Names, unit: str, letters: dict[str, set[str]]) -> str:
    found = letters.get(unit, set())
    return min(found) if len(found) == 1 and names.item_of(unit).kind in LETTERED else ""


def _wanted(kit: Kit, whats: Collection[str]) -> list[tuple[str, str]]:
    """Return unit and item of what is wanted: by kind, item and number."""
    kinds = list(ITEM_TYPES)
    items = kit.items_by_id
    found = [
        (kinds.index(items[unit.item].kind), unit.item, numbered(unit.id), unit.id)
        for unit in kit.units
        if _KINDS.get(items[unit.item].kind, "units") in whats
    ]
    return [(unit, item) for _, item, _, unit in sorted(found)]
