"""Where the viewpoints come from that a plan has outside its master pass."""

from __future__ import annotations

from dataclasses import dataclass

from kitplan.plan.records import Placement, Plan
from kitplan.shoot.records import Pass


@dataclass(frozen=True)
class Gain:
    """Where the viewpoints come from that a longer schedule has outside the master pass."""

    closed: tuple[Placement, ...]
    """At positions that are not open in the master."""
    elsewhere: tuple[Placement, ...]
    """At positions that are open there as well, but where no camera is to spare."""
    repeats: tuple[Placement, ...]
    """Not counted: alike to a counted one, or too weak."""


def gain(plan: Plan, master: Pass) -> Gain:
    """Return where the viewpoints outside the master pass come from."""
    (shoot_id,) = plan.shoots
    shoot = plan.shoots[shoot_id]
    open_in = {position.id: position.open_in for position in shoot.venue.positions}
    outside = [p for p in plan.placements if p.pass_id != f"{shoot_id}/{master.id}"]
    counted = [p for p in outside if p.is_counted]

    def is_closed(placement: Placement) -> bool:
        passes = open_in[placement.position]
        return passes is not None and master.id not in passes

    return Gain(
        closed=tuple(p for p in counted if is_closed(p)),
        elsewhere=tuple(p for p in counted if not is_closed(p)),
        repeats=tuple(p for p in plan.placements if not p.is_counted),
    )
