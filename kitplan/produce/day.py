"""The clock of a plan that has its placements: each part in turn, those before it as they are."""

from __future__ import annotations

from kitplan.day.cases import packed_cases
from kitplan.plan.records import Day, Plan


def with_day(plan: Plan) -> Plan:
    """Return the plan with all parts of its day."""
    day = Day(cases=packed_cases(plan))
    return plan.model_copy(update={"day": day})
