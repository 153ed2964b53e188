"""Items and units of rows: what each row comes to, or why it comes to nothing.

A faulty row takes with it only what hangs on it: its item where no other row tells it, the things
whose home it is.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from kitplan.checked import validated
from kitplan.errors import BadInput
from kitplan.gear.checks import faults
from kitplan.gear.intake.ids import identifier
from kitplan.gear.intake.rows import Reading, RowFault
from kitplan.gear.intake.things import Group, Manner, Things, items_of
from kitplan.gear.intake.words import plain_words
from kitplan.gear.kit import Kit, Unit, facts_of
from kitplan.gear.records import AnyItem, Case
from kitplan.wording import hint, plain


@dataclass(frozen=True)
class Built:
    """What rows come to, and the rows that come to nothing."""

    kit: Kit
    faulty: dict[int, list[RowFault]]
    """By position of the reading."""


def built(readings: Sequence[Reading], known: Kit, manner: Manner) -> Built:
    """Return the items and units of rows; each row is in the kit or faulty."""
    return _Building(readings, known, manner).built()


class _Building:
    def __init__(self, readings: Sequence[Reading], known: Kit, manner: Manner) -> None:
        self._readings, self._known, self._manner = readings, known, manner
        self._faulty: dict[int, list[RowFault]] = {}
        self._things = Things(readings, known, manner, self._fail)
        self._known_units = {unit.id: unit for unit in known.units}
        self._units: dict[str, Unit] = {}
        self._row_by_unit: dict[str, int] = {}
        self._row_by_serial: dict[tuple[str, str], int] = {}

    def built(self) -> Built:
        """Run it."""
        self._things.make()
        for group in self._things.groups:
            if group.item is not None:
                self._make_units(group, group.item)
        items = tuple(items_of(self._things))
        self._settle_homes(items)
        kit = Kit(items=items, units=tuple(self._units.values()))
        self._judge(kit)
        return Built(kit, self._faulty)

    def _fail(self, place: int, wrong: str, right: str) -> None:
        found = self._faulty.setdefault(place, [])
        if RowFault(wrong, right) not in found:
            found.append(RowFault(wrong, right))

    def _row(self, place: int) -> str:
        reading = self._readings[place]
        return f"row {reading.row.number} of {plain(reading.grid.name)}"

    def _make_units(self, group: Group, item: AnyItem) -> None:
        present = self._known.units_by_item.get(item.id, ())
        by_serial = {unit.serial.casefold(): unit for unit in present if unit.serial}
        numbers = self._numbers(item.id)
        for place in group.members:
            reading = self._readings[place]
            if place in self._faulty:
                continue
            for index in range(reading.count):
                serial = reading.serials[index] if reading.serials else ""
                owned = by_serial.get(serial.casefold()) if serial else None
                if not self._takes_serial(place, serial, owned):
                    break
                own = self._own_id(reading, index, item.id)
                unit_id = own or (owned.id if owned is not None else next(numbers))
                self._put_unit(place, unit_id, item.id, serial)

    def _takes_serial(self, place: int, serial: str, owned: Unit | None) -> bool:
        """Refuse a serial that another thing of its kind has."""
        if not serial:
            return True
        key = (self._readings[place].kind, serial.casefold())
        other = self._row_by_serial.setdefault(key, place)
        is_own = sum(each.casefold() == key[1] for each in self._readings[place].serials) == 1
        if other != place or not is_own:
            where = self._row(other) if other != place else "the same row"
            wrong = f"the serial {plain(serial)} stands in {where} too"
            self._fail(place, wrong, "Two things have two serials: correct one, or take it out")
            return False
        if owned is not None and self._manner != "replace":
            wrong = f"the serial {plain(serial)} is that of '{owned.id}' in the inventory"
            self._fail(place, wrong, "Take the row out, or use --replace to overwrite the unit")
            return False
        return True

    def _numbers(self, item_id: str) -> Iterator[str]:
        """Yield the ids of further units: ITEM-1, ITEM-2 ... as far as they are free."""
        number = 0
        while True:
            number += 1
            found = f"{item_id}-{number}"
            if found in self._units:
                continue
            present = self._known_units.get(found)
            if present is None:
                is_free = found not in self._known.items_by_id
            else:
                is_free = present.item == item_id and self._manner == "replace"
            if is_free:
                yield found

    def _own_id(self, reading: Reading, index: int, item_id: str) -> str | None:
        if reading.unit_id is None:
            return None
        own = identifier(reading.unit_id, keeps_case=True)
        own = f"{own}-1" if own == item_id and reading.count == 1 else own
        if not own:
            return None
        return own if reading.count == 1 else f"{own}-{index + 1}"

    def _put_unit(self, place: int, unit_id: str, item_id: str, serial: str) -> None:
        other = self._row_by_unit.get(unit_id)
        owned = self._known_units.get(unit_id)
        if other is not None:
            wrong = f"the id '{plain(unit_id)}' stands in {self._row(other)} too"
            self._fail(place, wrong, "Give each thing an id of its own")
            return
        if owned is not None and self._manner != "replace":
            wrong = f"'{plain(unit_id)}' is in the inventory already"
            self._fail(place, wrong, "Give it another id, or use --replace to overwrite it")
            return
        reading = self._readings[place]
        told = {name: value for name, value in reading.unit.items() if name != "case"}
        told |= {"serial": serial} if serial else {}
        before = facts_of(owned) if owned is not None else {}
        data = before | told | {"id": unit_id, "item": item_id}
        try:
            unit = validated(Unit, data, file=reading.grid.file, line_of=lambda _: 0)
        except BadInput as error:
            for problem in error.problems:
                self._fail(place, problem.wrong, problem.right)
            return
        self._units[unit_id] = unit
        self._row_by_unit[unit_id] = place

    def _settle_homes(self, items: Sequence[AnyItem]) -> None:
        """Give units their home case, told by its id or its name."""
        by_id = {item.id: item for item in (*self._known.items, *items)}
        homes: defaultdict[str, set[str]] = defaultdict(set)
        for unit in (*self._known.units, *self._units.values()):
            case = by_id.get(unit.item)
            if isinstance(case, Case):
                place = self._row_by_unit.get(unit.id)
                labels = self._readings[place].labels if place is not None else ()
                for name in (unit.id, case.id, case.name, *labels):
                    homes[plain_words(name)].add(unit.id)
                homes[plain_words(unit.id)] = {unit.id}
        for unit_id, unit in self._units.items():
            place = self._row_by_unit[unit_id]
            named = self._readings[place].unit.get("case")
            if named is None:
                continue
            found = homes.get(plain_words(named), set())
            if len(found) == 1:
                self._units[unit_id] = unit.model_copy(update={"case": next(iter(found))})
            elif found:
                wrong = f"the case '{plain(named)}' is one of {len(found)} of that name"
                self._fail(place, wrong, f"Write its id: {', '.join(sorted(found)[:6])}")
            else:
                wrong = f"the case '{plain(named)}' is nowhere listed"
                right = "Add a row for it (kind case), or call the column 'shelf' if it is a place"
                self._fail(place, wrong, f"{right}. {hint(named, homes)}" if homes else right)

    def _judge(self, kit: Kit) -> None:
        """Hold the kit against the rules across records."""
        own = {record.id for record in (*kit.items, *kit.units)}
        others = Kit.model_construct(
            items=tuple(item for item in self._known.items if item.id not in own),
            units=tuple(unit for unit in self._known.units if unit.id not in own),
        )
        rows = {group.item_id: group.members for group in self._things.groups}
        for fault in faults(kit, others):
            record: Any = (kit.items if fault.part == "items" else kit.units)[fault.index]
            places = (
                rows.get(record.id, ()) if fault.part == "items" else [self._row_by_unit[record.id]]
            )
            for place in places:
                self._fail(place, fault.wrong, fault.right)
