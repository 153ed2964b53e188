"""Records of the packing: which thing travels in which case, and what does not fit."""

from __future__ import annotations

from typing import Literal

from kitplan.gear.records import Record

GOALS = ("parts", "left", "away", "opened", "hands", "wrapped", "split", "mixed", "heaviest")
"""What a packing has as little of as can be, the most important first: parts of rigs left behind;
things left behind; things away from their home case; cases beyond home cases; hands beyond the
first at each lift; fragile things that are wrapped; cases that a placement is spread over; owners
in the case of another; half kilograms of the heaviest case that holds a thing without a home in it.
"""
Hands = Literal[1, 2, 3]
"""One person lifts it, two do, or it is too much even for two."""


class PackedCase(Record):
    """A case with what is in it."""

    case: str
    """Unit id, as everywhere here."""
    units: tuple[str, ...]
    wrapped: tuple[str, ...] = ()
    """Fragile things in it that need wrapping, since it is not padded."""
    used_l: float
    """Litres that these take up, wrapping included."""
    gross_kg: float
    """Mass of the case with everything in it."""
    hands: Hands


class Remedy(Record):
    """The smallest change found that makes everything fit; the facts not given are None."""

    add: str | None = None
    """Item id of a case: with one more of it everything fits."""
    without: str | None = None
    """Camera letter: without this camera everything fits."""
    vehicle_l: float | None = None
    """A vehicle of this size takes all, or a second trip."""
    vehicle_kg: float | None = None
    bag_l: float | None = None
    """A bag of this size: what is left fits no case that is owned."""
    bag_is_long: bool = False


class Load(Record):
    """Everything of one shoot, packed: what travels there together, and back."""

    shoot: str
    """Shoot id."""
    cases: tuple[PackedCase, ...]
    by_hand: tuple[str, ...] = ()
    """What has no case and needs none: carried as it is."""
    at_venue: tuple[str, ...] = ()
    """What is there already: feeds from the desk."""
    left: tuple[str, ...] = ()
    """What does not fit, and is not loaded."""
    remedy: Remedy | None = None
    """None where everything fits, and where no single change was found."""
    order: tuple[str, ...]
    """Cases and things carried by hand in the order of loading: what is needed first comes last."""
    volume_l: float
    """Litres that cases and loose things take in a vehicle."""
    mass_kg: float
    value: tuple[int, ...]
    """What the goals came to, in the order of `GOALS`."""
    bound: tuple[int, ...]
    """What they come to at least, given those before."""
    is_proven: bool

    @property
    def case_of(self) -> dict[str, str]:
        """The case of each unit that is in one."""
        return {unit: packed.case for packed in self.cases for unit in packed.units}


class CasePlan(Record):
    """The packing of every shoot of a plan."""

    loads: tuple[Load, ...]

    @property
    def case_of(self) -> dict[str, str]:
        """The case of each unit that is in one; in the last shoot where a plan has several."""
        return {unit: case for load in self.loads for unit, case in load.case_of.items()}
