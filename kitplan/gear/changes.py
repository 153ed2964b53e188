"""What taking gear in would do to an inventory: which records are new, which change and how."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from kitplan.gear.kit import Kit
from kitplan.gear.records import Record

_BELONGS = {"kind", "id"}


@dataclass(frozen=True)
class Change:
    """What happens to one item or unit."""

    part: Literal["item", "unit"]
    id: str
    what: Literal["new", "changed", "same"]
    facts: dict[str, tuple[Any, Any]]
    """Those that change: before and after; of a new one every fact that is told."""


def changes(kit: Kit, known: Kit) -> Iterator[Change]:
    """Yield what becomes of each record of a kit that is put into an inventory."""
    units = {unit.id: unit for unit in known.units}
    for item in kit.items:
        yield _change("item", item, known.items_by_id.get(item.id))
    for unit in kit.units:
        yield _change("unit", unit, units.get(unit.id))


def _change(part: Literal["item", "unit"], record: Any, before: Record | None) -> Change:
    after_facts = record.model_dump(mode="json")
    if before is None:
        told = record.model_dump(mode="json", exclude_defaults=True)
        new = {name: (None, value) for name, value in told.items() if name not in _BELONGS}
        return Change(part, record.id, "new", new)
    before_facts = before.model_dump(mode="json")
    differing = {
        name: (before_facts.get(name), value)
        for name, value in after_facts.items()
        if before_facts.get(name) != value
    }
    return Change(part, record.id, "changed" if differing else "same", differing)
