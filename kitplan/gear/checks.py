"""What must hold across a whole kit: ids, references between records, mounts, plain adapters.

One function for each rule, all run by `faults`. Where a record stands in a file is left to `files`.
A mount written `own/...` is the user's own: it needs no entry in the reference table, and only
lenses of the identical mount fit it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from kitplan import tables
from kitplan.gear.kit import Kit
from kitplan.gear.records import Adapter, AnyItem, Battery, Body, Case, Charger, Lens, Sound
from kitplan.wording import hint, nearest

OWN_MOUNT = "own/"


@dataclass(frozen=True)
class Fault:
    """A rule that does not hold, and the field of the record that breaks it."""

    part: Literal["items", "units"]
    index: int
    """Position in the kit's items or units."""
    id: str
    field: str
    wrong: str
    right: str


def faults(kit: Kit, known: Kit = Kit.EMPTY) -> list[Fault]:
    """Return everything that does not hold in the kit.

    Args:
        known: Further gear that the kit may refer to; it is not checked itself.
    """
    items_by_id = known.items_by_id | kit.items_by_id
    return [
        *_repeated_ids(kit),
        *_units_without_item(kit, items_by_id),
        *_wrong_homes(kit, known, items_by_id),
        *_wrong_batteries(kit, items_by_id),
        *_unknown_mounts(kit, tables.flange_mm_by_mount()),
        *_impossible_rings(kit, tables.flange_mm_by_mount(), tables.table("mounts")),
    ]


def _repeated_ids(kit: Kit) -> Iterator[Fault]:
    """An id belongs to one item or one unit."""
    item_ids = {item.id for item in kit.items}
    seen: set[str] = set()
    for index, item in enumerate(kit.items):
        if item.id in seen:
            wrong = f"the item id '{item.id}' is given twice"
            yield Fault("items", index, item.id, "id", wrong, "Give each item an id of its own")
        seen.add(item.id)
    seen = set()
    for index, unit in enumerate(kit.units):
        if unit.id in item_ids:
            wrong = f"the unit has the same id as the item '{unit.id}'"
            right = f"Call the unit {unit.id}-1, for example"
            yield Fault("units", index, unit.id, "id", wrong, right)
        elif unit.id in seen:
            wrong = f"the unit id '{unit.id}' is given twice"
            yield Fault("units", index, unit.id, "id", wrong, "Give each unit an id of its own")
        seen.add(unit.id)


def _units_without_item(kit: Kit, items_by_id: Mapping[str, AnyItem]) -> Iterator[Fault]:
    """A unit is one of an item."""
    for index, unit in enumerate(kit.units):
        if unit.item not in items_by_id:
            wrong = f"unit '{unit.id}' is of item '{unit.item}', which does not exist"
            right = _meant(unit.item, items_by_id, "add the item")
            yield Fault("units", index, unit.id, "item", wrong, right)


def _wrong_homes(kit: Kit, known: Kit, items_by_id: Mapping[str, AnyItem]) -> Iterator[Fault]:
    """A unit's home is a unit of a case, and no case is at home inside itself."""
    units_by_id = {unit.id: unit for unit in (*known.units, *kit.units)}
    cases = [
        unit.id
        for unit in units_by_id.values()
        if isinstance(items_by_id.get(unit.item), Case) or unit.item not in items_by_id
    ]
    for index, unit in enumerate(kit.units):
        if unit.case is None:
            continue
        if unit.case not in cases:
            exists = unit.case in units_by_id
            what = "which is not a case" if exists else "which does not exist"
            wrong = f"the case of unit '{unit.id}' is '{unit.case}', {what}"
            right = _meant(unit.case, cases, "give the id of a unit of a case")
            yield Fault("units", index, unit.id, "case", wrong, right)
            continue
        inner, path = unit, {unit.id}
        while inner.case is not None and inner.case in units_by_id and inner.case not in path:
            inner = units_by_id[inner.case]
            path.add(inner.id)
        if inner.case == unit.id:
            wrong = f"case '{unit.id}' is at home inside itself"
            yield Fault("units", index, unit.id, "case", wrong, "Give the outermost one no case")


def _wrong_batteries(kit: Kit, items_by_id: Mapping[str, AnyItem]) -> Iterator[Fault]:
    """What takes or charges batteries names items of kind battery."""
    batteries = [item.id for item in items_by_id.values() if isinstance(item, Battery)]
    for index, item in enumerate(kit.items):
        match item:
            case Body(battery=str(battery)) | Sound(battery=str(battery)):
                field, named = "battery", [battery]
            case Charger():
                field, named = "batteries", [*item.batteries]
            case _:
                continue
        for battery in named:
            if battery not in batteries:
                what = "is not a battery" if battery in items_by_id else "does not exist"
                wrong = f"'{item.id}' names the battery '{battery}', which {what}"
                right = _meant(battery, batteries, "add an item of kind battery")
                yield Fault("items", index, item.id, field, wrong, right)


def _mounts_of(item: AnyItem) -> list[tuple[str, str]]:
    """Return the fields of an item that name a mount, with the mount."""
    match item:
        case Body(mount=str(mount)) | Lens(mount=mount):
            return [("mount", mount)]
        case Adapter():
            return [("lens_mount", item.lens_mount), ("body_mount", item.body_mount)]
        case _:
            return []


def _unknown_mounts(kit: Kit, flange_mm_by_mount: Mapping[str, float]) -> Iterator[Fault]:
    """Mounts stand in the reference table, or are marked as the user's own."""
    for index, item in enumerate(kit.items):
        for field, mount in _mounts_of(item):
            if mount not in flange_mm_by_mount and not mount.startswith(OWN_MOUNT):
                wrong = f"{field} of '{item.id}' is '{mount}', which is not in the mount table"
                right = f"{hint(mount, flange_mm_by_mount)}. Or write {OWN_MOUNT}{mount}"
                yield Fault("items", index, item.id, field, wrong, right)


def _impossible_rings(
    kit: Kit, flange_mm_by_mount: Mapping[str, float], mounts: Mapping[str, float]
) -> Iterator[Fault]:
    """A plain ring fills what the lens's flange distance is longer than the body's.

    flange(lens mount) - flange(body mount) >= least_ring_mm of the mount table.
    """
    least_mm = mounts["least_ring_mm"]
    for index, item in enumerate(kit.items):
        if not isinstance(item, Adapter) or item.has_glass:
            continue
        lens_mm = flange_mm_by_mount.get(item.lens_mount)
        body_mm = flange_mm_by_mount.get(item.body_mount)
        if lens_mm is None or body_mm is None:
            continue
        if round(lens_mm - body_mm, 3) < least_mm:
            wrong = (
                f"plain adapter '{item.id}' cannot exist: lens mount {item.lens_mount} sits "
                f"{lens_mm:g} mm from the sensor and body mount {item.body_mount} {body_mm:g} mm, "
                f"{lens_mm - body_mm:.2f} mm apart"
            )
            right = f"A ring needs at least {least_mm:g} mm: set has_glass, or correct the mounts"
            yield Fault("items", index, item.id, "lens_mount", wrong, right)


def _meant(word: str, known: Iterable[str], otherwise: str) -> str:
    """Return "Did you mean 'x'? Or ..." for a reference that leads nowhere."""
    near = nearest(word, known)
    return f"Did you mean '{near}'? Or {otherwise}" if near else otherwise.capitalize()
