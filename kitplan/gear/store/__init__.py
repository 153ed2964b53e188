"""The inventory: the owned kit in one SQLite file. Only this package knows SQL.

Every write is one immediate transaction, so that the file survives a kill at any moment and two
people writing at once take turns. Reading opens the file read-only. Migrations are numbered and
never change once released. Rules across records are those of `checks`.
"""

from __future__ import annotations

import getpass
import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from copy import deepcopy
from pathlib import Path
from typing import Any, Literal, TypeVar

from kitplan.checked import validated
from kitplan.errors import BadInput, Problem, StoreError
from kitplan.gear.checks import Fault, faults
from kitplan.gear.history import Own
from kitplan.gear.kit import Kit, Unit, facts_of, grouped
from kitplan.gear.records import ITEM_TYPES, AnyItem, Record
from kitplan.gear.store.away import gone
from kitplan.gear.store.bookings import Bookings
from kitplan.gear.store.care import Care
from kitplan.gear.store.connection import (
    close,
    database,
    migrate,
    opened_for_reading,
    opened_for_writing,
    told,
    transaction,
)
from kitplan.gear.store.desk import Desk, Now, as_json, now
from kitplan.gear.store.finding import Finding
from kitplan.gear.store.ledger import Ledger
from kitplan.gear.store.loans import Loans
from kitplan.gear.store.trust import Trust
from kitplan.wording import file_name, nearest, plain

R = TypeVar("R", bound=Record)

_ITEM_COLUMNS = ("id", "kind", "name", "mass_kg", "facts", "measured", "note")
_UNIT_COLUMNS = {name: "home_case" if name == "case" else name for name in Unit.model_fields}
_LISTS = ("photos", "away")
"""Facts of a unit that are stored as JSON."""


