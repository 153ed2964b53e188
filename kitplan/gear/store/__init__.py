"""The inventory: the owned kit in one SQLite file. Only this package knows SQL.

Every write is one immediate transaction, so that the file survives a kill at any moment and two
people writing at once take turns. Reading opens the file read-only. Migrations are numbered and
never change once released. Rules across records are those of `checks`.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from copy import deepcopy
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from kitplan.checked import validated
from kitplan.errors import BadInput, Problem, StoreError
from kitplan.gear.checks import Fault, faults
from kitplan.gear.records import ITEM_TYPES, AnyItem, Kit, Record, Unit, facts_of, grouped
from kitplan.gear.store.connection import (
    database,
    migrate,
    opened_for_reading,
    opened_for_writing,
    told,
    transaction,
)
from kitplan.wording import file_name, nearest, plain

if TYPE_CHECKING:
    from sqlite_utils import Database

R = TypeVar("R", bound=Record)

_ITEM_COLUMNS = ("id", "kind", "name", "mass_kg", "facts", "measured", "note")
_UNIT_COLUMNS = {name: "home_case" if name == "case" else name for name in Unit.model_fields}


class Store:
    """An open inventory. Use `Store.open` or `Store.in_memory` in a `with` statement."""

    def __init__(self, db: Database, where: str) -> None:
        self._db, self._where = db, where

    @classmethod
    @contextmanager
    def open(cls, path: Path, *, writing: bool) -> Iterator[Store]:
        """Open an inventory file; writing makes it where it does not exist.

        Raises:
            StoreError: If it is missing, no inventory, locked, damaged, in the wrong place, or
                (for writing) was written by a newer kitplan.
        """
        where = file_name(path)
        with told(where):
            db = opened_for_writing(path) if writing else opened_for_reading(path)
            try:
                yield cls(db, where)
            finally:
                db.close()

    @classmethod
    @contextmanager
    def in_memory(cls, kit: Kit) -> Iterator[Store]:
        """Open an inventory that holds a kit and is forgotten afterwards."""
        with told("memory"):
            db = database(sqlite3.connect(":memory:"))
            try:
                migrate(db)
                store = cls(db, "memory")
                store.save_kit(kit, replace=False)
                yield store
            finally:
                db.close()

    def load(self) -> Kit:
        """Return the whole kit, items grouped by kind.

        Raises:
            StoreError: If a stored record is not one that this version knows.
        """
        with transaction(self._db, "BEGIN"):
            items = self._rows(f"SELECT {', '.join(_ITEM_COLUMNS)} FROM items ORDER BY place")
            return grouped(Kit(items=tuple(map(self._item_from, items)), units=self.units()))

    def units(
        self, *, item: str | None = None, kind: str | None = None, owner: str | None = None
    ) -> tuple[Unit, ...]:
        """Return the units, of one item, kind of item or owner where given."""
        wanted = {"items.id": item, "items.kind": kind, "units.owner": owner}
        filters = {column: value for column, value in wanted.items() if value is not None}
        columns = ", ".join(f"units.{column} AS {column}" for column in _UNIT_COLUMNS.values())
        rows = self._rows(
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
        with transaction(self._db), self._checked():
            taken = [
                one["id"]
                for part in ("items", "units")
                for one in self._rows(f"SELECT id FROM {part} ORDER BY place")
            ]
            clashing = {record.id for record in (*kit.items, *kit.units)} & set(taken)
            if clashing and not replace:
                raise StoreError(
                    f"these ids are in the inventory already: {_listed(clashing)}",
                    where=self._where,
                    fix="Choose other ids, or use --replace to overwrite them",
                )
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
        return _found(self.load(), record_id, self._where)

    def change_item(self, item_id: str, facts: Mapping[str, Any]) -> AnyItem:
        """Change facts of an item and return it.

        Args:
            facts: New values by name; `built_in.focal_min_mm` reaches inside, None takes a fact
                back to its default.
        Raises:
            StoreError: If there is no such item or the inventory would break a rule.
            BadInput: If the item would not be a valid one.
        """
        with transaction(self._db), self._checked():
            item: AnyItem = _changed(self._named("items", item_id), facts)
            self._put_items([item])
        return item

    def change_unit(self, unit_id: str, facts: Mapping[str, Any]) -> Unit:
        """Change facts of a unit and return it; see `change_item`."""
        with transaction(self._db), self._checked():
            unit: Unit = _changed(self._named("units", unit_id), facts)
            self._put_units([unit])
        return unit

    def retire_unit(self, unit_id: str) -> Unit:
        """Mark a unit as no longer owned and return it; it stays on record.

        Raises:
            StoreError: If there is no such unit.
        """
        return self.change_unit(unit_id, {"condition": "retired"})

    def retire_item(self, item_id: str) -> tuple[Unit, ...]:
        """Retire every unit of an item and return them.

        Raises:
            StoreError: If there is no such item.
        """
        with transaction(self._db):
            self._named("items", item_id)
            units = [
                unit.model_copy(update={"condition": "retired"})
                for unit in self.units(item=item_id)
            ]
            self._put_units(units)
        return tuple(units)

    @contextmanager
    def _checked(self) -> Iterator[None]:
        """Refuse a change that makes the inventory break a rule it did not break before.

        Older faults (a mount that left the reference table, say) must not block other changes.
        """
        before = {_essence(fault) for fault in faults(self.load())}
        yield
        new = [fault for fault in faults(self.load()) if _essence(fault) not in before]
        if new:
            raise StoreError(
                "; ".join(fault.wrong for fault in new),
                where=self._where,
                fix=". ".join(dict.fromkeys(fault.right for fault in new)),
            )

    def _named(self, part: Literal["items", "units"], record_id: str) -> Any:
        kit = self.load()
        part_of_kit = Kit(items=kit.items) if part == "items" else Kit(units=kit.units)
        return _found(part_of_kit, record_id, self._where)

    def _put_items(self, items: Iterable[AnyItem]) -> None:
        for item in items:
            facts = facts_of(item)
            row = {
                "id": item.id,
                "kind": facts.pop("kind"),
                "name": item.name,
                "mass_kg": item.mass_kg,
                "measured": _json(item.measured),
                "note": item.note,
            }
            row["facts"] = _json({key: value for key, value in facts.items() if key not in row})
            self._put("items", row)

    def _put_units(self, units: Iterable[Unit]) -> None:
        for unit in units:
            facts = unit.model_dump(mode="json")
            self._put("units", {column: facts[name] for name, column in _UNIT_COLUMNS.items()})

    def _put(self, table: str, row: Mapping[str, Any]) -> None:
        """Insert a row, or change the one of the same id, which keeps its place."""
        changes = ", ".join(f"{name} = excluded.{name}" for name in row if name != "id")
        self._db.execute(
            f"INSERT INTO {table} ({', '.join(row)}) VALUES ({', '.join('?' * len(row))}) "
            f"ON CONFLICT (id) DO UPDATE SET {changes}",
            list(row.values()),
        )

    def _rows(self, sql: str, values: Sequence[Any] = ()) -> list[dict[str, Any]]:
        return list(self._db.query(sql, list(values)))

    def _item_from(self, row: dict[str, Any]) -> AnyItem:
        try:
            model: Any = ITEM_TYPES[row["kind"]]
            facts = dict(json.loads(row.pop("facts")))
            data = facts | row | {"measured": json.loads(row["measured"])}
        except (KeyError, TypeError, ValueError) as error:
            raise self._unreadable(row["id"], "its facts are not those of an item") from error
        item: AnyItem = self._stored(model, data)
        return item

    def _unit_from(self, row: dict[str, Any]) -> Unit:
        data = {name: row[column] for name, column in _UNIT_COLUMNS.items()}
        return self._stored(Unit, data | {"owner_only": bool(data["owner_only"])})

    def _stored(self, model: type[R], data: Mapping[str, Any]) -> R:
        try:
            return validated(model, data, file=self._where, line_of=lambda _: 0)
        except BadInput as error:
            raise self._unreadable(data["id"], error.problem) from error

    def _unreadable(self, record_id: str, why: str) -> StoreError:
        return StoreError(
            f"'{plain(record_id)}' cannot be read: {why}",
            where=self._where,
            fix="It may come from a newer kitplan: update kitplan",
        )


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False)


def _listed(ids: Iterable[str]) -> str:
    """Return the first dozen ids, and how many there are beyond."""
    first, rest = sorted(ids)[:12], len(set(ids)) - 12
    return ", ".join(first) + (f" and {rest} more" if rest > 0 else "")


def _essence(fault: Fault) -> tuple[str, str, str]:
    """Return what tells a fault from another, whatever its position."""
    return fault.part, fault.id, fault.wrong


def _found(kit: Kit, record_id: str, where: str) -> AnyItem | Unit:
    records = {record.id: record for record in (*kit.units, *kit.items)}
    if record_id in records:
        return records[record_id]
    near = nearest(record_id, records)
    raise StoreError(
        f"there is no '{plain(record_id)}'",
        where=where,
        fix=f"Did you mean '{near}'?" if near else "`kitplan gear list` shows what there is",
    )


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
