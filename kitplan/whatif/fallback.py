"""In advance: for each single loss the reply to it, so that nobody has to think on the day."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitplan.allocate.solver import Limits
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.brief import Brief
from kitplan.whatif.losses import Loss, brief_without
from kitplan.whatif.sweep import Job, Result
from kitplan.whatif.things import RIG_KINDS, SMALL_KINDS

KINDS = ("item", "person", "position", "pass")
"""What may be lost, in the order of the tables."""
DECIDING = ("musts", "wants", "thinnest", "viewpoints")
"""Goals that say how bad a loss is."""


@dataclass(frozen=True)
class Fallback:
    """A loss that may come, and what its reply comes to."""

    kind: str
    loss: Loss
    result: Result


def single_losses(plan: Plan) -> tuple[tuple[str, Loss], ...]:
    """Return what a plan of one shoot could lose, each with its kind: one unit of each item that it
    uses in passes still to come, each person on a camera, each position, each pass.
    """
    (shoot,) = plan.shoots.values()
    coming = [
        each for each in plan.placements if not shoot.past.is_over(each.pass_id.partition("/")[2])
    ]
    operators = {each.operator for each in coming}
    positions = {each.position for each in coming}
    passes = [each for each in shoot.passes if not shoot.past.is_over(each.id)]
    return (
        *(("item", loss) for loss in _units(plan, coming)),
        *(("person", Loss("person", p.id, p.label)) for p in shoot.crew if p.id in operators),
        *(
            ("position", Loss("position", p.id, p.label))
            for p in shoot.venue.positions
            if p.id in positions
        ),
        *(("pass", Loss("pass", p.id, p.label)) for p in passes if len(passes) > 1),
    )


def _units(plan: Plan, coming: list[Placement]) -> Iterator[Loss]:
    """Yield one unit of each item in a rig, the one of the first camera letter; of batteries, cards
    and accessories only where all there are are in use, and of chargers where there is a gap.
    """
    (shoot,) = plan.shoots.values()
    placed = sorted(coming, key=lambda each: each.letter)
    used = list(dict.fromkeys(unit for each in placed for unit in each.units))
    for item in plan.kit.items:
        owned = [unit.id for unit in plan.kit.units_by_item.get(item.id, ())]
        there = [unit for unit in owned if unit not in shoot.past.lost_units]
        first = next((unit for unit in used if unit in there), None)
        if item.kind == "charger" and len(shoot.passes) > 1 and there:
            first = there[-1]
        is_scarce = item.kind in SMALL_KINDS and set(there) <= set(used)
        if first is not None and (item.kind in (*RIG_KINDS, "charger") or is_scarce):
            label = item.name if len(there) == 1 else f"one of {len(there)} {item.name}"
            yield Loss("unit", first, label)


def jobs_of(plan: Plan, losses: tuple[tuple[str, Loss], ...], limits: Limits) -> list[Job]:
    """Return the replies to look for, in the order of the losses."""
    ((shoot_id, shoot),) = plan.shoots.items()
    brief = Brief(shoot, plan.kit)
    return [
        Job(key_of(kind, loss), brief_without(brief, [loss]), shoot_id, limits, before=plan)
        for kind, loss in losses
    ]


def key_of(kind: str, loss: Loss) -> str:
    """Return the key of a loss: ids of different kinds may be the same."""
    return f"{kind} {loss.id}"


def worst_first(plan: Plan, found: list[Fallback]) -> list[Fallback]:
    """Return fallbacks by kind, the worst of each first: by what is lost of the deciding goals in
    their order, then by how much moves; those not worked out last.
    """
    return sorted(found, key=lambda each: (KINDS.index(each.kind), *_badness(plan, each)))


def _badness(plan: Plan, each: Fallback) -> tuple[float, ...]:
    reply = each.result.reply
    if reply is None:
        return (1.0,)
    lost = (reply.value_of(goal) - plan.value_of(goal) for goal in DECIDING)
    return (0.0, *lost, -len(each.result.changes))
