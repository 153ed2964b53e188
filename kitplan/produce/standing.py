"""A plan whose rigs stay while the shoot around them changes: all that follows worked out anew."""

from __future__ import annotations

from kitplan.allocate.model import build
from kitplan.allocate.solver import Found, Limits
from kitplan.allocate.standing import as_it_stands
from kitplan.options.spots import find_options
from kitplan.plan.records import Plan
from kitplan.produce.before import letters_before, placements_kept, units_before
from kitplan.produce.day import with_day
from kitplan.produce.solve import plan_record
from kitplan.shoot.brief import Brief

STEPS = Limits(seconds=5.0, workers=1)
"""Most that one of the solves may take, in the solver's own steps. Measured: the largest demo shoot
takes 11 s for all of them."""


def plan_as_it_stands(brief: Brief, before: Plan) -> Plan:
    """Return the plan of a brief with the placements of a plan of the same shoot, each as it was or
    gone; goals counted anew, its day worked out anew.

    Raises:
        PastError: If what stood in a pass that is over is not possible any more.
    """
    (shoot_id,) = before.shoots
    keep = placements_kept(before, shoot_id)
    allocation = build(find_options(brief), wanted={each.camera_mode for each in keep})
    found = as_it_stands(allocation, keep, STEPS, Found())
    plan = plan_record(
        shoot_id,
        STEPS,
        allocation,
        found,
        (),
        stands=units_before(before, shoot_id),
        known=letters_before(before),
    )
    return with_day(plan)
