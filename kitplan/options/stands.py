"""Stands: every head and support that fit together, and what each can carry and do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from kitplan.gear.kit import Kit
from kitplan.gear.records import Head, Support
from kitplan.options.refusals import Refusal
from kitplan.shoot.brief import Brief
from kitplan.shoot.venue import Position
from kitplan.tables import table
from kitplan.units import limit_g, load_g


@dataclass(frozen=True)
class Stand:
    """A support with its head, or a support that carries the body directly."""

    support: Support
    head: Head | None
    payload_share: float
    """Share of the ratings that is planned on."""

    @cached_property
    def items(self) -> tuple[str, ...]:
        """Ids of the items it is made of."""
        return (self.support.id,) if self.head is None else (self.support.id, self.head.id)

    @cached_property
    def key(self) -> str:
        """A readable, unique name."""
        return "+".join(self.items)

    @property
    def mass_kg(self) -> float:
        """Mass of support and head."""
        return self.support.mass_kg + (self.head.mass_kg if self.head else 0.0)

    @property
    def plate(self) -> str | None:
        """Plate system the body sits on."""
        return self.head.plate if self.head else self.support.plate

    @property
    def capacity_kg(self) -> float:
        """Camera mass it may carry, margin and head taken off."""
        support = self.support.payload_kg * self.payload_share
        if self.head is None:
            return support
        return min(support - self.head.mass_kg, self.head.payload_kg * self.payload_share)

    def carries(self, camera_kg: float) -> bool:
        """Whether it may carry a camera: loads rounded up to grams, limits down."""
        on_support = camera_kg + (self.head.mass_kg if self.head else 0.0)
        if load_g(on_support) > limit_g(self.support.payload_kg * self.payload_share):
            return False
        return self.head is None or load_g(camera_kg) <= limit_g(
            self.head.payload_kg * self.payload_share
        )

    def can_be_operated(self, position: Position) -> bool:
        """Whether an operator can frame with it there; out of reach that takes a remote head."""
        if position.is_out_of_reach:
            return self.head is not None and self.head.is_remote and self.head.can_pan_tilt
        return self.head is None or self.head.can_pan_tilt or bool(self.support.moves)

    @property
    def can_be_locked_off(self) -> bool:
        """Whether it holds the camera still without a hand on it."""
        return self.support.can_stand_alone and not self.support.is_arm

    def minutes(self, position: Position, what: str) -> float:
        """Minutes of work to set up or strike it (`setup_min`, `strike_min`), one person's."""
        own: float | None = getattr(self.support, what)
        if own is None:
            own = float(table("setup_minutes")[minutes_row(self.support, position.stands_on)][what])
        head: float | None = getattr(self.head, what) if self.head else 0.0
        if head is None:
            head = float(table("setup_minutes")["head"][what])
        return own + head

    def work_min(self, position: Position, what: str) -> float:
        """Person-minutes of work to set up or strike it."""
        return self.minutes(position, what) * self.support.people


def minutes_row(support: Support, stands_on: str) -> str:
    """Return the row of the table of minutes for a support on the floor, a rail, a bar ..."""
    if support.is_arm:
        return "arm"
    if stands_on != "floor":
        return stands_on
    return "slider" if "track" in support.moves else "support"


def list_stands(brief: Brief) -> tuple[tuple[Stand, ...], tuple[Refusal, ...]]:
    """Return every stand that the kit makes, and the supports that nothing fits on."""
    stands: list[Stand] = []
    refusals: list[Refusal] = []
    for support in brief.kit.of_kind(Support):
        if support.id not in brief.kit.units_by_item:
            refusals.append(Refusal(support.id, "no-unit"))
            continue
        made = stands_of(brief.kit, support, brief.shoot.rules.payload_share)
        if not made:
            refusals.append(Refusal(support.id, "fitting"))
        stands.extend(made)
    return tuple(stands), tuple(refusals)


def stands_of(kit: Kit, support: Support, share: float) -> list[Stand]:
    """Return what a support makes with the heads of a kit that fit it."""
    if support.fitting is None:
        return [Stand(support, None, share)]
    return [
        Stand(support, head, share)
        for head in kit.of_kind(Head)
        if head.fitting == support.fitting and head.id in kit.units_by_item
    ]


def stand_refusal(stand: Stand, position: Position, slack_m: float) -> Refusal | None:
    """Return why a stand cannot be used at a position, or None if it can."""
    return next(stand_refusals(stand, position, slack_m), None)


def stand_refusals(stand: Stand, position: Position, slack_m: float) -> Iterator[Refusal]:
    """Yield every rule by which a stand cannot be used at a position."""
    support = stand.support
    wanted = position.lens_height_m
    if position.stands_on not in support.stands_on:
        yield Refusal(stand.key, "stands-on")
    if wanted > support.height_max_m + slack_m + 1e-9:
        yield Refusal(stand.key, "height", support.height_max_m, wanted)
    if wanted < support.height_min_m - slack_m - 1e-9:
        yield Refusal(stand.key, "height", support.height_min_m, wanted)
    if support.footprint_m > position.room_m + 1e-9:
        yield Refusal(stand.key, "room", support.footprint_m, position.room_m)
    needs_mains = support.needs_mains or (stand.head is not None and stand.head.needs_mains)
    if needs_mains and not position.has_mains:
        yield Refusal(stand.key, "mains")
