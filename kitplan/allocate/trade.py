"""What one more of a goal would have cost in the goal before it, found by solving.

Goals are in strict order: however much of a later one is never bought with the least of an earlier
one. For each neighbouring pair the model is asked anew: hold the goals before the earlier one, ask
for a step more of the later one, and give as much of the earlier one as is left.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from math import floor

from ortools.sat.python import cp_model

from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.keep import Kept, as_before
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.settle import fix, hint
from kitplan.allocate.solver import HAS_ANSWER, Found, Limits, new_solver, run
from kitplan.options.spots import Options

LEAST_SECONDS = 0.2
SHARES = 2
"""A question may take twice its even share of the time left: most are settled in a moment."""
ROUNDING = 1e-6


@dataclass(frozen=True)
class Trade:
    """One step more of a goal, and what is left of the goal before it; in the solver's numbers."""

    goal: str
    """What there would be more of."""
    payer: str
    """The goal before it, which would have paid."""
    value: int
    """What the payer comes to in the plan."""
    best: int | None
    """The most of the payer that was found with one more; None where no plan was found."""
    bound: int | None
    """No plan with one more has more of the payer; None where there is none, which is proven."""

    @property
    def is_impossible(self) -> bool:
        """Whether it is proven that no plan has one more."""
        return self.bound is None

    @property
    def is_proven(self) -> bool:
        """Whether what is said of the cost is exact."""
        return self.bound is None or (self.best is not None and self.least == self.most)

    @property
    def most(self) -> int | None:
        """The cost by the best plan found; None where none was found."""
        return None if self.best is None else max(self.value - self.best, 0)

    @property
    def least(self) -> int | None:
        """No plan with one more costs less; None where there is none."""
        return None if self.bound is None else max(self.value - self.bound, 0)


def trades(
    options: Options,
    values: Mapping[str, int],
    steps: Mapping[str, int],
    kept: tuple[Kept, ...],
    limits: Limits,
    wanted: Collection[str],
    found: Found,
    tell: Callable[[str], None] = lambda _: None,
) -> Iterator[Trade]:
    """Yield what a step more of each goal wanted would have cost in the goal before it.

    Args:
        values: What each goal comes to in the plan.
        steps: How much one more of a goal is, where it is not 1.
        kept: The placements of the plan, to start from.
        limits: The seconds are for all goals together; what one leaves, the next ones have.
        found: Where an interrupt is noted; what is yielded by then stands.
        tell: Told the id of each goal before it is worked on.
    """
    found.start = time.monotonic()
    allocation = build(options, wanted={each.camera_mode for each in kept})
    start = as_before(allocation.variables, allocation.model, kept, limits)
    payer: Goal | None = None
    left = sum(goal in wanted for goal in values)
    for goal in goals_in_order(allocation.variables, allocation.demands, allocation.resets):
        if payer is not None and goal.id in wanted:
            tell(goal.id)
            if start is not None:
                hint(allocation.model, start.solution)
            seconds = max(_share(limits.seconds - found.clock_s(limits), left), LEAST_SECONDS)
            step = (goal, values[goal.id] + steps.get(goal.id, 1))
            trade = _trade(allocation, payer, values[payer.id], step, limits, seconds, found)
            if found.was_stopped:
                return
            yield trade
            left -= 1
        if payer is not None:
            allocation.model.add(payer.expression >= values[payer.id])
        payer = goal


def _share(seconds: float, questions: int) -> float:
    return seconds * min(1.0, SHARES / max(questions, 1))


def _trade(
    allocation: Allocation,
    payer: Goal,
    value: int,
    step: tuple[Goal, int],
    limits: Limits,
    seconds: float,
    found: Found,
) -> Trade:
    """Ask for a step more of a goal, and for as much of the payer as that leaves."""
    model, (goal, wanted) = allocation.model, step
    asked = model.new_bool_var(f"one more {goal.id}")
    model.add(goal.expression >= wanted).only_enforce_if(asked)
    fix(model, asked, 1)
    model.maximize(payer.expression)
    solver = new_solver(seconds, limits)
    status = run(model, solver, None, found)
    found.spent_s += solver.response_proto.deterministic_time
    fix(model, asked, 0)
    trade = Trade(goal.id, payer.id, value, None, payer.most)
    if status == cp_model.INFEASIBLE:
        return replace(trade, bound=None)
    if status not in HAS_ANSWER:
        return trade
    bound = min(floor(solver.best_objective_bound + ROUNDING), payer.most)
    return replace(trade, best=int(solver.value(payer.expression)), bound=bound)
