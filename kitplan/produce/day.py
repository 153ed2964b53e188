"""The clock of a plan that has its placements: each part in turn, those before it as they are."""

from __future__ import annotations

from kitplan.day.cases import packed_cases
from kitplan.day.shots import shot_sheets
from kitplan.plan.records import Day, Plan
from kitplan.shoot.brief import Brief


def with_day(plan: Plan) -> Plan:
    """Return the plan with all parts of its day."""
    plan = plan.model_copy(update={"day": Day()})
    return with_cases(with_shots(plan))


def with_shots(plan: Plan) -> Plan:
    """Return the plan with its shot sheets; unchanged where it has some."""
    day = plan.day or Day()
    if day.shots is not None:
        return plan
    briefs = {shoot_id: Brief(shoot, plan.kit) for shoot_id, shoot in plan.shoots.items()}
    sheets = shot_sheets(briefs, plan.placements)
    return plan.model_copy(update={"day": day.model_copy(update={"shots": sheets})})


def with_cases(plan: Plan) -> Plan:
    """Return the plan with its packing; unchanged where it has one."""
    day = plan.day or Day()
    if day.cases is not None:
        return plan
    return plan.model_copy(update={"day": day.model_copy(update={"cases": packed_cases(plan)})})
