"""Rigs that stay where they are while what is asked of them changes: all goals counted anew.

No placement is added or moved. One that is not possible any more goes; what is free is which roles
it does, what its menu holds and which placements count. What the goals come to is the best that
these rigs give; the bounds are those of any plan at all, so little is proven.
"""

from __future__ import annotations

import itertools
import time

from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.keep import Kept, kept_goal, kept_slots, words_goal
from kitplan.allocate.model import Allocation
from kitplan.allocate.order import sum_in_order
from kitplan.allocate.past import PastError
from kitplan.allocate.settle import decisions, fix, hint
from kitplan.allocate.solver import DECIDING_GOALS, HAS_ANSWER, Found, Limits, Reached, part_solver
from kitplan.errors import KitplanError


class NotCounted(KitplanError):
    """A plan is too large to be counted anew in the steps that are given to it."""


NUM_FIRST = len(DECIDING_GOALS)
"""Goals that are counted together: musts, wants, thinnest song, viewpoints."""


def as_it_stands(
    allocation: Allocation, keep: tuple[Kept, ...], limits: Limits, found: Found
) -> Found:
    """Return what the placements of a plan come to, each as it was or gone.

    First as much as can stays as it was, roles and menus included; then the goals in strict order.

    Args:
        limits: Of each of five solves; counted in the solver's own steps.
    Raises:
        PastError: If what stood in a pass that is over is not possible any more.
        NotCounted: If the steps do not suffice for an answer.
    """
    found.start = time.monotonic()
    x = allocation.variables
    _fix_all_else(allocation, keep)
    _aim(allocation, (kept_goal(x, keep), words_goal(x, keep)), limits, found)
    coming = goals_in_order(x, allocation.demands, allocation.resets)
    goals = tuple(itertools.islice(coming, NUM_FIRST))
    _aim(allocation, goals, limits, found)
    for goal in coming:
        goals = (*goals, goal)
        _aim(allocation, (goal,), limits, found)
    found.goals = goals
    for goal in goals:
        value = found.value(goal.expression)
        found.reached[goal.id] = Reached(goal.id, value, max(goal.most, value), found.spent_s)
    return found


def _fix_all_else(allocation: Allocation, keep: tuple[Kept, ...]) -> None:
    """Rule out every decision about placements but those that leave one as it was, and put nothing
    on a menu that was not there.
    """
    model, slots = allocation.model, allocation.variables.slots
    is_over = allocation.variables.options.brief.shoot.past.is_over
    kept = kept_slots(slots, keep)
    for number, slot in enumerate(slots):
        if is_over(slot.spot.each.id):
            continue  # what stood there is fixed already
        before, chosen = kept.get(number, (None, []))
        same = {var.index for var in chosen}
        for var in decisions(slot):
            if var.index not in same:
                fix(model, var, 0)
        for framing, var in slot.menu.items():
            if before is None or framing not in before.menu:
                fix(model, var, 0)


def _aim(allocation: Allocation, goals: tuple[Goal, ...], limits: Limits, found: Found) -> None:
    """Maximise goals in strict order, and let none of them fall again."""
    model = allocation.model
    model.maximize(sum_in_order(goals))
    if found.answer is not None:
        hint(model, found.answer.solution)
    solver = part_solver(limits.seconds, limits)
    status = solver.solve(model)
    found.spent_s += solver.response_proto.deterministic_time
    if status == cp_model.INFEASIBLE:
        raise PastError(
            "what stood in it is not possible with what has changed",
            where="passes that are over",
            fix="Leave songs and times of passes that are over as they were",
        )
    if status not in HAS_ANSWER:
        raise NotCounted(
            "what the rigs give could not be counted in the steps that it may take",
            where="this plan",
            fix="Plan the shoot anew with `kitplan plan`",
        )
    found.answer = Answer.of(solver)
    for goal in goals:
        model.add(goal.expression >= found.value(goal.expression))
