"""What the second solver has proven, taken over by the first: answers and bounds."""

from __future__ import annotations

import logging
from collections.abc import Sequence

from kitplan.allocate.goals import Goal
from kitplan.allocate.model import Allocation
from kitplan.allocate.placed import decisions_of, read_placed
from kitplan.allocate.prover import Offer, Proven, Prover
from kitplan.allocate.settle import settle, with_placements
from kitplan.allocate.solver import Found, Limits, Listener, Reached, Step

logger = logging.getLogger("kitplan")


class Adoption:
    """The second solver, and how much of what it says has been taken over."""

    def __init__(self, prover: Prover | None) -> None:
        self._prover = prover
        self._taken = 0
        self._is_trusted = True

    def has_proven(self, goal_ids: tuple[str, ...]) -> bool:
        """Whether all of these goals are proven."""
        return self._trusted is not None and self._trusted.has_proven(goal_ids)

    @property
    def has_news(self) -> bool:
        """Whether something has been proven since the last time that it was taken over."""
        return self._trusted is not None and len(self._trusted.proven) > self._taken

    @property
    def _trusted(self) -> Prover | None:
        """The second solver, unless it has been found to disagree with the first."""
        return self._prover if self._is_trusted else None

    def begin(self) -> None:
        """Let the second solver set to work, unless it has begun."""
        if self._prover is not None:
            self._prover.begin()

    def stop(self) -> None:
        """Let the second solver end."""
        if self._prover is not None:
            self._prover.stop()

    def take_over(
        self,
        allocation: Allocation,
        goals: Sequence[Goal],
        limits: Limits,
        found: Found,
        tell: Listener,
    ) -> None:
        """Take over all that has been proven of some goals, and the answer where it is better."""
        if self._trusted is None:
            return
        known = {goal.id: goal for goal in goals}
        proven = [each for each in list(self._trusted.proven) if each.goal in known]
        self._taken = len(proven)
        if not proven:
            return
        best = [each.value for each in proven]
        own = _values(found, known, proven)
        if own is None or own < best:
            self._answer(allocation, known, proven, limits, found)
            note_values(goals, limits, found, tell)
            own = _values(found, known, proven)
        if own != best:
            logger.warning("the solvers disagree: %s against %s", own, best)
            self._is_trusted = False
            return
        for each in proven:
            old = found.reached.get(each.goal)
            if old is None or old.bound != each.value or old.value != each.value:
                at = found.clock_s(limits)
                found.reached[each.goal] = Reached(each.goal, each.value, each.value, at)
                tell(Step(each.goal, each.value, each.value, found.elapsed_s))

    def _answer(
        self,
        allocation: Allocation,
        known: dict[str, Goal],
        proven: Sequence[Proven],
        limits: Limits,
        found: Found,
    ) -> None:
        """Solve with every placement as the second solver has it: all rows must hold, and all that
        it has proven must come out.
        """
        slots = allocation.variables.slots
        chosen = decisions_of(slots, proven[-1].placed)
        if chosen is None:
            return
        model = with_placements(allocation.model, slots, lambda var: int(var.index in chosen))
        for each in proven:
            model.add(known[each.goal].expression >= each.value)
        found.answer = settle(model, limits) or found.answer

    def offer(self, allocation: Allocation, found: Found) -> None:
        """Show the second solver the answer so far, for it to begin its next goal with."""
        if self._prover is not None and found.answer is not None:
            placed = read_placed(allocation.variables.slots, found.answer.value)
            values = {goal: reached.value for goal, reached in found.reached.items()}
            proven = frozenset(goal for goal, reached in found.reached.items() if reached.is_proven)
            self._prover.offer = Offer(placed, values, proven)

    def bound_the_next(self, goals: Sequence[Goal], found: Found) -> None:
        """Note the bound of the goal that the second solver was stopped at."""
        if self._trusted is None:
            return
        values = {each.goal: each.value for each in self._trusted.proven}
        for goal in goals:
            reached = found.reached[goal.id]
            if goal.id in self._trusted.bounds:
                bound = max(min(self._trusted.bounds[goal.id], reached.bound), reached.value)
                found.reached[goal.id] = Reached(goal.id, reached.value, bound, reached.at_s)
                return
            if values.get(goal.id) != reached.value:
                return  # it looked at other plans from here on


def note_values(
    goals: Sequence[Goal],
    limits: Limits,
    found: Found,
    tell: Listener,
    told: Sequence[str] = (),
) -> None:
    """Note what goals have reached now. Bounds of goals after one that has changed fall.

    Args:
        told: Ids of goals whose change is worth telling.
    """
    assert found.answer is not None
    at = found.clock_s(limits)
    has_changed = False
    for goal in goals:
        if goal.id not in found.reached:
            continue
        old = found.reached[goal.id]
        value = found.answer.value(goal.expression)
        bound = max(goal.most if has_changed else old.bound, value)
        has_changed = has_changed or value != old.value
        if (value, bound) != (old.value, old.bound):
            found.reached[goal.id] = Reached(goal.id, value, bound, at)
        if value != old.value and goal.id in told:
            tell(Step(goal.id, value, bound, found.elapsed_s))


def _values(found: Found, known: dict[str, Goal], proven: Sequence[Proven]) -> list[int] | None:
    if found.answer is None:
        return None
    return [found.value(known[each.goal].expression) for each in proven]
