"""Records of the power: which battery runs what, what is charged where and when, what is left."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from kitplan.gear.records import NotNegative, Positive, Record
from kitplan.shoot.times import When

Share = Annotated[float, Field(ge=0, le=1)]


class PackUse(Record):
    """A battery unit in a body or a sound recorder in a pass."""

    pass_id: str
    letter: str
    """Camera letter, or the id of a sound setup."""
    unit: str
    minutes: NotNegative
    """How long it runs on it."""
    full_min: Positive
    """How long it would on a full one, as it is planned on."""
    before: Share
    """Share of its charge when the pass begins."""
    after: Share
    """And when it is over; 0 where it does not last."""

    @property
    def is_short(self) -> bool:
        """Whether it goes flat before it is through."""
        return self.missing_min > 0

    @property
    def missing_min(self) -> float:
        """Minutes for which its charge does not suffice."""
        return max(0.0, round(self.minutes - self.before * self.full_min, 6))


class OnMains(Record):
    """A camera or recorder that runs on mains in a pass."""

    pass_id: str
    letter: str


class Charge(Record):
    """A battery unit in the bay of a charger."""

    unit: str
    bay: str
    """Charger unit and bay: `charger-f-1/2`."""
    start: When
    end: When
    from_share: Share
    to_share: Share
    for_pass: str
    """Id of the pass that it is needed in next."""
    needed_by: When
    """When it has to be out of its bay at the latest."""


class Spare(Record):
    """Batteries of one item in a pass, counted in full ones."""

    pass_id: str
    item: str
    units: int
    """How many there are on that day."""
    held: NotNegative
    """Charge in all of them when the pass begins."""
    needed: NotNegative
    """What the pass takes of it."""

    @property
    def share(self) -> float:
        """What is left over as a share of what is needed."""
        return (self.held - self.needed) / self.needed if self.needed else 0.0


class PowerPlan(Record):
    """The power of all passes."""

    uses: tuple[PackUse, ...]
    mains: tuple[OnMains, ...]
    charges: tuple[Charge, ...]
    spares: tuple[Spare, ...]
    way_out: str = ""
    """Where a battery does not last: the smallest change with which all do."""
    value: tuple[int, ...]
    """Batteries that do not last, thousandths of a charge that they lack, packs put into bays, and
    the minutes from the first downbeat to the end of each charge, added up; each the less the
    better, in this order."""
    bound: tuple[int, ...]
    is_proven: bool
    """Nothing better exists; where the times are those of the work, but for the ends."""
    is_settled: bool = False
    """Bays and times are those of the jobs in the work between the passes."""
