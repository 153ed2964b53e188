"""Records of the owned kit: units (the physical things), when they are away, the whole kit.

A unit is one of its item, with an owner, a case and a condition.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import cached_property
from typing import Annotated, Any, ClassVar, Self

from pydantic import Field, field_validator, model_validator

from kitplan.gear.days import around, in_words
from kitplan.gear.records import (
    ITEM_TYPES,
    USABLE,
    AnyItem,
    Condition,
    Id,
    ItemT,
    Name,
    Note,
    NotNegative,
    Record,
    Serial,
    Words,
)


class Away(Record):
    """Days on which a unit is not there: lent, booked, in repair, with its owner on holiday."""

    begins: date
    ends: date | None = None
    """The last day of it; None while nobody knows."""
    why: Name

    @model_validator(mode="after")
    def _order(self) -> Self:
        if self.ends is not None and self.begins > self.ends:
            raise ValueError(f"begins {self.begins} is after ends {self.ends}; swap them")
        return self

    def covers(self, first: date, last: date) -> bool:
        """Whether the unit is away on one of the days from a first to a last one."""
        return self.begins <= last and (self.ends is None or first <= self.ends)

    def __str__(self) -> str:
        return f"{self.why} until {'further notice' if self.ends is None else in_words(self.ends)}"


class Unit(Record):
    """One physical thing."""

    id: Id
    item: Id
    owner: Name
    serial: Serial = ""
    condition: Condition = "good"
    value: NotNegative | None = None
    """Replacement value in the currency of the inventory."""
    hire: NotNegative | None = None
    """What it costs to hire for one shoot, in the same; None for what is owned, lent or bought. In
    the kit itself it counts like any other: somebody has hired it."""
    case: Id | None = None
    """Unit id of the case that is its home."""
    available_from: date | None = None
    available_until: date | None = None
    owner_only: bool = False
    """Only its owner may operate it."""
    health: Annotated[float, Field(gt=0, le=1)] = 1.0
    """Share of its minutes that a battery still gives."""
    shelf: Serial = ""
    """Where it lies when it is at home and in no case."""
    firmware: Serial = ""
    fault: Words = ""
    """What is wrong with it, until it is mended."""
    service_due: date | None = None
    photos: tuple[Name, ...] = ()
    """Paths of photographs."""
    away: tuple[Away, ...] = ()
    """Days on which it cannot be had, with the reason."""
    note: Note = ""

    @field_validator("photos", mode="before")
    @classmethod
    def _one_photo(cls, given: Any) -> Any:
        """A single path is a list of one."""
        return [given] if isinstance(given, str) else given

    @model_validator(mode="after")
    def _window_order(self) -> Self:
        if (
            self.available_from is not None
            and self.available_until is not None
            and self.available_from > self.available_until
        ):
            raise ValueError(
                f"available_from {self.available_from} is after available_until "
                f"{self.available_until}; swap them"
            )
        return self

    def is_free_on(self, day: date, travel_days: int = 0) -> bool:
        """Whether the unit is usable, there, and lent by its owner on a day, and on so many days
        before and after it.
        """
        first, last = around(day, travel_days)
        return (
            self.condition in USABLE
            and (self.available_from is None or self.available_from <= first)
            and (self.available_until is None or last <= self.available_until)
            and not any(away.covers(first, last) for away in self.away)
        )

    def bar_on(self, day: date, travel_days: int = 0) -> str | None:
        """Why the unit cannot be had then, in words: 'booked for Gala until 3 May 2027'; None where
        it can.
        """
        first, last = around(day, travel_days)
        if self.condition in ("missing", "retired"):
            return self.condition
        for away in self.away:
            if away.covers(first, last):
                return str(away)
        if self.condition not in USABLE:
            return "in repair"
        if self.available_from is not None and self.available_from > first:
            return f"lent by its owner only from {in_words(self.available_from)}"
        if self.available_until is not None and last > self.available_until:
            return f"lent by its owner only until {in_words(self.available_until)}"
        return None


class Kit(Record):
    """Everything that is owned. Ids are unique; every unit's item and case exist."""

    EMPTY: ClassVar[Kit]

    items: tuple[AnyItem, ...] = ()
    units: tuple[Unit, ...] = ()

    @cached_property
    def items_by_id(self) -> dict[str, AnyItem]:
        """Items by their id."""
        return {item.id: item for item in self.items}

    @cached_property
    def units_by_item(self) -> dict[str, tuple[Unit, ...]]:
        """Units of each item in the order of the kit; items without units are absent."""
        found: dict[str, list[Unit]] = {}
        for unit in self.units:
            found.setdefault(unit.item, []).append(unit)
        return {item_id: tuple(units) for item_id, units in found.items()}

    def of_kind(self, kind: type[ItemT]) -> Iterator[ItemT]:
        """Items of one record type, in the order of the kit."""
        return (item for item in self.items if isinstance(item, kind))

    def shared_units(self, item_id: str, day: date, travel_days: int = 0) -> tuple[Unit, ...]:
        """Units of an item that are usable on a day by anybody.

        Batteries, cards and accessories are counted so: nobody operates them, so one that only its
        owner may operate stays out of a plan.
        """
        free = self.free_units(item_id, day, travel_days)
        return tuple(unit for unit in free if not unit.owner_only)

    def free_units(self, item_id: str, day: date, travel_days: int = 0) -> tuple[Unit, ...]:
        """Units of an item that are usable on a day, and on so many days before and after it."""
        units = self.units_by_item.get(item_id, ())
        return tuple(unit for unit in units if unit.is_free_on(day, travel_days))


Kit.EMPTY = Kit()


def grouped(kit: Kit) -> Kit:
    """Return the kit with its items grouped by kind, so that all ways of storing it agree."""
    kinds = list(ITEM_TYPES)
    items = sorted(kit.items, key=lambda item: kinds.index(item.kind))
    return Kit(items=tuple(items), units=kit.units)


def facts_of(record: Record) -> dict[str, Any]:
    """Return what a record says beyond its defaults as plain data; kind, id and name first."""
    facts = record.model_dump(exclude_defaults=True)
    first = {"kind": record.kind} if hasattr(record, "kind") else {}
    first |= {name: facts.pop(name) for name in ("id", "name") if name in facts}
    return first | {name: _listed(value) for name, value in facts.items()}


def _listed(value: Any) -> Any:
    """Return plain data with lists where the record has tuples."""
    if isinstance(value, dict):
        return {key: _listed(one) for key, one in value.items()}
    return [_listed(one) for one in value] if isinstance(value, (list, tuple)) else value
