"""The goals of a plan explained: what one more of each would have cost in the goal before it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass

from kitplan.allocate.solver import Found, Limits, keeping_interrupts
from kitplan.allocate.trade import Trade
from kitplan.allocate.trade import trades as find_trades
from kitplan.plan.records import GoalReached
from kitplan.produce.before import placements_kept
from kitplan.produce.solve import SCALE
from kitplan.whatif.why import Inquiry

__all__ = ["Explained", "Trade", "explain_goals"]


@dataclass(frozen=True)
class Explained:
    """A goal of a plan, and what one more of it would have cost."""

    goal: GoalReached
    trade: Trade | None
    """None of the first goal, which none stands before, and where the time was too short to ask."""


def explain_goals(
    inquiry: Inquiry,
    wanted: Collection[str],
    seconds: float,
    tell: Callable[[str], None] = lambda _: None,
) -> tuple[Explained, ...]:
    """Return the goals wanted in order, and with each what one more of it would have cost.

    One worker and time in the solver's own steps: the same question has the same answer. An
    interrupt keeps what is known by then.

    Args:
        seconds: For all of them together; with 0 no cost is asked for.
    """
    goals = inquiry.plan.goals
    found = Found()
    known: dict[str, Trade] = {}
    if seconds > 0:
        with keeping_interrupts(found):
            for trade in find_trades(
                inquiry.options,
                {each.goal: round(each.value * SCALE.get(each.goal, 1.0)) for each in goals},
                {goal: round(scale) for goal, scale in SCALE.items()},
                placements_kept(inquiry.plan, inquiry.shoot_id),
                Limits(seconds=seconds, seed=1, workers=1),
                wanted,
                found,
                tell,
            ):
                known[trade.goal] = trade
    return tuple(Explained(each, known.get(each.goal)) for each in goals if each.goal in wanted)
