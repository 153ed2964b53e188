"""Records of how the crew works on the day: breaks, carts, copying, the car, and the sound."""

from __future__ import annotations

from typing import Annotated, Self

from pydantic import Field, model_validator

from kitplan.gear.records import Count, Id, Minutes, Name, Positive, Record
from kitplan.shoot.times import When, same_clock


class Break(Record):
    """A rest that everybody takes in one piece within a stretch of the day: supper, say."""

    id: Id
    name: Name | None = None
    length_min: Minutes
    since: When
    until: When
    is_together: bool = False
    """All at the same time; otherwise one after another as the work allows."""
    people: tuple[Id, ...] | None = None
    """Who takes it; None for the whole crew."""

    @property
    def label(self) -> str:
        """Name for people."""
        return self.name or self.id

    @model_validator(mode="after")
    def _fits(self) -> Self:
        same_clock(since=self.since, until=self.until)
        if self.since >= self.until:
            raise ValueError(
                f"since {self.since:%Y-%m-%d %H:%M} is not before until "
                f"{self.until:%Y-%m-%d %H:%M}; swap them"
            )
        if (self.until - self.since).total_seconds() < self.length_min * 60:
            raise ValueError(
                f"length_min {self.length_min:g} does not fit between since and until; "
                f"widen them, or shorten the break"
            )
        return self


class Carrying(Record):
    """What helps to carry."""

    carts: Count = 0
    cart_kg: Positive = 60.0
    """What a cart takes in one go."""
    person_kg: Positive = 20.0
    """What a person takes in one go. Common practice, no source: about 20 kg a trip."""


class Copying(Record):
    """How cards are copied before they may be formatted."""

    laptops: Count = 1
    copies: Annotated[int, Field(ge=1, le=9)] = 2
    """Verified copies on as many disks, each made from the card itself."""
    read_mb_s: Positive = 90.0
    """What reader, laptop and disk really move, in 10^6 bytes per second."""
    disk_gb: Positive | None = None
    """Room on each of the disks that are brought; None where nobody has looked."""


class Vehicle(Record):
    """What everything travels in."""

    volume_l: Positive | None = None
    most_load_kg: Positive | None = None


class SoundSetup(Record):
    """A recording of the sound: a recorder, what it records, and where it stands.

    Those listed first are the better ones: the first that records a song is its master.
    """

    id: Id
    name: Name | None = None
    recorder: Id
    """Item id of the recorder."""
    sources: tuple[Id, ...] = Field(min_length=1)
    """Item ids of microphones and desk feeds; one listed twice is two of it."""
    at: Name
    """Where it stands, in words: FOH desk."""
    position: Id | None = None
    """The position beside which it stands, where it is one."""
    passes: tuple[Id, ...] | None = None
    has_mains: bool = False
    """There is a socket for it."""
    is_out_of_reach: bool = False
    """Nobody can touch it while a pass runs."""

    @property
    def label(self) -> str:
        """Name for people."""
        return self.name or self.id
