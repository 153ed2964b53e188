"""Neighbourhood search: better an answer by freeing a few slots at a time.

Where the whole model is too large to settle in time, most of an answer is kept and some of it is
decided anew; `freeing` says which. Each step is exact for what it frees and keeps the goals in
strict order as one weighted sum, so an answer only ever gets better. It proves nothing: bounds stay
those of the search before.
"""

from __future__ import annotations

from itertools import chain
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.goals import Goal
from kitplan.allocate.model import Allocation
from kitplan.allocate.part import Flags, Part, Terms, cut_out
from kitplan.allocate.settle import decisions, hint

SPREAD = {"quality": 2_000, "economy": 20_000_000}
"""More than the value of these goals can differ between two plans worth comparing."""
STEP_COST, STEP_COST_PER_TERM = 0.005, 1e-7
"""Solver time that a step is charged with for cutting its part out, as it takes by the clock; so
that free ones come to an end as well.
"""


class Neighbourhoods:
    """A model in which some goals are bettered while those before them are held."""

    def __init__(self, allocation: Allocation, goals: tuple[Goal, ...]) -> None:
        self.allocation, self.slots, self.goals = allocation, allocation.variables.slots, goals
        self._held: dict[str, int] = {}
        self._objective: Any = 0
        self._aim = Terms.of(self._objective)
        own = [[var.index for var in decisions(slot)] for slot in self.slots]
        self._decisions = np.array(list(chain.from_iterable(own)), dtype=np.int64)
        self._slot_of = np.repeat(np.arange(len(own)), list(map(len, own)))
        allocation.whole.refresh()
        self._rows = allocation.whole.rows

    def aim_at(self, goal_ids: tuple[str, ...], held: dict[str, int]) -> None:
        """From now on maximise these goals in strict order, and hold others at their values. The
        model itself holds nothing: what another solver proves may be less in a later goal.
        """
        self._held.update(held)
        weight, objective = 1, 0
        for goal in reversed(self.goals):
            if goal.id in goal_ids:
                objective = weight * goal.expression + objective
                weight *= SPREAD.get(goal.id, goal.most) + 1
        self._objective, self._aim = objective, Terms.of(objective)
        kept = [(Terms.of(goal.expression), self._held[goal.id]) for goal in self._held_goals]
        self._rows = self.allocation.whole.rows  # of a large model not two copies at a time
        if kept:
            self._rows = self._rows.and_least(kept)

    @property
    def _held_goals(self) -> list[Goal]:
        return [goal for goal in self.goals if goal.id in self._held]

    @property
    def step_cost(self) -> float:
        """What it takes to cut a part out, in the solver's time."""
        return STEP_COST + STEP_COST_PER_TERM * len(self._rows.column)

    def value_of(self, answer: Answer) -> int:
        """Return the weighted sum of an answer."""
        return self._aim.value(answer.values)

    def around(self, answer: Answer, free: frozenset[int]) -> Part | None:
        """Return the model with every slot but the free ones kept as in an answer; None where what
        is held leaves nothing.
        """
        kept = self._decisions[~self._is_of(free)]
        ends = self.allocation.whole.ends.with_values(kept, answer.values[kept])
        return cut_out(self._rows, ends, self._aim, answer.values)

    def joined(self, answer: Answer, other: Answer, slots: frozenset[int]) -> Part | None:
        """Return the model with some slots as in another answer and the rest as in one."""
        one, two = answer.values[self._decisions], other.values[self._decisions]
        decided = np.where(self._is_of(slots), two, one)
        ends = self.allocation.whole.ends.with_values(self._decisions, decided)
        return cut_out(self._rows, ends, self._aim, answer.values)

    def _is_of(self, slots: frozenset[int]) -> Flags:
        """Whether each decision is of one of these slots."""
        return np.isin(self._slot_of, list(slots))

    def everything(self, answer: Answer) -> cp_model.CpModel:
        """Return the whole model with what is held, to start from an answer."""
        model = self.allocation.model.clone()
        model.maximize(self._objective)
        for goal in self._held_goals:
            model.add(goal.expression >= self._held[goal.id])
        hint(model, answer.solution)
        return model
