"""Power: which battery runs what, and what is charged where and when."""

from __future__ import annotations

from kitplan.day.power.charging import power_plan
from kitplan.day.sound import placements_of
from kitplan.plan.day.power import PowerPlan
from kitplan.plan.day.rolls import RollPlan
from kitplan.plan.day.sound import SoundPlan
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief

__all__ = ["power_of", "power_plan"]


def power_of(plan: Plan, sound: SoundPlan | None, rolls: RollPlan | None) -> PowerPlan:
    """Return the power of a plan: of each of its shoots, put together."""
    parts = [
        power_plan(Brief(shoot, plan.kit), shoot_id, placements_of(plan, shoot_id), sound, rolls)
        for shoot_id, shoot in plan.shoots.items()
    ]
    value, bound = (
        tuple(map(sum, zip(*(getattr(part, name) for part in parts), strict=True)))
        for name in ("value", "bound")
    )
    return PowerPlan(
        uses=tuple(use for part in parts for use in part.uses),
        mains=tuple(one for part in parts for one in part.mains),
        charges=tuple(charge for part in parts for charge in part.charges),
        spares=tuple(spare for part in parts for spare in part.spares),
        way_out="; ".join(part.way_out for part in parts if part.way_out),
        value=value,
        bound=bound,
        is_proven=value == bound,
    )
