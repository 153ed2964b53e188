"""Records of the media: which card records what, how it is copied, what has to be brought."""

from __future__ import annotations

from kitplan.gear.records import NotNegative, Record
from kitplan.shoot.times import When


class CardUse(Record):
    """A card in a body or a sound recorder in a pass."""

    pass_id: str
    letter: str
    """Camera letter, or the id of a sound setup."""
    card: str
    """Unit id."""
    minutes: NotNegative
    """How long it records on it."""
    room_min: NotNegative
    """How long it could at the planned fill; what earlier passes left on it counted off."""
    gb: NotNegative
    """Gigabytes of 10^9 bytes that it records."""


class Copy(Record):
    """One verified copy of a card onto one of the disks."""

    card: str
    passes: tuple[str, ...]
    """Ids of the passes that are on it."""
    number: int
    """1 for the first disk, 2 for the second."""
    gb: NotNegative
    laptop: str
    """`laptop/1`."""
    start: When
    end: When
    needed_by: When | None = None
    """When the card has to be ready to be used again; None where it is not."""


class Format(Record):
    """A card that is used again: formatted in the camera after its last copy."""

    card: str
    before: str
    """Id of the pass that uses it again."""
    letter: str
    is_late: bool = False
    """Its copies are not done when it is needed."""


class SpareCards(Record):
    """Cards of one item on the day of a pass."""

    item: str
    pass_id: str
    """The first pass of that day."""
    units: int
    used: int

    @property
    def share(self) -> float:
        """Cards left over as a share of those used."""
        return (self.units - self.used) / self.used if self.used else 0.0


class MediaPlan(Record):
    """The cards of all passes and their copies."""

    uses: tuple[CardUse, ...]
    copies: tuple[Copy, ...]
    formats: tuple[Format, ...]
    spares: tuple[SpareCards, ...]
    total_gb: NotNegative
    """All that is recorded: what each of the disks has to hold."""
    disks: int
    """As many as there are copies of every card."""
    disk_gb: NotNegative | None
    """Room on each, where somebody has looked."""
    value: tuple[int, ...]
    """Cards that are not ready when they are used again, cards whose copies are not all done at the
    next downbeat, and minutes from the first downbeat until the last copy is; the less the better.
    """
    bound: tuple[int, ...]
    is_proven: bool

    @property
    def fits_disk(self) -> bool:
        """Whether all fits on each disk; also where nobody has looked."""
        return self.disk_gb is None or self.total_gb <= self.disk_gb
