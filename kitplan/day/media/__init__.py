"""Media: which card records what, how the cards are copied, and what has to be brought."""

from __future__ import annotations

from kitplan.day.media.cards import media_plan
from kitplan.day.sound import placements_of
from kitplan.plan.day.media import MediaPlan
from kitplan.plan.day.rolls import RollPlan
from kitplan.plan.day.sound import SoundPlan
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief

__all__ = ["media_of", "media_plan"]


def media_of(plan: Plan, sound: SoundPlan | None, rolls: RollPlan | None) -> MediaPlan:
    """Return the media of a plan: of each of its shoots, put together."""
    parts = [
        media_plan(Brief(shoot, plan.kit), shoot_id, placements_of(plan, shoot_id), sound, rolls)
        for shoot_id, shoot in plan.shoots.items()
    ]
    value, bound = (
        tuple(map(sum, zip(*(getattr(part, name) for part in parts), strict=True)))
        for name in ("value", "bound")
    )
    room = [part.disk_gb for part in parts if part.disk_gb is not None]
    return MediaPlan(
        uses=tuple(use for part in parts for use in part.uses),
        copies=tuple(copy for part in parts for copy in part.copies),
        formats=tuple(one for part in parts for one in part.formats),
        spares=tuple(spare for part in parts for spare in part.spares),
        total_gb=sum(part.total_gb for part in parts),
        disks=max(part.disks for part in parts),
        disk_gb=min(room, default=None),
        value=value,
        bound=bound,
        is_proven=value == bound,
    )
