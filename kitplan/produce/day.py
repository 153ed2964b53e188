"""The clock of a plan that has its placements: each part in turn, those before it as they are."""

from __future__ import annotations

from kitplan.day.cases import packed_cases
from kitplan.plan.records import Day, Plan


def with_day(plan: Plan) -> Plan:
    """Return the plan with all parts of its day."""
    day = Day()
    return with_cases(plan.model_copy(update={"day": day}))


def with_cases(plan: Plan) -> Plan:
    """Return the plan with its packing; unchanged where it has one."""
    day = plan.day or Day()
    if day.cases is not None:
        return plan
    return plan.model_copy(update={"day": day.model_copy(update={"cases": packed_cases(plan)})})
