"""Records of what happens to gear: loans, bookings, repairs, runs, and the ledger of it all.

Days are calendar days where the gear is; moments of the ledger and of loans are in UTC.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any, Literal, Self

from pydantic import Field, model_validator

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


class Booked(Record):
    """A unit that is spoken for from a first day to a last one."""

    unit: Id
    begins: date
    ends: date


@dataclass(frozen=True)
class SignedOut:
    """What came of signing units out to a person."""

    loans: tuple[Loan, ...]
    """Those that went out."""
    already: tuple[Loan, ...]
    """Those that the person had before."""
    left: dict[str, str]
    """Those that stayed, each with the reason in words."""
    booked_later: dict[str, str]
    """Those that went out without a day that they are due, but are booked: for what, from when."""


class Booking(Record):
    """Units that are spoken for, each on days of its own."""

    id: Id
    title: Name
    plan: str = ""
    """Id of the shoot whose plan it was made from; empty where it was made by hand."""
    note: Note = ""
    booked: Annotated[tuple[Booked, ...], Field(min_length=1)]
    """A unit may stand here several times, with days between on which others may have it."""

    @property
    def begins(self) -> date:
        """The first day of all."""
        return min(each.begins for each in self.booked)

    @property
    def ends(self) -> date:
        """The last day of all."""
        return max(each.ends for each in self.booked)

    @property
    def units(self) -> tuple[str, ...]:
        """Ids of its units, each once."""
        return tuple(dict.fromkeys(each.unit for each in self.booked))


@dataclass(frozen=True)
class Own:
    """Shoots. What is booked or signed out for themselves does not stand in their way."""

    shoots: tuple[tuple[str, str], ...] = ()
    """Of each its id and its title."""

    def has_booked(self, plan: str, title: str) -> bool:
        """Whether a booking is their own: the same shoot id and the same title."""
        return (plan, title) in self.shoots

    def has_signed_out(self, list_name: str) -> bool:
        """Whether a loan is their own: signed out with the list of one of their passes."""
        return list_name.partition("/")[0] in {shoot_id for shoot_id, _ in self.shoots}


class Repair(Record):
    """A fault of a unit, open until it is mended."""

    unit: Id
    fault: Name
    begins: date
    expected: date | None = None
    ended: date | None = None
    cost: NotNegative | None = None
    note: Note = ""

    @model_validator(mode="after")
    def _order(self) -> Self:
        for name, day in (("expected", self.expected), ("ended", self.ended)):
            if day is not None and day < self.begins:
                raise ValueError(f"{name} {day} is before begins {self.begins}; give a later day")
        return self


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
    change: Annotated[int, Field(ge=1)]
    """Number of the first entry of the same change: all of it happened, or nothing."""
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


@dataclass(frozen=True)
class Change:
    """Entries of one change: all of it happened, or nothing."""

    entries: tuple[Entry, ...]

    @property
    def at(self) -> datetime:
        """When it was made, in UTC."""
        return self.entries[0].at

    @property
    def who(self) -> str:
        """Who made it."""
        return self.entries[0].who

    @property
    def what(self) -> str:
        """What they did: added, signed out ..."""
        return self.entries[0].what
