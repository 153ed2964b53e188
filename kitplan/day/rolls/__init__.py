"""The roll plan: when each recorder of each pass runs, on what, and who touches it when.

Exact: goals in strict order, proven (docs/model.md, Rolls).
"""

from __future__ import annotations

from kitplan.day.rolls.judging import values_of
from kitplan.day.rolls.recorders import PassDay, pass_day
from kitplan.day.rolls.search import search
from kitplan.day.rolls.writing import blind_of, rolls_of, touches_of
from kitplan.plan.day.rolls import RollPlan, RollsReached
from kitplan.plan.day.shots import ShotSheets
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief

__all__ = ["days_of", "roll_pass", "roll_plan", "together"]


def roll_plan(plan: Plan, sheets: ShotSheets | None = None) -> RollPlan:
    """Return the best roll plan of a plan that has its placements.

    Args:
        sheets: What operators frame in each song; without them they frame their main shot or menu.
    """
    return together([roll_pass(day) for day in days_of(plan, sheets)])


def days_of(plan: Plan, sheets: ShotSheets | None = None) -> tuple[PassDay, ...]:
    """Return every pass of a plan with its clock and its recorders."""
    found = []
    for shoot_id, shoot in plan.shoots.items():
        brief = Brief(shoot, plan.kit)
        for each in shoot.passes:
            own = () if sheets is None else sheets.sheets
            found.append(pass_day(brief, each, f"{shoot_id}/{each.id}", plan.placements, own))
    return tuple(found)


def roll_pass(day: PassDay) -> RollPlan:
    """Return the best roll plan of one pass."""
    found = search(day)
    rolls = rolls_of(day, found)
    touches = touches_of(day, found, rolls)
    value = values_of(day, rolls, touches)
    reached = RollsReached(pass_id=day.pass_id, value=value, bound=found.bound)
    return RollPlan(rolls=rolls, touches=touches, blind=blind_of(day, rolls), reached=(reached,))


def together(plans: list[RollPlan]) -> RollPlan:
    """Return the roll plans of several passes as one."""
    return RollPlan(
        rolls=tuple(one for plan in plans for one in plan.rolls),
        touches=tuple(one for plan in plans for one in plan.touches),
        blind=tuple(one for plan in plans for one in plan.blind),
        reached=tuple(one for plan in plans for one in plan.reached),
    )
