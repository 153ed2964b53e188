"""A plan that is rigged already, in the terms of the allocation."""

from __future__ import annotations

from collections import defaultdict

from kitplan.allocate.keep import Kept
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.brief import Brief


def placements_kept(plan: Plan, shoot_id: str) -> tuple[Kept, ...]:
    """Return the placements of a plan in items."""
    item_of = {unit.id: unit.item for unit in plan.kit.units}

    def items(*units: str | None) -> tuple[str, ...]:
        return tuple(item_of[unit] for unit in units if unit is not None)

    return tuple(
        Kept(
            pass_id=_own_pass(each),
            position=each.position,
            camera=items(each.rig.body, each.rig.lens, each.rig.adapter),
            mode=each.rig.mode,
            stand=items(each.rig.support, each.rig.head),
            operator=each.operator,
            subject=each.shot.subject,
            size=each.shot.size,
            roles=each.roles,
            menu=tuple((framing.subject, framing.size) for framing in each.menu),
        )
        for each in plan.placements
        if each.pass_id.partition("/")[0] == shoot_id
    )


def units_before(plan: Plan, shoot_id: str) -> dict[tuple[str, str], frozenset[str]]:
    """Return which units of a rig stood where, by pass and position."""
    found: dict[tuple[str, str], set[str]] = defaultdict(set)
    for each in plan.placements:
        if each.pass_id.partition("/")[0] == shoot_id:
            found[_own_pass(each), each.position].update(each.rig.units)
    return {key: frozenset(units) for key, units in found.items()}


def letters_before(plan: Plan) -> dict[str, str]:
    """Return the camera letter of each body, by unit id."""
    return {each.rig.body: each.letter for each in plan.placements}


def _own_pass(placement: Placement) -> str:
    return placement.pass_id.partition("/")[2]


def letters_in_the_past(brief: Brief) -> dict[str, str] | None:
    """Return the letters of the bodies that stood in passes that are over; None without any."""
    return {stood.body: stood.letter for stood in brief.shoot.past.stood} or None
