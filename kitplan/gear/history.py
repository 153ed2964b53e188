"""Records of what happens to gear: loans, bookings, repairs, runs, and the ledger of it all.

Days are calendar days where the gear is; moments of the ledger and of loans are in UTC.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import Field

from kitplan.gear.records import Condition, Id, Minutes, Name, Note, NotNegative, Record

Part = Literal["items", "units", "loans", "bookings", "booked", "repairs", "runs"]


class Loan(Record):
    """A unit in the hands of a person: open until it is back."""

    unit: Id
    person: Name
    list: str = ""
    """What it was signed out with: a plan and its pass; empty for single things."""
    out_at: datetime
    due: date | None = None
    condition_out: Condition
    back_at: datetime | None = None
    condition_back: Condition | None = None
    note: Note = ""

    def is_overdue(self, today: date) -> bool:
        """Whether it should have been back before today."""
        return self.back_at is None and self.due is not None and self.due < today


class Booking(Record):
    """Days on which units are spoken for."""

    id: Id
    title: Name
    begins: date
    ends: date
    plan: str = ""
    """Mark of the plan that it was made from; empty where it was made by hand."""
    note: Note = ""
    units: tuple[Id, ...] = ()


class Repair(Record):
    """A fault of a unit, open until it is mended."""

    unit: Id
    fault: Name
    begins: date
    expected: date | None = None
    ended: date | None = None
    cost: NotNegative | None = None
    note: Note = ""


class Run(Record):
    """Minutes that a battery (or a body on one) really lasted."""

    unit: Id
    day: date
    minutes: Minutes
    is_to_flat: bool
    """Whether it ran until it was flat; else it was still going."""
    body: Id | None = None
    """Item id of the body that it ran in."""
    note: Note = ""


class Entry(Record):
    """A change of one row, as the ledger has it."""

    number: Annotated[int, Field(ge=1)]
    at: datetime
    who: str
    what: str
    """Added, changed, signed out, back ..."""
    part: Part
    row: int
    id: str
    """What the row is about: an item, a unit, a booking."""
    before: dict[str, Any] | None
    after: dict[str, Any] | None

    @property
    def changed(self) -> dict[str, tuple[Any, Any]]:
        """Column by column what was before and is after, where they differ."""
        before, after = self.before or {}, self.after or {}
        names = dict.fromkeys((*before, *after))
        return {
            name: (before.get(name), after.get(name))
            for name in names
            if before.get(name) != after.get(name) and name != "place"
        }
