"""Allocation and work between passes until both agree.

A plan whose work does not fit into a gap is not a plan: the reason goes back as a no-good, and the
shoot is planned again. Bounded; where the rounds do not suffice, or nothing is left to plan, the
last plan is returned as it is, and says what does not fit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from kitplan.day.work.nogoods import no_goods_of
from kitplan.plan.records import Plan
from kitplan.produce.day import with_day
from kitplan.produce.solve import NoPlanInTime
from kitplan.shoot.brief import Brief
from kitplan.shoot.nogoods import NoGood

ROUNDS = 6
"""How often a shoot is planned at most."""
ROUNDS_BY_MOVES = 2
"""After so many rounds not only single moves are ruled out: there are too many that are nearly the
same. The work as a whole may then be no more than a share of what was too much."""
WORK_SHARE = 0.8


def plan_that_fits(
    brief: Brief,
    solve: Callable[[Brief], Plan],
    *,
    rounds: int = ROUNDS,
    tell: Callable[[NoGood], None] | None = None,
    add_day: Callable[[Plan], Plan] = with_day,
) -> Plan:
    """Return a plan of one shoot with its day, planned again until its work fits between passes.

    Args:
        solve: Returns the best plan for a brief; no-goods are in its shoot.
        tell: Called with each no-good before it is planned again.
        add_day: Returns a plan with its day; the work between passes has to be in it.

    Raises:
        NoPlanInTime: If even the first round finds no plan.
    """
    plan = add_day(solve(brief))
    for number in range(1, rounds):
        found = tuple(_no_goods(plan, number))
        if not found:
            return plan
        if number > ROUNDS_BY_MOVES:
            found += tuple(_less_work(plan, found))
        for no_good in found:
            if tell is not None:
                tell(no_good)
        known = (*brief.shoot.no_goods, *found)
        shoot = brief.shoot.model_copy(update={"no_goods": known})
        brief = Brief(shoot, brief.kit)
        try:
            plan = add_day(solve(brief))
        except NoPlanInTime:
            return plan
    return plan


def _less_work(plan: Plan, found: Sequence[NoGood]) -> Iterator[NoGood]:
    """Yield for each gap that is too short how much work may be asked for from now on."""
    work = {(r.after.partition("/")[2], r.before.partition("/")[2]): r for r in plan.resets}
    for (after, before), each in {(each.after, each.before): each for each in found}.items():
        asked = work[after, before].work_min
        most = round(WORK_SHARE * asked, 1)
        words = (
            f"With carrying, {asked:.0f} person-minutes of work on stands and cameras are too much "
            f"between {after} and {before}: no more than {most:.0f} from now on."
        )
        yield each.model_copy(
            update={
                "moves": (), "same": (), "is_proven": False, "most_work_min": most, "words": words,
            }
        )  # fmt: skip


def _no_goods(plan: Plan, number: int) -> Iterator[NoGood]:
    """Yield what the work of a plan teaches."""
    if plan.day is None or plan.day.work is None:
        return
    for shoot_id, shoot in plan.shoots.items():
        own = [p for p in plan.placements if p.pass_id.partition("/")[0] == shoot_id]
        gaps = [gap for gap in plan.day.work.gaps if (gap.after or "").startswith(f"{shoot_id}/")]
        yield from no_goods_of(Brief(shoot, plan.kit), shoot_id, own, gaps, number)
