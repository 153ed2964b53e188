"""What every part of the store works with: the open file, who writes, and rows as records."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any, TypeVar

from pydantic import ValidationError

from kitplan.checked import validated
from kitplan.errors import BadInput, StoreError
from kitplan.gear.records import Record
from kitplan.gear.store.connection import transaction
from kitplan.wording import plain

if TYPE_CHECKING:
    from sqlite_utils import Database

R = TypeVar("R", bound=Record)
Now = Callable[[], datetime]


def now() -> datetime:
    """Return the present moment in UTC, in whole seconds."""
    return datetime.now(UTC).replace(microsecond=0)


class Desk:
    """An open inventory file, with the name of whoever writes in it."""

    def __init__(self, db: Database, where: str, who: str, clock: Now = now) -> None:
        self.db, self.where, self.who, self.clock = db, where, who, clock

    def rows(self, sql: str, values: Sequence[Any] | dict[str, Any] = ()) -> list[dict[str, Any]]:
        """Return the rows that a query finds, as dicts."""
        return list(self.db.query(sql, values if isinstance(values, dict) else list(values)))

    def moment(self) -> str:
        """Return the present moment as it is stored."""
        return stored_moment(self.clock())

    def today(self) -> date:
        """Return the day that it is where this machine stands: at two in the morning a crew is a
        day ahead of UTC."""
        return local_day(self.clock())

    @contextmanager
    def writing(self, what: str) -> Iterator[None]:
        """Run a block as one change of the inventory, signed in the ledger.

        Inside another one it becomes part of that, under the name of the outer one.
        """
        if self.db.conn.in_transaction:
            yield
            return
        with transaction(self.db):
            self.db.execute(
                "UPDATE doing SET at = ?, who = ?, what = ?, "
                "change = (SELECT coalesce(max(number), 0) + 1 FROM ledger)",
                (self.moment(), self.who, what),
            )
            yield
            self.db.execute("UPDATE doing SET change = NULL, at = NULL, who = NULL, what = NULL")

    def saying(self, what: str) -> None:
        """Sign the entries that follow in a change with other words."""
        self.db.execute("UPDATE doing SET what = ?", [what])

    def put(self, table: str, row: Mapping[str, Any]) -> None:
        """Insert a row, or change the one of the same id, which keeps its place."""
        changes = ", ".join(f"{name} = excluded.{name}" for name in row if name != "id")
        differs = " OR ".join(f"{name} IS NOT excluded.{name}" for name in row if name != "id")
        self.db.execute(
            f"INSERT INTO {table} ({', '.join(row)}) VALUES ({', '.join('?' * len(row))}) "
            f"ON CONFLICT (id) DO UPDATE SET {changes} WHERE {differs}",
            list(row.values()),
        )

    def add(self, table: str, row: Mapping[str, Any]) -> None:
        """Insert a row."""
        self.db.execute(
            f"INSERT INTO {table} ({', '.join(row)}) VALUES ({', '.join('?' * len(row))})",
            list(row.values()),
        )

    def record(self, model: type[R], data: Mapping[str, Any]) -> R:
        """Return stored data as a record.

        Raises:
            StoreError: If this version does not know it.
        """
        try:
            return model.model_validate(data)  # forgives nothing, and says nothing in plain words
        except ValidationError:
            pass
        try:
            return validated(model, data, file=self.where, line_of=lambda _: 0)
        except BadInput as error:
            name = data.get("id") or data.get("unit") or "?"
            raise self.unreadable(str(name), error.problem) from error

    def unreadable(self, record_id: str, why: str) -> StoreError:
        """Return what is said of a row that this version cannot read."""
        return StoreError(
            f"'{plain(record_id)}' cannot be read: {why}",
            where=self.where,
            fix="It may come from a newer kitplan: update kitplan",
        )


def stored_moment(moment: datetime) -> str:
    """Return a moment as it is stored: in UTC, so that moments sort as text."""
    return f"{moment.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}"


def local_day(moment: datetime) -> date:
    """Return the day of a moment on the calendar where this machine stands."""
    return moment.astimezone().date()


def as_json(value: Any) -> str:
    """Return plain data as it is stored in a cell."""
    return json.dumps(value, ensure_ascii=False)