class Store:
    """An open inventory. Use `Store.open` or `Store.in_memory` in a `with` statement."""

    def __init__(self, desk: Desk) -> None:
        self._desk, self._where = desk, desk.where

    @classmethod
    @contextmanager
    def open(cls, path: Path, *, writing: bool, who: str = "", clock: Now = now) -> Iterator[Store]:
        """Open an inventory file; writing makes it where it does not exist.

        Args:
            who: Signs changes in the ledger; by default the user of the machine.
            clock: Gives the moment of a change.
        Raises:
            StoreError: If it is missing, no inventory, locked, damaged, in the wrong place, or
                (for writing) was written by a newer kitplan.
        """
        where = file_name(path)
        with told(where):
            db = opened_for_writing(path) if writing else opened_for_reading(path)
            try:
                yield cls(Desk(db, where, who or _user(), clock))
            finally:
                close(db) if writing else db.close()

    @classmethod
    @contextmanager
    def in_memory(cls, kit: Kit) -> Iterator[Store]:
        """Open an inventory that holds a kit and is forgotten afterwards."""
        with told("memory"):
            db = database(sqlite3.connect(":memory:"))
            try:
                migrate(db)
                store = cls(Desk(db, "memory", "memory"))
                store.save_kit(kit, replace=False)
                yield store
            finally:
                db.close()

    @property
    def ledger(self) -> Ledger:
        """Every change that was ever made."""
        return Ledger(self._desk)

    @property
    def loans(self) -> Loans:
        """Who has what."""
        return Loans(self._desk)

    @property
    def bookings(self) -> Bookings:
        """What is spoken for, by whom, when."""
        return Bookings(self._desk)

    @property
    def care(self) -> Care:
        """Faults, repairs, runs, what is due."""
        return Care(self._desk)

    @property
    def finding(self) -> Finding:
        """Questions over everything."""
        return Finding(self._desk)

    @property
    def trust(self) -> Trust:
        """Copies and checks of the file."""
        return Trust(self._desk)

    @contextmanager
    def as_one(self, what: str) -> Iterator[None]:
        """Run a block as one change: what it looks up stays true until it is done.

        Args:
            what: Names the change in the ledger.
        """
        with self._desk.writing(what):
            yield

    def load(self) -> Kit:
        """Return the whole kit, items grouped by kind.

        Raises:
            StoreError: If a stored record is not one that this version knows.
        """
        with transaction(self._desk.db, "BEGIN"):
            items = self._desk.rows(f"SELECT {', '.join(_ITEM_COLUMNS)} FROM items ORDER BY place")
            return grouped(Kit(items=tuple(map(self._item_from, items)), units=self.units()))

    def load_for(self, own: Own) -> Kit:
        """Return the whole kit as it is there for a shoot: units are away while they are lent,
        booked by others or in repair.

        Raises:
            StoreError: If a stored record is not one that this version knows.
        """
        with transaction(self._desk.db, "BEGIN"):
            return gone(self._desk, own).in_kit(self.load())

    def units(
        self, *, item: str | None = None, kind: str | None = None, owner: str | None = None
    ) -> tuple[Unit, ...]:
        """Return the units, of one item, kind of item or owner where given."""
        wanted = {"items.id": item, "items.kind": kind, "units.owner": owner}
        filters = {column: value for column, value in wanted.items() if value is not None}
        columns = ", ".join(f"units.{column} AS {column}" for column in _UNIT_COLUMNS.values())
        rows = self._desk.rows(
            f"SELECT {columns} FROM units LEFT JOIN items ON items.id = units.item"
            f"{' WHERE ' if filters else ''}{' AND '.join(f'{name} = ?' for name in filters)}"
            " ORDER BY units.place",
            list(filters.values()),
        )
        return tuple(map(self._unit_from, rows))

    def save_kit(self, kit: Kit, *, replace: bool) -> None:
        """Add a kit, all of it or nothing.

        Raises:
            StoreError: If an id exists already and is not to be replaced, or if the inventory
                would break a rule.
        """
        with self._desk.writing("added"):
            clashing = self._taken([record.id for record in (*kit.items, *kit.units)])
            if clashing and not replace:
                raise StoreError(
                    f"these ids are in the inventory already: {_listed(clashing)}",
                    where=self._where,
                    fix="Choose other ids, or use --replace to overwrite them",
                )
            self._refuse_faults(kit, others_stay_right=not clashing)
            self._put_items(kit.items)
            self._put_units(kit.units)

    def add_item(self, item: AnyItem, units: Sequence[Unit] = ()) -> None:
        """Add an item with its units; see `save_kit` for what may go wrong."""
        self.save_kit(Kit(items=(item,), units=tuple(units)), replace=False)

    def add_unit(self, unit: Unit) -> None:
        """Add a unit of an item in the inventory; see `save_kit` for what may go wrong."""
        self.save_kit(Kit(units=(unit,)), replace=False)

    def find(self, record_id: str) -> AnyItem | Unit:
        """Return the item or unit of an id.

        Raises:
            StoreError: If there is none.
        """
        found: dict[str, AnyItem | Unit] = {}
        found |= self.items_by_id([record_id])
        found |= self.units_by_id([record_id])
        if record_id in found:
            return found[record_id]
        tables = "SELECT id FROM units UNION ALL SELECT id FROM items"
        raise _missing(record_id, [row["id"] for row in self._desk.rows(tables)], self._where)

    def change_item(self, item_id: str, facts: Mapping[str, Any]) -> AnyItem:
        """Change facts of an item and return it.

        Args:
            facts: New values by name; `built_in.focal_min_mm` reaches inside, None takes a fact
                back to its default.
        Raises:
            StoreError: If there is no such item or the inventory would break a rule.
            BadInput: If the item would not be a valid one.
        """
        with self._desk.writing("changed"):
            before = self._named("items", item_id)
            item: AnyItem = _changed(before, _no_guesses(before, facts))
            self._refuse_faults(Kit(items=(item,)), others_stay_right=True)
            self._put_items([item])
        return item

    def change_unit(self, unit_id: str, facts: Mapping[str, Any]) -> Unit:
        """Change facts of a unit and return it; see `change_item`."""
        with self._desk.writing("changed"):
            before = self._named("units", unit_id)
            unit: Unit = _changed(before, facts)
            is_same = unit.item == before.item
            self._refuse_faults(Kit(units=(unit,)), others_stay_right=is_same)
            self._put_units([unit])
        return unit

    def retire_unit(self, unit_id: str) -> Unit:
        """Mark a unit as no longer owned and return it; it stays on record.

        Raises:
            StoreError: If there is no such unit.
        """
        with self._desk.writing("retired"):
            return self.change_unit(unit_id, {"condition": "retired"})

    def retire_item(self, item_id: str) -> tuple[Unit, ...]:
        """Retire every unit of an item and return them.

        Raises:
            StoreError: If there is no such item.
        """
        with self._desk.writing("retired"):
            self._named("items", item_id)
            units = [
                unit.model_copy(update={"condition": "retired"})
                for unit in self.units(item=item_id)
            ]
            self._put_units(units)
        return tuple(units)

    def _refuse_faults(self, kit: Kit, *, others_stay_right: bool) -> None:
        """Refuse a change that makes the inventory break a rule it did not break before.

        Older faults (a mount that left the reference table, say) must not block other changes.

        Args:
            kit: The records that are new or changed.
            others_stay_right: No rule of another record can be broken by it, so that only what
                these name has to be looked up; the rest only where there is something to say.
        Raises:
            StoreError: With every new fault.
        """
        if others_stay_right and not faults(kit, self._named_by(kit)):
            return
        before = self.load()
        known = {_essence(fault) for fault in faults(before)}
        new = [f for f in faults(_merged(before, kit)) if _essence(f) not in known]
        if new:
            raise StoreError(
                "; ".join(fault.wrong for fault in new),
                where=self._where,
                fix=". ".join(dict.fromkeys(fault.right for fault in new)),
            )

    def _named_by(self, kit: Kit) -> Kit:
        """Return the gear of the inventory that records of a kit name, with its homes."""
        units: dict[str, Unit] = {}
        homes = {unit.case for unit in kit.units if unit.case is not None}
        while homes:
            found = self.units_by_id([*homes])
            units |= found
            homes = {u.case for u in found.values() if u.case is not None} - units.keys()
        items = {unit.item for unit in (*kit.units, *units.values())}
        for item in kit.items:
            items |= {getattr(item, "battery", None) or item.id, *getattr(item, "batteries", ())}
        own_items, own_units = ({record.id for record in part} for part in (kit.items, kit.units))
        return Kit(
            items=tuple(i for i in self.items_by_id([*items]).values() if i.id not in own_items),
            units=tuple(unit for unit in units.values() if unit.id not in own_units),
        )

    def items_by_id(self, ids: Sequence[str]) -> dict[str, AnyItem]:
        """Return the items of some ids; those that do not exist are absent."""
        rows = self._desk.rows(
            f"SELECT {', '.join(_ITEM_COLUMNS)} FROM items "
            "WHERE id IN (SELECT value FROM json_each(?))",
            [as_json(ids)],
        )
        return {row["id"]: self._item_from(row) for row in rows}

    def units_by_id(self, ids: Sequence[str]) -> dict[str, Unit]:
        """Return the units of some ids; those that do not exist are absent."""
        rows = self._desk.rows(
            f"SELECT {', '.join(_UNIT_COLUMNS.values())} FROM units "
            "WHERE id IN (SELECT value FROM json_each(?))",
            [as_json(ids)],
        )
        return {row["id"]: self._unit_from(row) for row in rows}

    def _taken(self, ids: Sequence[str]) -> set[str]:
        """Return which of some ids an item or a unit has already."""
        rows = self._desk.rows(
            "SELECT id FROM items WHERE id IN (SELECT value FROM json_each(:ids)) UNION "
            "SELECT id FROM units WHERE id IN (SELECT value FROM json_each(:ids))",
            {"ids": as_json(ids)},
        )
        return {row["id"] for row in rows}

    def _named(self, part: Literal["items", "units"], record_id: str) -> Any:
        """Return an item or a unit.

        Raises:
            StoreError: If there is none of that id.
        """
        found = (self.items_by_id if part == "items" else self.units_by_id)([record_id])
        if record_id in found:
            return found[record_id]
        known = [row["id"] for row in self._desk.rows(f"SELECT id FROM {part}")]
        raise _missing(record_id, known, self._where)

    def _put_items(self, items: Iterable[AnyItem]) -> None:
        for item in items:
            facts = facts_of(item)
            row = {
                "id": item.id,
                "kind": facts.pop("kind"),
                "name": item.name,
                "mass_kg": item.mass_kg,
                "measured": as_json(item.measured),
                "note": item.note,
            }
            row["facts"] = as_json({key: value for key, value in facts.items() if key not in row})
            self._desk.put("items", row)

    def _put_units(self, units: Iterable[Unit]) -> None:
        for unit in units:
            facts = unit.model_dump(mode="json")
            facts |= {name: as_json(facts[name]) for name in _LISTS}
            self._desk.put("units", {column: facts[name] for name, column in _UNIT_COLUMNS.items()})

    def _item_from(self, row: dict[str, Any]) -> AnyItem:
        try:
            model: Any = ITEM_TYPES[row["kind"]]
            facts = dict(json.loads(row.pop("facts")))
            data = facts | row | {"measured": json.loads(row["measured"])}
        except (KeyError, TypeError, ValueError) as error:
            raise self._desk.unreadable(row["id"], "its facts are not those of an item") from error
        item: AnyItem = self._desk.record(model, data)
        return item

    def _unit_from(self, row: dict[str, Any]) -> Unit:
        data = {name: row[column] for name, column in _UNIT_COLUMNS.items()}
        data |= {name: json.loads(data[name]) for name in _LISTS}
        return self._desk.record(Unit, data | {"owner_only": bool(data["owner_only"])})


