"""Two shoots from one pool: planned alone, then together, then each with what is its own.

Each is first planned with everything, which bounds what it can have; then the second one with what
the first leaves. Where that costs it nothing, both are as good as they can be, and there is nothing
to divide. Else the joint model of `allocate.pool` divides what both could have, and each is planned
with its part: the first without what the second needs, the second without what the first takes.
For any given division the best plans of both are each shoot's own best ones, whichever way the
goals are put together (each goal of the pool grows with those of the shoots): so nothing is lost by
planning them apart once the division is known.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta

from kitplan.allocate.keep import Kept
from kitplan.allocate.pool import Divided, Wanted, divide
from kitplan.allocate.solver import GOAL_IDS, Found, Limits, keeping_interrupts
from kitplan.gear.kit import Away, Kit
from kitplan.options.spots import find_options
from kitplan.plan.pool import FIRST, SECOND, Apart, Shared, Way
from kitplan.plan.records import Plan
from kitplan.plan.spoken_for import spoken_for
from kitplan.produce.before import placements_kept
from kitplan.produce.solve import SCALE
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Shoot

Solve = Callable[[Brief, str, tuple[Kept, ...]], Plan]
"""Plans a brief under a shoot id, from placements to start from."""


def plan_two(
    briefs: Sequence[Brief],
    shoot_ids: Sequence[str],
    way: Way,
    limits: Limits,
    *,
    solve: Solve,
    finish: Solve,
    tell: Callable[[str], None] = lambda _: None,
) -> Shared:
    """Return the plans of two shoots that share a kit.

    Args:
        limits: Of dividing; solving has its own.
        solve: Finds the best placements of one shoot.
        finish: The same, and all that belongs to a plan beside them.
        tell: Called with what is being done.
    Raises:
        NoPlanInTime: If one of them has no plan in its time.
    """
    first, (second, apart) = briefs[FIRST], _without_people(briefs)
    own = (first, second)
    alone: list[Plan] = []
    for brief, shoot_id in zip(own, shoot_ids, strict=True):
        tell(f"{brief.shoot.title}, with everything")
        alone.append(solve(brief, shoot_id, ()))
    kept = [placements_kept(p, i) for p, i in zip(alone, shoot_ids, strict=True)]
    tell(f"{second.shoot.title}, with what {first.shoot.title} leaves")
    rest = solve(without(second, alone[FIRST]), shoot_ids[SECOND], kept[SECOND])
    divided = None
    if not _is_as_good(rest, alone[SECOND]):
        tell("dividing what both could have")
        start = (kept[FIRST], placements_kept(rest, shoot_ids[SECOND]))
        wanted = [
            Wanted(find_options(brief), placed, values_of(plan))
            for brief, placed, plan in zip(own, start, alone, strict=True)
        ]
        found = Found()
        with keeping_interrupts(found):
            divided = divide(wanted, way, limits, found)
        first = _without_given(first, second, divided)
        is_as_alone = _still_holds(alone[FIRST], first)
        kept = [kept[FIRST] if is_as_alone else divided.placed[FIRST], divided.placed[SECOND]]
    tell(first.shoot.title)
    plans = [finish(first, shoot_ids[FIRST], kept[FIRST])]
    tell(second.shoot.title)
    plans.append(finish(without(second, plans[FIRST]), shoot_ids[SECOND], kept[SECOND]))
    steps = None if divided is None else tuple(divided.steps)
    return Shared(way, tuple(plans), tuple(alone), steps, apart)


def values_of(plan: Plan) -> dict[str, int]:
    """Return what each goal of a plan came to, in the solver's whole numbers."""
    values = {goal.goal: goal.value for goal in plan.goals}
    return {goal: round(values[goal] * SCALE.get(goal, 1.0)) for goal in GOAL_IDS}


def _is_as_good(plan: Plan, alone: Plan) -> bool:
    """Whether a plan reaches all that a shoot has with everything to itself."""
    return list(values_of(plan).values()) >= list(values_of(alone).values())


# -- who has what ----------------------------------------------------------------------------------


def without(brief: Brief, other: Plan) -> Brief:
    """Return a brief whose kit lacks all that the plan of another shoot takes, on its days."""
    away: dict[str, list[Away]] = defaultdict(list)
    for each in spoken_for(other):
        why = f"planned for {other.title}"
        away[each.unit].append(Away(begins=each.begins, ends=each.ends, why=why))
    return replace(brief, kit=_less(brief.kit, away))


def _without_given(brief: Brief, other: Brief, divided: Divided) -> Brief:
    """Return the first brief without the units that the second one needs of those shared."""
    margin = timedelta(days=other.shoot.travel_days)
    why = f"planned for {other.shoot.title}"
    away: dict[str, list[Away]] = defaultdict(list)
    for unit, day in sorted(divided.given[SECOND]):
        away[unit].append(Away(begins=day - margin, ends=day + margin, why=why))
    return replace(brief, kit=_less(brief.kit, away))


def _still_holds(plan: Plan, brief: Brief) -> bool:
    """Whether every unit of the rigs of a plan is free in a brief with fewer units."""
    units = {unit.id: unit for unit in brief.kit.units}
    return all(
        brief.is_free(units[unit], plan.pass_of(placement.pass_id)[1])
        for placement in plan.placements
        for unit in placement.units
    )


def _less(kit: Kit, away: dict[str, list[Away]]) -> Kit:
    """Return a kit with units away on further days, each said once."""
    units = []
    for unit in kit.units:
        new = [each for each in away.get(unit.id, ()) if each not in unit.away]
        units.append(unit.model_copy(update={"away": (*unit.away, *new)}) if new else unit)
    return Kit(items=kit.items, units=tuple(units))


def _without_people(briefs: Sequence[Brief]) -> tuple[Brief, tuple[Apart, ...]]:
    """Return the second brief without those who film for the first one on the same day."""
    first, second = briefs
    days: dict[str, set[date]] = defaultdict(set)
    for each in first.shoot.passes:
        for person in first.people(each):
            days[person.id].add(first.day_of(each))
    lost: dict[str, set[date]] = defaultdict(set)
    passes = []
    for each in second.shoot.passes:
        day = second.day_of(each)
        busy = {p.id for p in second.people(each) if day in days[p.id]}
        for person_id in busy:
            lost[person_id].add(day)
        ids = [p.id for p in second.shoot.crew] if each.people is None else each.people
        people = tuple(each_id for each_id in ids if each_id not in busy)
        passes.append(each.model_copy(update={"people": people}) if busy else each)
    if not lost:
        return second, ()
    # field by field: a record also carries the look-ups it has cached
    facts = {name: getattr(second.shoot, name) for name in Shoot.model_fields}
    shoot = Shoot.model_validate({**facts, "passes": tuple(passes)})
    apart = tuple(Apart(person, tuple(sorted(found))) for person, found in sorted(lost.items()))
    return Brief(shoot, second.kit), apart
