"""What rigs depend on (plates, bonds, sandbags, leads), from shared/needs.yaml."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitplan.gear.kit import Unit
from kitplan.gear.records import Accessory
from kitplan.options.stands import Stand
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass
from kitplan.shoot.venue import Position
from kitplan.tables import table


@dataclass(frozen=True)
class Need:
    """One row of the table; plates come once for every plate system of the kit."""

    serves: str
    when: str
    count: int
    tall_m: float
    plate: str | None = None

    def is_for_stand(self, stand: Stand, position: Position) -> bool:
        """Whether a stand at a position needs it."""
        match self.when:
            case "has-plate":
                return stand.plate is not None and stand.plate == self.plate
            case "overhead":
                return position.is_overhead or position.stands_on != "floor"
            case "tall":
                return position.stands_on == "floor" and position.lens_height_m > self.tall_m
            case "arm":
                return stand.support.is_arm
            case "outdoors":
                return position.is_outdoors and position.stands_on == "floor"
            case "on-mains":
                needs = stand.support.needs_mains
                return needs or (stand.head is not None and stand.head.needs_mains)
            case _:
                return False

    def is_for_unattended(self, position: Position) -> bool:
        """Whether a locked-off camera at a position needs it."""
        return self.when == "unattended" and position.has_public


def all_needs(brief: Brief) -> Iterator[Need]:
    """Yield every need, plates once for each plate system that heads and supports have."""
    tall_m = brief.shoot.rules.tall_m
    systems = sorted(
        {plate for item in brief.kit.items if (plate := getattr(item, "plate", None)) is not None}
    )
    for row in table("needs")["needs"]:
        if row["when"] == "has-plate":
            for plate in systems:
                yield Need(row["serves"], row["when"], row["count"], tall_m, plate)
        else:
            yield Need(row["serves"], row["when"], row["count"], tall_m)


def binding_needs(brief: Brief) -> Iterator[Need]:
    """Yield the needs held against a plan: those always required, and kinds the kit lists."""
    required = set(table("needs")["always_required"])
    listed = {a.serves for a in brief.kit.of_kind(Accessory)}
    for need in all_needs(brief):
        if need.when != "has-lens" and (need.serves in required or need.serves in listed):
            yield need


def units_serving(brief: Brief, need: Need, each: Pass) -> tuple[Unit, ...]:
    """Return the units that serve a need on the day of a pass."""
    return tuple(
        unit
        for accessory in brief.kit.of_kind(Accessory)
        if accessory.serves == need.serves and need.plate in (None, accessory.fits)
        for unit in brief.shared_units(accessory.id, each)
    )
