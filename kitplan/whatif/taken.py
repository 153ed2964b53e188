"""What a plan uses in each pass, and which options are left without it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

import numpy as np

from kitplan.options.failing import Block, Failing
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass

TAKEN = ("position", "body", "lens", "adapter", "stand", "people")
"""What the plan may use for something else, in the order of the bits below."""
BIT = {what: 1 << place for place, what in enumerate(TAKEN)}


class Use:
    """What each pass of a plan uses."""

    def __init__(self, plan: Plan, brief: Brief) -> None:
        self.brief = brief
        self._item_of = {unit.id: unit.item for unit in plan.kit.units}
        self._placements = plan.placements

    def items_of(self, placement: Placement) -> tuple[str, ...]:
        """Return the items that the rig of a placement is made of."""
        return tuple(self._item_of[unit] for unit in placement.rig.units)

    def placements_in(self, each: Pass) -> tuple[Placement, ...]:
        """Return the placements of a pass."""
        return tuple(p for p in self._placements if p.pass_id.partition("/")[2] == each.id)

    def full(self, each: Pass) -> frozenset[str]:
        """Return the positions where no further rig goes in a pass."""
        rigs = Counter(p.position for p in self.placements_in(each))
        places = self.brief.shoot.venue.positions
        return frozenset(place.id for place in places if rigs[place.id] >= place.rigs)

    def busy(self, each: Pass) -> frozenset[str]:
        """Return who operates in a pass."""
        return frozenset(p.operator for p in self.placements_in(each) if p.operator is not None)

    def used_up(self, each: Pass) -> frozenset[str]:
        """Return the items of which no unit is left in a pass."""
        used = Counter(item for p in self.placements_in(each) for item in self.items_of(p))
        return frozenset(
            item
            for item, number in used.items()
            if number >= len(self.brief.free_units(item, each))
        )


def taken_masks(failing: Failing, block: Block, use: Use) -> Counter[int]:
    """Count the options that break no rule by the set of their parts that the plan uses."""
    used_up, busy = use.used_up(failing.each), use.busy(failing.each)
    base = BIT["position"] * (failing.position.id in use.full(failing.each))
    if block.manner == "operated" and all(person.id in busy for person in failing.people):
        base |= BIT["people"]
    cameras = np.array(
        [
            _bit(used_up, "body", [camera.body])
            | _bit(used_up, "lens", [camera.lens])
            | _bit(used_up, "adapter", [camera.adapter])
            for camera in failing.cameras
        ],
        dtype=np.int64,
    )
    found: Counter[int] = Counter()
    possible = (block.masks == 0).sum(axis=0)
    for stand in block.stands:
        own = base | _bit(used_up, "stand", [stand.support, stand.head])
        for mask, number in zip((cameras | own).tolist(), possible.tolist(), strict=True):
            if number:
                found[mask] += number
    return found


def _bit(used_up: frozenset[str], what: str, parts: Iterable[object]) -> int:
    """Return the bit of a kind of part where one of them is used up."""
    ids = {getattr(part, "id", None) for part in parts}
    return BIT[what] if ids & used_up else 0
