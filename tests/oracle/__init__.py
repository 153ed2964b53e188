"""An exhaustive search through small shoots: what the best plan comes to, without the solver.

Depth first over the slots: in each nothing, or a camera on a stand with an operator or none on a
main shot that breaks no rule of the single placement. Rules of a pass prune as soon as more
placements cannot mend what is broken (stock, needs, room, people, main shots with others in them);
the others are asked once a pass is complete. Roles, the counted set, and the menus and moments that
others in the picture may spoil are settled exactly at the leaves. A branch ends where even a bound
on all that it can still give is no better than the best so far.

Shares with the solver nothing but the records: every rule is asked of `kitplan.plan.verify`.
"""

from tests.oracle.choices import Choices, find_choices
from tests.oracle.differ import most_left
from tests.oracle.rules import Rules
from tests.oracle.search import Best, Values, best_plan, can_meet

__all__ = [
    "Best",
    "Choices",
    "Rules",
    "Values",
    "best_plan",
    "can_meet",
    "find_choices",
    "most_left",
]
