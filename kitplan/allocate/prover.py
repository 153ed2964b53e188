"""A second solver beside the first: goal by goal it proves what is best, in strict order.

CP-SAT finds good answers fast; the bound of these models comes from their linear relaxation, where
a solver of mixed-integer programs is at home. Measured on the depot shoot (one core of two): HiGHS
proves goal by goal down to picture quality in 68 s and economy in three minutes, which CP-SAT
leaves open after ten. It builds the model for itself, so that nothing is shared between threads;
its answers count only once CP-SAT has taken them over row by row.
"""

from __future__ import annotations

import logging
import threading
import time
from dataclasses import dataclass
from math import floor
from typing import Any

import highspy
import numpy as np

from kitplan.allocate.goals import goals_in_order
from kitplan.allocate.matrix import keep_quiet, to_highs
from kitplan.allocate.model import build
from kitplan.allocate.settle import decisions
from kitplan.options.spots import Options

logger = logging.getLogger("kitplan")
ROUNDING = 1e-4
"""Objectives are whole numbers; a bound this close under the next one is rounding."""
NEXT_WHOLE = 0.99
"""Values are whole: a gap below one is none."""
MOST = 1e15
"""Beyond this whole numbers are no longer exact."""
LEAST_SECONDS = 0.1
PATIENCE_S = 10.0
THREAD_NAME = "second solver"


@dataclass(frozen=True)
class Proven:
    """The best value of a goal, given the best ones of all goals before it."""

    goal: str
    value: int
    decisions: tuple[int, ...]
    """Of every slot in turn: an answer that reaches it."""


class Prover:
    """HiGHS on a thread of its own, from the first goal to the last or until it is stopped."""

    def __init__(
        self, options: Options, seconds: float, seed: int, last: str | None = None
    ) -> None:
        """Begin at once; `last` is the last goal to prove, None for all."""
        self._last = last
        self.proven: list[Proven] = []
        """Goals in order, as far as it has come; read by others while it grows."""
        self.bounds: dict[str, int] = {}
        """What is known of the goal it was stopped at, given those before."""
        self._until = time.monotonic() + seconds
        self._seed = seed
        self._is_unwanted = False
        keep_quiet()  # here, before there are threads that might print
        self._thread = threading.Thread(
            target=self._work, args=(options,), name=THREAD_NAME, daemon=True
        )
        self._thread.start()

    def stop(self) -> None:
        """Ask it to end, and wait a little until it has; it does not always listen at once."""
        self._is_unwanted = True
        self._thread.join(PATIENCE_S)

    def has_proven(self, goal_ids: tuple[str, ...]) -> bool:
        """Whether all of these goals are proven."""
        return set(goal_ids) <= {each.goal for each in self.proven}

    def _work(self, options: Options) -> None:
        try:
            self._prove(options)
        except Exception as error:  # a second opinion is never worth losing the first
            logger.warning("the second solver gave up: %s", error, exc_info=error)

    def _prove(self, options: Options) -> None:
        allocation = build(options)
        keep = [var.index for slot in allocation.variables.slots for var in decisions(slot)]
        solution: list[float] = []
        for goal in goals_in_order(allocation.variables, allocation.demands, allocation.resets):
            allocation.model.maximize(goal.expression)
            highs = self._highs(allocation.model, solution)
            if self._is_unwanted:
                return
            highs.run()
            if highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
                self._note_bound(highs, goal.id)
                return
            value = round(highs.getInfo().objective_function_value)
            solution = list(highs.getSolution().col_value)
            answer = tuple(round(solution[index]) for index in keep)
            self.proven.append(Proven(goal.id, value, answer))
            allocation.model.add(goal.expression >= value)
            if goal.id == self._last:
                return

    def _highs(self, model: Any, solution: list[float]) -> highspy.Highs:
        """Return the solver with all rows, and the answer so far to start from."""
        highs = to_highs(model)
        for name, value in {
            "time_limit": max(self._until - time.monotonic(), LEAST_SECONDS),
            "random_seed": self._seed,
            "mip_rel_gap": 0.0,
            "mip_abs_gap": NEXT_WHOLE,
        }.items():
            highs.setOptionValue(name, value)
        if solution:
            places = np.arange(len(solution), dtype=np.int32)
            highs.setSolution(len(solution), places, np.array(solution, dtype=float))
        for interrupt in (highs.cbMipInterrupt, highs.cbSimplexInterrupt, highs.cbIpmInterrupt):
            interrupt.subscribe(self._ask)
        return highs

    def _ask(self, event: Any) -> None:
        if self._is_unwanted:
            event.interrupt()

    def _note_bound(self, highs: highspy.Highs, goal_id: str) -> None:
        stopped = (highspy.HighsModelStatus.kTimeLimit, highspy.HighsModelStatus.kInterrupt)
        bound = highs.getInfo().mip_dual_bound
        if highs.getModelStatus() in stopped and abs(bound) < MOST:
            self.bounds[goal_id] = floor(bound + ROUNDING)
