"""The clock of a plan that has its placements: each part in turn, those before it as they are."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from kitplan.day.cases import packed_cases
from kitplan.day.cover import cover_of
from kitplan.day.media import media_of
from kitplan.day.power import power_of
from kitplan.day.rolls import roll_plan
from kitplan.day.settle import settled_media, settled_power
from kitplan.day.shots import shot_sheets
from kitplan.day.sound import sound_of
from kitplan.day.supplies import also_of
from kitplan.day.work.book import day_work
from kitplan.gear.records import Record
from kitplan.plan.day.work import DayWork, GapWork
from kitplan.plan.records import Day, Plan
from kitplan.shoot.brief import Brief

Tell = Callable[[str], None]


def with_day(plan: Plan, *, leave_out: Collection[str] = (), tell: Tell | None = None) -> Plan:
    """Return the plan with its day worked out anew.

    Args:
        leave_out: Names of parts that nobody needs.
        tell: Called with each part before it is worked out.
    """
    cleared = plan.model_copy(update={"day": Day()})
    return _with_parts(cleared, [part for part in PARTS if part not in leave_out], tell)


def with_day_down_to(plan: Plan, part: str, tell: Tell | None = None) -> Plan:
    """Return the plan with a part of its day and those before it; what it has already stays."""
    return _with_parts(plan, PARTS[: PARTS.index(part) + 1], tell)


def _with_parts(plan: Plan, parts: Sequence[str], tell: Tell | None) -> Plan:
    for part in parts:
        if tell is not None:
            tell(part)
        plan = _ADDING[part](plan)
    return plan


def with_shots(plan: Plan) -> Plan:
    """Return the plan with its shot sheets; unchanged where it has some."""
    day = plan.day or Day()
    if day.shots is not None:
        return plan
    briefs = {shoot_id: Brief(shoot, plan.kit) for shoot_id, shoot in plan.shoots.items()}
    sheets = shot_sheets(briefs, plan.placements)
    return _with(plan, shots=sheets)


def with_rolls(plan: Plan) -> Plan:
    """Return the plan with its roll plan and the cover that it gives; unchanged where it has both.

    Shot sheets, where it has some, say what is framed.
    """
    day = plan.day or Day()
    if day.rolls is not None and day.cover is not None:
        return plan
    rolls = roll_plan(plan, day.shots)
    cover = cover_of(plan, rolls, day.shots)
    return _with(plan, rolls=rolls, cover=cover)


def with_sound(plan: Plan) -> Plan:
    """Return the plan with what records its sound; unchanged where it has it."""
    day = plan.day or Day()
    return plan if day.sound is not None else _with(plan, sound=sound_of(plan))


def with_power(plan: Plan) -> Plan:
    """Return the plan with its batteries and charges; unchanged where it has them."""
    day = plan.day or Day()
    return (
        plan if day.power is not None else _with(plan, power=power_of(plan, day.sound, day.rolls))
    )


def with_media(plan: Plan) -> Plan:
    """Return the plan with its cards and copies; unchanged where it has them."""
    day = plan.day or Day()
    return (
        plan if day.media is not None else _with(plan, media=media_of(plan, day.sound, day.rolls))
    )


def with_supplies(plan: Plan) -> Plan:
    """Return the plan with its sound, power and media; what it has already stays."""
    return with_media(with_power(with_sound(plan)))


def with_work(plan: Plan) -> Plan:
    """Return the plan with the work between its passes, and with power and media at the times of
    that work; unchanged where it has it.
    """
    day = plan.day or Day()
    if day.work is not None:
        return plan
    work = work_of(plan)
    power = day.power and settled_power(plan, day.power, work)
    media = day.media and settled_media(plan, day.media, work)
    return _with(plan, work=work, power=power, media=media)


def work_of(plan: Plan) -> DayWork:
    """Return the work of every gap of every shoot."""
    day, gaps = plan.day or Day(), list[GapWork]()
    for shoot_id, shoot in plan.shoots.items():
        own = [p for p in plan.placements if p.pass_id.partition("/")[0] == shoot_id]
        brief = Brief(shoot, plan.kit)
        gaps += day_work(
            brief, shoot_id, own, also_of(brief, shoot_id, day.sound, day.power, day.media)
        )
    known = [each.round for shoot in plan.shoots.values() for each in shoot.no_goods]
    return DayWork(gaps=tuple(gaps), rounds=1 + max(known, default=0))


def with_cases(plan: Plan) -> Plan:
    """Return the plan with its packing; unchanged where it has one."""
    day = plan.day or Day()
    return plan if day.cases is not None else _with(plan, cases=packed_cases(plan))


def _with(plan: Plan, **parts: Record | None) -> Plan:
    day = plan.day or Day()
    return plan.model_copy(update={"day": day.model_copy(update=parts)})


_ADDING: dict[str, Callable[[Plan], Plan]] = {
    "shots": with_shots,
    "restarts": with_rolls,
    "sound": with_sound,
    "power": with_power,
    "media": with_media,
    "reset": with_work,
    "cases": with_cases,
}
PARTS = tuple(_ADDING)
"""Parts of the day in the order in which they are worked out: each goes by those before it."""
