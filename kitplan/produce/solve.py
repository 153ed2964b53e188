"""From a brief to a plan: find what is possible, allocate, give out units, write the record."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from importlib.metadata import version

from kitplan import __version__
from kitplan.allocate import solver
from kitplan.allocate.clash import smallest_clash
from kitplan.allocate.demands import Demand
from kitplan.allocate.goals import Goal
from kitplan.allocate.keep import Kept, kept_of
from kitplan.allocate.model import Allocation
from kitplan.allocate.readback import Chosen, read_back
from kitplan.allocate.reply import reply
from kitplan.allocate.reset import least_work
from kitplan.allocate.search import Found, Limits, Listener, Reached, Step, search
from kitplan.allocate.solver import DECIDING_GOALS, keeping_interrupts
from kitplan.allocate.units import Before, give_out, letters
from kitplan.errors import KitplanError
from kitplan.options.spots import Options, find_options
from kitplan.plan.records import (
    DemandMet,
    GoalReached,
    LeftOut,
    MadeWith,
    Placement,
    Plan,
    Reset,
    Status,
)
from kitplan.produce.before import (
    letters_before,
    letters_in_the_past,
    placements_kept,
    units_before,
)
from kitplan.produce.figures import others_in_pictures, placement_record
from kitplan.produce.reasons import clash_reason, left_out
from kitplan.shoot.brief import Brief
from kitplan.tables import tables_hash

SCALE = {"viewpoints": 300.0, "economy": 1000.0}
"""The solver counts viewpoints in percent of thirds, and economy in thousandths."""
UNITS = {
    "musts": "musts missed",
    "wants": "weight of want roles",
    "thinnest": "viewpoints on offer in the thinnest song",
    "viewpoints": "points times songs",
    "variety": "pairs, bands and nice roles",
    "quality": "marks lost",
    "economy": "points of work and weight",
}


class NoPlanInTime(KitplanError):
    """The search found no plan at all within its time."""


@dataclass(frozen=True)
class Seen:
    """Placements of an answer while the search for better ones goes on."""

    placements: tuple[Placement, ...]
    kept: tuple[Kept, ...]
    """The same in items: what another search can begin with."""
    options: Options
    found: Found
    limits: Limits


Look = Callable[[Seen], Limits]
"""Returns how long a search may still take, once it has seen an answer; see `solver.Look`."""


@dataclass(frozen=True)
class Solved:
    """A plan and what it was found with, so that a search can go on from there."""

    plan: Plan
    shoot_id: str
    limits: Limits
    options: Options
    allocation: Allocation
    found: Found
    clash: tuple[Demand, ...]


def plan_shoot(
    brief: Brief,
    *,
    shoot_id: str,
    limits: Limits | None = None,
    tell: Listener | None = None,
    before: Plan | None = None,
    start: tuple[Kept, ...] = (),
) -> Plan:
    """Return the best plan for a brief: that of `solve_shoot`, which see."""
    return solve_shoot(
        brief, shoot_id=shoot_id, limits=limits, tell=tell, before=before, start=start
    ).plan


def solve_shoot(
    brief: Brief,
    *,
    shoot_id: str,
    limits: Limits | None = None,
    tell: Listener | None = None,
    before: Plan | None = None,
    start: tuple[Kept, ...] = (),
    look: Look | None = None,
    options: Options | None = None,
) -> Solved:
    """Return the best plan for a brief, and what it was found with.

    Args:
        before: A plan that is rigged already: of the plans that are as good in musts, wants and
            viewpoints, the one that changes least of it.
        start: Placements to begin with, where nothing is rigged.
        look: Shown the placements of the first good answer; says how long the search may still
            take, or breaks it off by what it raises.
        options: Found before for the same brief but for its no-goods.

    Raises:
        NoPlanInTime: If the limits are too short for any plan.
        KeyboardInterrupt: If it is stopped before any plan is found.
    """
    limits = limits or Limits()
    found = Found()
    with keeping_interrupts(found):
        options = find_options(brief) if options is None else replace(options, brief=brief)
        keep = placements_kept(before, shoot_id) if before else ()
        if before is None:
            search(options, limits, tell or _quiet, found, start, _looking(look, shoot_id))
        else:
            reply(options, keep, limits, tell or _quiet, found)
        allocation = found.allocation
        assert allocation is not None
        has_plan = _has_plan(allocation, found)
        if not has_plan and found.was_stopped:
            raise KeyboardInterrupt
        if not has_plan:
            raise NoPlanInTime(
                f"no plan was found in {limits.seconds:g} s",
                where=brief.shoot.title,
                fix="Give it more time with --seconds",
            )
        clash = _clash(options, found, limits)
        stands = units_before(before, shoot_id) if before else None
        known = letters_before(before) if before else letters_in_the_past(brief)
        plan = plan_record(shoot_id, limits, allocation, found, clash, stands=stands, known=known)
        return Solved(plan, shoot_id, limits, options, allocation, found, clash)


def _looking(look: Look | None, shoot_id: str) -> solver.Look | None:
    """Return what shows an answer of the solver to somebody who wants placements."""
    if look is None:
        return None

    def shown(allocation: Allocation, found: Found, limits: Limits) -> Limits:
        assert found.answer is not None
        chosen = read_back(allocation.variables, found.answer)
        options = allocation.variables.options
        placements = _placements(shoot_id, options, chosen, None, None)
        return look(Seen(placements, kept_of(chosen), options, found, limits))

    return shown


def _placements(
    shoot_id: str,
    options: Options,
    chosen: tuple[Chosen, ...],
    stands: Before | None,
    known: Mapping[str, str] | None,
) -> tuple[Placement, ...]:
    """Return what was chosen with its units, letters and figures."""
    brief = options.brief
    given = give_out(brief, chosen, stands)
    letter_of = letters(brief, chosen, given, known)
    others = others_in_pictures(options, chosen, letter_of)
    return tuple(
        placement_record(brief, shoot_id, *each)
        for each in zip(chosen, given, letter_of, others, strict=True)
    )


def _has_plan(allocation: Allocation, found: Found) -> bool:
    """Whether there is more than the empty plan that every search starts from, unless that one is
    proven to be the best there is in what decides where cameras stand.
    """
    if found.answer is None or not found.goals:
        return False
    is_used = any(found.answer.value(slot.is_used) for slot in allocation.variables.slots)
    return is_used or all(found.reached[goal].is_proven for goal in DECIDING_GOALS)


def _quiet(_: Step) -> None:
    return None


def plan_record(
    shoot_id: str,
    limits: Limits,
    allocation: Allocation,
    found: Found,
    clash: tuple[Demand, ...],
    *,
    stands: Before | None = None,
    known: Mapping[str, str] | None = None,
) -> Plan:
    """Return the record of what was found.

    Args:
        clash: Demands that cannot all hold.
        stands: Units that stand already; they stay where they can.
        known: Letters that bodies carry already, by unit id.
    """
    assert found.answer is not None
    options = allocation.variables.options
    brief = options.brief
    chosen = read_back(allocation.variables, found.answer)
    placements = _placements(shoot_id, options, chosen, stands, known)
    return Plan(
        title=brief.shoot.title,
        status=_status(found),
        shoots={shoot_id: brief.shoot},
        kit=brief.kit,
        made_with=_made_with(limits),
        shutter_s=brief.shutter.shutter_s,
        shutter_words=brief.shutter.reason,
        placements=placements,
        demands=tuple(_demand(found, demand) for demand in allocation.demands.all),
        clash=tuple(demand.words for demand in clash),
        clash_reason=clash_reason(options, clash),
        goals=tuple(_goal(found, goal) for goal in found.goals),
        resets=_resets(shoot_id, allocation, found, chosen, placements),
        worth={
            f"{shoot_id}/{each.id}": {s.id: brief.worth(each, s) for s in brief.shoot.songs}
            for each in brief.shoot.passes
        },
        left_out=_left_out(options, placements),
        keeps_letters=known is not None,
    )


def _clash(options: Options, found: Found, limits: Limits) -> tuple[Demand, ...]:
    """Demands that clash, where it is proven that not all musts can hold."""
    if found.reached["musts"].bound == 0 or found.was_stopped:
        return ()
    return smallest_clash(options, limits)


def _status(found: Found) -> Status:
    if found.reached["musts"].value < 0:
        return "musts-missed"
    return "stopped-early" if found.was_stopped else "solved"


def _made_with(limits: Limits) -> MadeWith:
    return MadeWith(
        kitplan=__version__,
        ortools=version("ortools"),
        tables=tables_hash(),
        seconds=limits.seconds,
        seed=limits.seed,
        workers=limits.workers,
    )


def _demand(found: Found, demand: Demand) -> DemandMet:
    assert found.answer is not None
    return DemandMet(
        kind=demand.kind,
        id=demand.id,
        words=demand.words,
        priority=demand.priority,
        is_met=bool(found.answer.value(demand.is_met)),
    )


def _goal(found: Found, goal: Goal) -> GoalReached:
    assert found.answer is not None
    reached: Reached = found.reached[goal.id]
    scale = SCALE.get(goal.id, 1.0)
    value = found.answer.value(goal.expression)
    return GoalReached(
        goal=goal.id,
        value=value / scale,
        bound=max(reached.bound, value) / scale,
        is_proven=value >= reached.bound,
        seconds=round(reached.at_s, 2),
        parts={name: float(found.answer.value(part)) for name, part in goal.parts.items()},
        unit=UNITS[goal.id],
    )


def _resets(
    shoot_id: str,
    allocation: Allocation,
    found: Found,
    chosen: tuple[Chosen, ...],
    placements: tuple[Placement, ...],
) -> tuple[Reset, ...]:
    assert found.answer is not None
    made = []
    for reset in allocation.resets:
        keys: dict[str, set[tuple[str, tuple[str, ...]]]] = {}
        for each in (reset.after, reset.before):
            keys[each.id] = {
                (c.spot.position.id, p.rig.units)
                for c, p in zip(chosen, placements, strict=True)
                if c.spot.each.id == each.id
            }
        both = keys[reset.after.id] & keys[reset.before.id]
        stays = {p.letter for p in placements if (p.position, p.rig.units) in both}
        made.append(
            Reset(
                after=f"{shoot_id}/{reset.after.id}",
                before=f"{shoot_id}/{reset.before.id}",
                work_min=least_work(allocation.variables.options.brief, chosen, reset) / 10,
                available_min=reset.available / 10,
                stays=tuple(sorted(stays)),
            )
        )
    return tuple(made)


def _left_out(options: Options, placements: tuple[Placement, ...]) -> tuple[LeftOut, ...]:
    kit = options.brief.kit
    used = {unit for placement in placements for unit in placement.rig.units}
    used_items = {unit.item for unit in kit.units if unit.id in used}
    return tuple(
        LeftOut(
            item=item.id, units=len(kit.units_by_item[item.id]), reason=left_out(options, item.id)
        )
        for item in kit.items
        if item.kind in ("body", "lens", "adapter", "head", "support")
        and item.id in kit.units_by_item
        and item.id not in used_items
    )
