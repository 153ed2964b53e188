"""What a placement depends on beyond its rig, row by row of shared/needs.yaml.

The paper asks this to name what the kit does not list. It reads the plan's records alone: the rule
that a plan is made with (`options.needs`) would pull in all that makes plans.
"""

from __future__ import annotations

from collections.abc import Iterator

from kitplan.gear.records import Accessory, Body, Head, Support
from kitplan.paper.names import Names
from kitplan.plan.records import Placement
from kitplan.tables import table


def missing_things(names: Names, placement: Placement) -> Iterator[tuple[str, int]]:
    """Yield what serves a placement and how many of it the plan could not give from the kit."""
    wanted: dict[str, int] = {}
    for row in table("needs")["needs"]:
        if _is_needed(names, placement, row["when"]):
            wanted[row["serves"]] = wanted.get(row["serves"], 0) + row["count"]
    given = [names.item_of(unit) for unit in placement.accessories]
    for serves, count in wanted.items():
        has = sum(isinstance(item, Accessory) and item.serves == serves for item in given)
        if has < count:
            yield serves, count - has


def _is_needed(names: Names, placement: Placement, when: str) -> bool:
    position, rig = names.position(placement), placement.rig
    shoot, _ = names.plan.pass_of(placement.pass_id)
    support, body = names.item_of(rig.support), names.item_of(rig.body)
    head = names.item_of(rig.head) if rig.head else None
    assert isinstance(support, Support)
    assert isinstance(body, Body)
    is_on_floor = position.stands_on == "floor"
    match when:
        case "has-plate":
            return (head.plate if isinstance(head, Head) else support.plate) is not None
        case "overhead":
            return position.is_overhead
        case "tall":
            return is_on_floor and position.lens_height_m > shoot.rules.tall_m
        case "arm":
            return support.is_arm
        case "outdoors":
            return position.is_outdoors and is_on_floor
        case "unattended":
            return placement.operator is None and position.has_public
        case "on-mains":
            needs = support.needs_mains or (isinstance(head, Head) and head.needs_mains)
            return needs or (body.runs_on_mains and position.has_mains)
        case "has-lens":
            return rig.lens is not None
        case _:
            return False
