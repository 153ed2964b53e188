"""The clock of a plan that has its placements: each part in turn, those before it as they are."""

from __future__ import annotations

from kitplan.day.cases import packed_cases
from kitplan.day.shots import shot_sheets
from kitplan.day.work.book import day_work
from kitplan.plan.day.work import DayWork, GapWork
from kitplan.plan.records import Day, Plan
from kitplan.shoot.brief import Brief


def with_day(plan: Plan) -> Plan:
    """Return the plan with all parts of its day."""
    plan = plan.model_copy(update={"day": Day()})
    return with_rolls(plan)


def with_rolls(plan: Plan) -> Plan:
    """Return the plan with a new roll plan and the cover that it gives."""
    from kitplan.day.cover import cover_of
    from kitplan.day.rolls import roll_plan

    day = plan.day or Day()
    rolls = roll_plan(plan, day.shots)
    cover = cover_of(plan, rolls, day.shots)
    return plan.model_copy(update={"day": day.model_copy(update={"rolls": rolls, "cover": cover})})
