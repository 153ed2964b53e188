"""The schedule for the insurer: what is owned, by whom, what it would cost to replace."""

from __future__ import annotations

from collections.abc import Iterable

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import AnyItem, Condition, Record

GONE: frozenset[Condition] = frozenset({"retired"})
"""What is missing stays on the schedule: it may be a claim."""


class Insured(Record):
    """A line of the schedule."""

    unit: str
    name: str
    kind: str
    owner: str
    serial: str
    value: float | None
    condition: str
    is_hired: bool
    """It belongs to a hire house, whose value is seldom covered by the owner's policy."""
    photos: tuple[str, ...]


class Total(Record):
    """What stands on the schedule of an owner, or of all."""

    owner: str
    """Empty for all owners."""
    units: int
    value: float
    """Sum of the values that are known."""
    without_value: int
    without_serial: int
    without_photo: int


def schedule(kit: Kit, owner: str | None = None) -> tuple[Insured, ...]:
    """Return the schedule, by owner, then the dearest first; of one owner where given."""
    lines = [
        _insured(unit, kit.items_by_id[unit.item])
        for unit in kit.units
        if unit.condition not in GONE and owner in (None, unit.owner)
    ]
    return tuple(sorted(lines, key=lambda line: (line.owner, -(line.value or 0.0), line.unit)))


def totals(lines: Iterable[Insured]) -> tuple[Total, ...]:
    """Return the total of each owner and, where there are several, that of all."""
    by_owner: dict[str, list[Insured]] = {}
    for line in lines:
        by_owner.setdefault(line.owner, []).append(line)
    found = [_total(owner, own) for owner, own in by_owner.items()]
    if len(by_owner) > 1:
        found.append(_total("", [line for own in by_owner.values() for line in own]))
    return tuple(found)


def _insured(unit: Unit, item: AnyItem) -> Insured:
    return Insured(
        unit=unit.id,
        name=item.name,
        kind=item.kind,
        owner=unit.owner,
        serial=unit.serial,
        value=unit.value,
        condition=unit.condition,
        is_hired=unit.hire is not None,
        photos=unit.photos,
    )


def _total(owner: str, lines: list[Insured]) -> Total:
    return Total(
        owner=owner,
        units=len(lines),
        value=round(sum(line.value or 0.0 for line in lines), 2),
        without_value=sum(line.value is None for line in lines),
        without_serial=sum(not line.serial for line in lines),
        without_photo=sum(not line.photos for line in lines),
    )
