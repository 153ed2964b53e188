"""Raising the thinnest song of a large model.

A step of the neighbourhood search that has to raise every thin song at once seldom can. Here what
is still missing of the songs is summed up, so that each step may bring one of them further: the
plan on the way may have fewer viewpoints than the best one, which is kept until the way has led to
where all songs have one more. Where steps lead no further the whole model is asked for that goal
alone and without its relaxation, which says nothing of it: that finds what needs many rigs moved at
once, and may prove that there is no more.
"""

from __future__ import annotations

from contextlib import closing
from math import floor

from ortools.sat.python import cp_model

from kitplan.allocate.adopt import note_values
from kitplan.allocate.answer import Answer
from kitplan.allocate.goals import Goal
from kitplan.allocate.model import Allocation
from kitplan.allocate.neighbours import Neighbourhoods
from kitplan.allocate.piecewise import choices_around
from kitplan.allocate.settle import hint, settled
from kitplan.allocate.solver import (
    HAS_ANSWER,
    Found,
    Limits,
    Listener,
    Reached,
    run,
    unrelaxed_solver,
)
from kitplan.allocate.stepping import Steps
from kitplan.allocate.variables import total
from kitplan.allocate.watcher import ROUNDING

EVENNESS = "evenness"
"""Id of the goal on the way."""
HELD, SOUGHT = ("musts", "wants"), ("thinnest", "viewpoints")
STEPS_SHARE, WHOLE_SHARE = (0.15, 0.25), (0.15, 0.35)
"""Shares of the whole time and of what is left of it, the lesser of them, that steps may take, and
then the whole model. Tried once each on one core, from where steps lead no further, the whole model
without and with its relaxation: M 2 proven at 9 in 10 s, not in 20 s; M 19 at 6 in 4 s and 10 s;
M 10 from 7 to 9 in 5 s, not in 30 s. In the runs of docs/allocate.md, where it has 9 s, none of
them is proven and M 10 stays at 7: what it begins with decides.
"""
PATIENCE = 20
"""Steps without gain after which the next viewpoint of all songs is given up."""


class Lifting:
    """What sums up what the songs of a model are short of."""

    def __init__(self, allocation: Allocation) -> None:
        """Take a model that has the goals down to the viewpoints, and add to it.

        evenness = sum over songs of min(counted viewpoints on offer, the level aimed at)
        """
        self._allocation, x = allocation, allocation.variables
        most = len(x.slots)
        self._level: cp_model.IntVar = x.model.new_int_var(0, most, "level aimed at")
        self._songs, enough = len(x.on_offer), []
        for song, on_offer in x.on_offer.items():
            enough.append(x.model.new_int_var(0, most, f"enough for {song}"))
            x.model.add(enough[-1] <= on_offer)
            x.model.add(enough[-1] <= self._level)
        self._evenness = Goal(EVENNESS, total(enough), {}, most=self._songs * most)

    def lift(
        self,
        goals: tuple[Goal, ...],
        start: Answer,
        limits: Limits,
        found: Found,
        tell: Listener,
    ) -> bool:
        """Return whether, from another answer, the thinnest song could be raised above that of the
        answer so far, which is then replaced.

        Args:
            goals: Those down to the viewpoints; both answers know of them, and they are noted.
        """
        thinnest, best = next(goal for goal in goals if goal.id == SOUGHT[0]), found.answer
        is_open = not (found.was_stopped or found.reached[thinnest.id].is_proven)
        if not is_open or not self._allocation.variables.slots:
            return False
        most, found.answer = found.value(thinnest.expression), start
        is_gain = True
        while is_gain and not (found.was_stopped or found.reached[thinnest.id].is_proven):
            self._take_steps(thinnest, goals, limits, found)
            is_gain = self._ask_the_whole(thinnest, goals, limits, found)
        is_more = found.value(thinnest.expression) > most
        if not is_more:
            found.answer = best
        note_values(goals, limits, found, tell, SOUGHT)
        return is_more

    def _take_steps(
        self, thinnest: Goal, goals: tuple[Goal, ...], limits: Limits, found: Found
    ) -> None:
        until = _until(STEPS_SHARE, limits, found)
        while (level := found.value(thinnest.expression) + 1) <= found.reached[thinnest.id].bound:
            if not self._lift_to(level, goals, limits, found, until):
                return

    def _ask_the_whole(
        self, thinnest: Goal, goals: tuple[Goal, ...], limits: Limits, found: Found
    ) -> bool:
        """Return whether the whole model has found more; note its bound."""
        reached, until = found.reached[thinnest.id], _until(WHOLE_SHARE, limits, found)
        left = until - found.clock_s(limits)
        if left <= 0 or reached.is_proven or found.was_stopped:
            return False
        assert found.answer is not None
        model, before = self._allocation.model, found.answer
        model.maximize(thinnest.expression)
        hint(model, before.solution)
        solver = unrelaxed_solver(left, limits)
        status = run(model, solver, None, found)
        found.spent_s += solver.response_proto.deterministic_time
        if status not in HAS_ANSWER:
            return False
        bound = min(floor(solver.best_objective_bound + ROUNDING), reached.bound)
        answer = self._counted(Answer.of(solver), goals, limits, found)
        if answer is not None and answer.value(thinnest.expression) > found.value(
            thinnest.expression
        ):
            found.answer = answer
        value = max(found.value(thinnest.expression), reached.value)
        found.reached[thinnest.id] = Reached(thinnest.id, value, bound, found.clock_s(limits))
        return found.answer is not before

    def _lift_to(
        self, level: int, goals: tuple[Goal, ...], limits: Limits, found: Found, until: float
    ) -> bool:
        """Return whether all songs of the answer have so many viewpoints now; if not, it is as it
        was.
        """
        self._allocation.fix(self._level, level)
        around, before = Neighbourhoods(self._allocation, (*goals, self._evenness)), found.answer
        assert before is not None
        around.aim_at((EVENNESS, SOUGHT[-1]), _held(goals, found))
        found.answer = settled(around.around(before, frozenset()), limits) or before
        counted: Answer | None = None
        if found.answer is not before and self._climb(level, around, limits, found, until):
            counted = self._counted(found.answer, goals, limits, found)
        found.answer = counted or before
        return counted is not None

    def _counted(
        self, answer: Answer, goals: tuple[Goal, ...], limits: Limits, found: Found
    ) -> Answer | None:
        """Return an answer with all that follows from its placements counted at its best."""
        around = Neighbourhoods(self._allocation, goals)
        around.aim_at(SOUGHT, _held(goals, found))
        return settled(around.around(answer, frozenset()), limits)

    def _climb(
        self, level: int, around: Neighbourhoods, limits: Limits, found: Found, until: float
    ) -> bool:
        """Return whether steps have come to where no song is short of a level."""
        idle, choices = 0, choices_around(around, SOUGHT, limits, found)
        with closing(Steps(around, choices, limits, found)) as steps:
            while found.value(self._evenness.expression) < self._songs * level:
                left = until - found.clock_s(limits)
                if left <= 0 or idle == PATIENCE or found.was_stopped:
                    return False
                idle = 0 if steps.next(left) else idle + 1
        return True


def _until(shares: tuple[float, float], limits: Limits, found: Found) -> float:
    """Return when a share of the time is over that begins now."""
    now = found.clock_s(limits)
    of_all, of_rest = shares
    return now + min(of_all * limits.seconds, of_rest * max(limits.seconds - now, 0.0))


def _held(goals: tuple[Goal, ...], found: Found) -> dict[str, int]:
    return {goal.id: found.value(goal.expression) for goal in goals if goal.id in HELD}
