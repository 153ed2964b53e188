"""The clock of a plan that has its placements: each part in turn, those before it as they are."""

from __future__ import annotations

from kitplan.day.cases import packed_cases
from kitplan.day.cover import cover_of
from kitplan.day.rolls import roll_plan
from kitplan.day.media import media_of
from kitplan.day.power import power_of
from kitplan.day.shots import shot_sheets
from kitplan.day.sound import sound_of
from kitplan.day.work.book import day_work
from kitplan.plan.day.work import DayWork, GapWork
from kitplan.plan.records import Day, Plan
from kitplan.shoot.brief import Brief


def with_day(plan: Plan) -> Plan:
    """Return the plan with all parts of its day."""
    plan = plan.model_copy(update={"day": Day()})
    return with_cases(with_supplies(with_work(with_rolls(with_shots(plan)))))


def with_shots(plan: Plan) -> Plan:
    """Return the plan with its shot sheets; unchanged where it has some."""
    day = plan.day or Day()
    if day.shots is not None:
        return plan
    briefs = {shoot_id: Brief(shoot, plan.kit) for shoot_id, shoot in plan.shoots.items()}
    sheets = shot_sheets(briefs, plan.placements)
    return plan.model_copy(update={"day": day.model_copy(update={"shots": sheets})})


def with_rolls(plan: Plan) -> Plan:
    """Return the plan with its roll plan and the cover that it gives; unchanged where it has both.

    Shot sheets, where it has some, say what is framed.
    """
    day = plan.day or Day()
    if day.rolls is not None and day.cover is not None:
        return plan
    rolls = roll_plan(plan, day.shots)
    cover = cover_of(plan, rolls, day.shots)
    return plan.model_copy(update={"day": day.model_copy(update={"rolls": rolls, "cover": cover})})


def with_work(plan: Plan) -> Plan:
    """Return the plan with the work between its passes; unchanged where it has it."""
    day = plan.day or Day()
    if day.work is not None:
        return plan
    return plan.model_copy(update={"day": day.model_copy(update={"work": work_of(plan)})})


def work_of(plan: Plan) -> DayWork:
    """Return the work of every gap of every shoot."""
    gaps: list[GapWork] = []
    for shoot_id, shoot in plan.shoots.items():
        own = [p for p in plan.placements if p.pass_id.partition("/")[0] == shoot_id]
        gaps += day_work(Brief(shoot, plan.kit), shoot_id, own)
    known = [each.round for shoot in plan.shoots.values() for each in shoot.no_goods]
    return DayWork(gaps=tuple(gaps), rounds=1 + max(known, default=0))


def with_supplies(plan: Plan) -> Plan:
    """Return the plan with its sound, power and media; what it has already stays."""
    day = plan.day or Day()
    sound = day.sound or sound_of(plan)
    power = day.power or power_of(plan, sound, day.rolls)
    media = day.media or media_of(plan, sound, day.rolls)
    day = day.model_copy(update={"sound": sound, "power": power, "media": media})
    return plan.model_copy(update={"day": day})


def with_cases(plan: Plan) -> Plan:
    """Return the plan with its packing; unchanged where it has one."""
    day = plan.day or Day()
    if day.cases is not None:
        return plan
    return plan.model_copy(update={"day": day.model_copy(update={"cases": packed_cases(plan)})})
