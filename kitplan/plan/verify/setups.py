"""A placement in items: what the rules are about, before units are given out."""

from __future__ import annotations

from dataclasses import dataclass

from kitplan.gear.records import Adapter, Body, Head, Item, Lens, RecordingMode, Support
from kitplan.plan.records import Manner
from kitplan.shoot.records import Pass, Person
from kitplan.shoot.venue import Position, Subject


@dataclass(frozen=True)
class Camera:
    """A body in a recording mode, with a lens where none is built in, and perhaps an adapter."""

    body: Body
    mode: RecordingMode
    lens: Lens | None = None
    adapter: Adapter | None = None

    @property
    def parts(self) -> tuple[Item, ...]:
        """Body, lens and adapter."""
        return tuple(part for part in (self.body, self.lens, self.adapter) if part is not None)

    @property
    def items(self) -> tuple[str, ...]:
        """Item ids of its parts: two cameras of the same items are one and the same camera."""
        return tuple(part.id for part in self.parts)

    @property
    def key(self) -> tuple[str, ...]:
        """Items and mode."""
        return (self.mode.name, *self.items)

    @property
    def mass_kg(self) -> float:
        """Mass of all parts in kg."""
        return sum(part.mass_kg for part in self.parts)


@dataclass(frozen=True)
class Stand:
    """A support, with a head where it takes one."""

    support: Support
    head: Head | None = None

    @property
    def parts(self) -> tuple[Item, ...]:
        """Support and head."""
        return (self.support,) if self.head is None else (self.support, self.head)

    @property
    def items(self) -> tuple[str, ...]:
        """Item ids of its parts."""
        return tuple(part.id for part in self.parts)

    @property
    def plate(self) -> str | None:
        """Plate system that the body sits on, None for a bare screw."""
        return self.support.plate if self.head is None else self.head.plate

    @property
    def needs_mains(self) -> bool:
        """Whether support or head runs on mains."""
        return self.support.needs_mains or (self.head is not None and self.head.needs_mains)


@dataclass(frozen=True)
class Setup:
    """A placement in items."""

    each: Pass
    position: Position
    camera: Camera
    stand: Stand
    person: Person | None
    """Who operates; None is locked off."""
    subject: Subject
    size: str
    roles: tuple[str, ...] = ()
    menu: tuple[tuple[str, str], ...] = ()
    """Further (subject, size) pairs that the operator is planned to hold."""
    is_counted: bool = False
    """One of the distinct viewpoints."""
    missed: frozenset[str] = frozenset()
    """Ids of the songs that it has not got, in a pass that is over."""

    @property
    def manner(self) -> Manner:
        """Operated or locked off."""
        return "locked-off" if self.person is None else "operated"

    @property
    def parts(self) -> tuple[Item, ...]:
        """Every item of the rig."""
        return (*self.camera.parts, *self.stand.parts)