def _user() -> str:
    """Return the name of the user of this machine."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):  # no name for the user id, as in bare containers
        return "somebody"


def _listed(ids: Iterable[str]) -> str:
    """Return the first dozen ids, and how many there are beyond."""
    first, rest = sorted(ids)[:12], len(set(ids)) - 12
    return ", ".join(first) + (f" and {rest} more" if rest > 0 else "")


def _essence(fault: Fault) -> tuple[str, str, str]:
    """Return what tells a fault from another, whatever its position."""
    return fault.part, fault.id, fault.wrong


def _merged(kit: Kit, new: Kit) -> Kit:
    """Return a kit with records added, or put in the place of those of the same id."""
    items = {item.id: item for item in kit.items} | {item.id: item for item in new.items}
    units = {unit.id: unit for unit in kit.units} | {unit.id: unit for unit in new.units}
    return Kit.model_construct(items=tuple(items.values()), units=tuple(units.values()))


def _missing(record_id: str, known: Iterable[str], where: str) -> StoreError:
    near = nearest(record_id, known)
    return StoreError(
        f"there is no '{plain(record_id)}'",
        where=where,
        fix=f"Did you mean '{near}'?" if near else "`kitplan gear list` shows what there is",
    )


def _no_guesses(item: AnyItem, facts: Mapping[str, Any]) -> dict[str, Any]:
    """Return new facts, which are neither guesses nor looked up any more."""
    kept = {
        source: [name for name in getattr(item, source) if name not in facts]
        for source in ("looked_up", "to_ask")
        if not facts.keys().isdisjoint(getattr(item, source))
    }
    return {**kept, **facts}


def _changed(record: R, facts: Mapping[str, Any]) -> R:
    """Return a record with new facts.

    Raises:
        BadInput: If a name or value is wrong, or the record would not be a valid one.
    """
    data = facts_of(record)
    where = f"change of '{data['id']}'"
    for name in ("id", "kind"):
        if name in facts and facts[name] != data.get(name):
            right = "Add a new one and retire this one"
            raise BadInput([Problem(where, 0, f"{name} cannot be changed", right)])
    return validated(type(record), with_facts(data, facts), file=where, line_of=lambda _: 0)


def with_facts(data: Mapping[str, Any], facts: Mapping[str, Any]) -> dict[str, Any]:
    """Return data with facts put in by name; a dot reaches inside, None takes a fact out."""
    merged = deepcopy(dict(data))
    for name, value in facts.items():
        *path, last = name.split(".")
        inner = merged
        for step in path:
            below = inner.get(step)
            inner[step] = below if isinstance(below, dict) else {}
            inner = inner[step]
        if value is None:
            inner.pop(last, None)
        else:
            inner[last] = value
    return merged
