"""Allocation and work between passes until both agree.

A plan whose work does not fit into a gap is not a plan: the reason goes back as a no-good, and the
shoot is planned again. Bounded; where the rounds do not suffice, or nothing is left to plan, the
last plan is returned as it is, and says what does not fit.

The time asked for is that of all rounds together. The first good answer of a round is looked at:
where it asks for what no plan may ask for, the round is broken off there; where it does not fit as
it is, the round gets less time. The next one begins with what is left of the placements.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from kitplan.allocate.keep import Kept
from kitplan.allocate.solver import Found, Limits, Listener
from kitplan.day.work.book import usual_effort
from kitplan.day.work.nogoods import fits_between, no_goods_of, proven_no_goods
from kitplan.options.spots import Options
from kitplan.plan.records import Plan
from kitplan.produce.before import placements_kept
from kitplan.produce.day import with_day
from kitplan.produce.solve import Look, NoPlanInTime, Seen, Solved, solve_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.nogoods import NoGood

ROUNDS = 6
"""How often a shoot is planned at most."""
ROUNDS_BY_MOVES = 2
"""After so many rounds not only single moves are ruled out: there are too many that are nearly the
same. The work as a whole may then be no more than a share of what was too much."""
WORK_SHARE = 0.8
LEAST_SHARE = 0.2
"""Of the time asked for, what a round gets at least."""
KEPT_SHARE = 0.5
"""Of the time left, what is kept for another round once a good answer does not fit."""
ROUNDS_LOOKED_AT = 3
"""So many rounds at most are broken off or cut short."""
GLANCE_STEPS = 2.0
"""Solver time that a gap of an answer is looked at for while the search waits."""


class BrokenOff(Exception):
    """A search was broken off: whatever else it finds, these moves do not fit."""

    def __init__(self, no_goods: tuple[NoGood, ...]) -> None:
        super().__init__(*(each.words for each in no_goods))
        self.no_goods = no_goods


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
        solve: Returns the best plan for a brief; no-goods are in its shoot. May raise `BrokenOff`
            in any round but the last.
        tell: Called with each no-good before it is planned again.
        add_day: Returns a plan with its day; the work between passes has to be in it.

    Raises:
        NoPlanInTime: If no round finds a plan.
    """
    plan: Plan | None = None
    for number in range(1, rounds + 1):
        try:
            plan = add_day(solve(brief))
            found = tuple(_no_goods(plan, number)) if number < rounds else ()
            if found and number > ROUNDS_BY_MOVES:
                found += tuple(_less_work(plan, found))
        except BrokenOff as early:
            found = early.no_goods
        except NoPlanInTime:
            if plan is None:
                raise
            return plan
        if not found:
            break
        for no_good in found:
            if tell is not None:
                tell(no_good)
        known = (*brief.shoot.no_goods, *found)
        brief = Brief(brief.shoot.model_copy(update={"no_goods": known}), brief.kit)
    assert plan is not None  # the last round is not broken off
    return plan


@dataclass
class Shares:
    """The time asked for, shared among rounds, and what each of them begins with.

    Args:
        shoot_id: The shoot that is planned.
        asked: The time of all rounds together.
        start: Placements that the first round begins with.
    """

    shoot_id: str
    asked: Limits
    start: tuple[Kept, ...] = ()
    """Placements that the next round begins with: those of the round before."""
    has_work: bool = True
    """Whether the work between passes is worked out at all; else nothing has to fit."""
    options: Options | None = field(default=None, init=False)
    """What is possible; no-goods do not change it."""
    spent_s: float = field(default=0.0, init=False)

    @property
    def limits(self) -> Limits:
        """What the next round may take: what is left, and a little in any case."""
        left_s = self.asked.seconds - self.spent_s
        return replace(self.asked, seconds=max(left_s, LEAST_SHARE * self.asked.seconds))

    def look_of(self, brief: Brief) -> Look | None:
        """Return what breaks a round off once its first good answer asks for what no plan may ask
        for, and cuts it short where that answer does not fit as it is; None for a round that takes
        all its time.
        """
        number = 1 + max((each.round for each in brief.shoot.no_goods), default=0)
        if not self.has_work or number > ROUNDS_LOOKED_AT or len(brief.shoot.passes) < 2:
            return None

        def look(seen: Seen) -> Limits:
            self.options = seen.options
            if seen.found.was_stopped:
                return seen.limits
            effort = replace(usual_effort(brief), steps=GLANCE_STEPS)
            no_goods = tuple(proven_no_goods(brief, seen.placements, number, effort))
            if no_goods:
                self.start = seen.kept
                self.spend(seen.found)
                raise BrokenOff(no_goods)
            if fits_between(brief, seen.placements, effort):
                return seen.limits
            now_s, until_s = seen.found.clock_s(seen.limits), seen.limits.seconds
            return replace(seen.limits, seconds=now_s + (1 - KEPT_SHARE) * (until_s - now_s))

        return look

    def solve(self, brief: Brief, tell: Listener) -> Solved:
        """Return the best plan of a round, and what it was found with.

        Raises:
            NoPlanInTime: If there is none in its time.
            BrokenOff: If an answer has shown that there is no use in going on.
            KeyboardInterrupt: If it is stopped before any plan is found.
        """
        solved = solve_shoot(
            brief,
            shoot_id=self.shoot_id,
            limits=self.limits,
            tell=tell,
            start=self.start,
            look=self.look_of(brief),
            options=self.options,
        )
        self.start = placements_kept(solved.plan, self.shoot_id)
        self.options = solved.options
        self.spend(solved.found)
        made_with = solved.plan.made_with.model_copy(update={"seconds": self.asked.seconds})
        plan = solved.plan.model_copy(update={"made_with": made_with})
        return replace(solved, plan=plan, limits=self.asked)

    def spend(self, found: Found) -> None:
        """Note how long a search took."""
        self.spent_s += found.clock_s(self.asked)


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
