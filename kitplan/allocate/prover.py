"""A second solver beside the first: goal by goal it proves what is best, in strict order.

CP-SAT finds good answers fast; the bound of these models comes from their linear relaxation, where
a solver of mixed-integer programs is at home. Measured on the depot shoot (one core of two): HiGHS
proves goal by goal down to picture quality in 68 s and economy in three minutes, which CP-SAT
leaves open after ten. Its models are its own, so that nothing is shared between threads, and no
finer than the goals at hand can tell shots apart; its answers count only once CP-SAT has taken them
over row by row.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass
from math import floor
from typing import Any

import highspy
import numpy as np

from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.matrix import keep_quiet, run, to_highs
from kitplan.allocate.model import Allocation, build, copied
from kitplan.allocate.placed import Placed, decisions_of, read_placed
from kitplan.allocate.settle import settle, with_placements
from kitplan.allocate.solver import Limits
from kitplan.allocate.variables import Detail

logger = logging.getLogger("kitplan")
ROUNDING = 1e-4
"""Objectives are whole numbers; a bound this close under the next one is rounding."""
NEXT_WHOLE = 0.99
"""Values are whole: a gap below one is none."""
MOST = 1e15
"""Beyond this whole numbers are no longer exact."""
LEAST_SECONDS = 0.1
NO_PROBING = 1 << 15
"""Switches off one rule of its presolve, which tries every decision both ways: on the rows of
these models it takes longer than all the rest (of 26 s for one goal of a small shoot 17 s).
"""
STAGES: tuple[Detail, ...] = ("viewpoints", "variety", "all")
"""Models, the coarsest first, each named after the last goal that it can be asked for."""
PATIENCE_S = 10.0
THREAD_NAME = "second solver"


@dataclass(frozen=True)
class Proven:
    """The best value of a goal, given the best ones of all goals before it."""

    goal: str
    value: int
    placed: tuple[Placed | None, ...]
    """In every slot in turn: an answer that reaches it."""


@dataclass(frozen=True)
class Offer:
    """An answer of the first solver, and what it reaches."""

    placed: tuple[Placed | None, ...]
    values: dict[str, int]
    """By goal."""
    proven: frozenset[str] = frozenset()
    """Goals that the first solver has proven, given these values of those before."""


class Prover:
    """HiGHS on a thread of its own, from the first goal to the last or until it is stopped."""

    def __init__(
        self,
        coarse: Allocation,
        limits: Limits,
    ) -> None:
        """Copy `coarse`, the model of the first stage, without goals; `begin` sets to work."""
        self.proven: list[Proven] = []
        """Goals in order, as far as it has come; read by others while it grows."""
        self.bounds: dict[str, int] = {}
        """What is known of the goal it was stopped at, given those before."""
        self.offer: Offer | None = None
        """The best answer of the first solver so far, to begin with; written by others."""
        self._until = time.monotonic() + limits.seconds
        self._limits = limits
        self._is_unwanted = False
        self._goal: Goal | None = None
        """What it works on."""
        keep_quiet()  # here, before there are threads that might print
        self._thread = threading.Thread(
            target=self._work, args=(copied(coarse),), name=THREAD_NAME, daemon=True
        )

    def begin(self) -> None:
        """Set to work, unless it has begun."""
        if self._thread.ident is None:
            self._thread.start()

    def stop(self) -> None:
        """Ask it to end, and wait a little until it has; it does not always listen at once."""
        self._is_unwanted = True
        if self._thread.ident is not None:
            self._thread.join(PATIENCE_S)

    def has_proven(self, goal_ids: tuple[str, ...]) -> bool:
        """Whether all of these goals are proven."""
        return set(goal_ids) <= {each.goal for each in self.proven}

    def _work(self, coarse: Allocation) -> None:
        try:
            self._prove(coarse)
        except Exception as error:  # a second opinion is never worth losing the first
            logger.warning("the second solver gave up: %s", error, exc_info=error)

    def _prove(self, coarse: Allocation) -> None:
        for detail in STAGES:
            is_first = detail == STAGES[0]
            allocation = coarse if is_first else build(coarse.variables.options, detail)
            if not self._prove_down_to(detail, allocation):
                return

    def _prove_down_to(self, detail: Detail, allocation: Allocation) -> bool:
        """Prove what is not proven yet of the goals of a stage; return whether to go on."""
        for goal in goals_in_order(allocation.variables, allocation.demands, allocation.resets):
            known = {each.goal: each.value for each in self.proven}
            if goal.id not in known:
                proven = self._known(goal) or self._proven(allocation, goal)
                if proven is None:
                    return False
                known[goal.id] = proven.value
                self.proven.append(proven)
            if goal.id == detail:
                break
            allocation.model.add(goal.expression >= known[goal.id])
        return True

    def _known(self, goal: Goal) -> Proven | None:
        """Return what the first solver has proven of a goal, if it has: no need to do so again."""
        offer = self.offer
        if offer is None or goal.id not in offer.proven or not self._reaches_all(offer):
            return None
        return Proven(goal.id, offer.values[goal.id], offer.placed)

    def _reaches_all(self, offer: Offer) -> bool:
        return all(offer.values.get(each.goal) == each.value for each in self.proven)

    def _proven(self, allocation: Allocation, goal: Goal) -> Proven | None:
        """Return what is best for a goal; None where it was stopped before it knew."""
        allocation.model.maximize(goal.expression)
        self._goal = goal
        highs = self._highs(allocation)
        if self._is_unwanted:
            return None
        run(highs)
        if highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            if known := self._known(goal):
                return known
            self._note_bound(highs, goal.id)
            return None
        solution = list(highs.getSolution().col_value)
        placed = read_placed(allocation.variables.slots, lambda var: solution[var.index])
        return Proven(goal.id, round(highs.getInfo().objective_function_value), placed)

    def _highs(self, allocation: Allocation) -> highspy.Highs:
        """Return the solver with all rows, and an answer to start from."""
        highs = to_highs(allocation.model)
        for name, value in {
            "time_limit": max(self._until - time.monotonic(), LEAST_SECONDS),
            "random_seed": self._limits.seed,
            "mip_rel_gap": 0.0,
            "mip_abs_gap": NEXT_WHOLE,
            "presolve_rule_off": NO_PROBING,
        }.items():
            highs.setOptionValue(name, value)
        start = self._start(allocation)
        if start:
            places = np.arange(len(start), dtype=np.int32)
            highs.setSolution(len(start), places, np.array(start, dtype=float))
        for interrupt in (highs.cbMipInterrupt, highs.cbSimplexInterrupt, highs.cbIpmInterrupt):
            interrupt.subscribe(self._ask)
        return highs

    def _start(self, allocation: Allocation) -> Sequence[int]:
        """Return an answer that reaches all that is proven: the first solver's where it does, since
        it has looked at the goals to come as well, else the last of its own.
        """
        offer = self.offer
        if offer and self._reaches_all(offer):
            placed = offer.placed
        elif self.proven:
            placed = self.proven[-1].placed
        else:
            return ()
        slots = allocation.variables.slots
        chosen = decisions_of(slots, placed)
        if chosen is None:
            return ()
        rest = with_placements(allocation.model, slots, lambda var: int(var.index in chosen))
        settled = settle(rest, self._limits)
        return settled.solution if settled else ()

    def _ask(self, event: Any) -> None:
        if self._is_unwanted or (self._goal is not None and self._known(self._goal)):
            event.interrupt()

    def _note_bound(self, highs: highspy.Highs, goal_id: str) -> None:
        stopped = (highspy.HighsModelStatus.kTimeLimit, highspy.HighsModelStatus.kInterrupt)
        bound = highs.getInfo().mip_dual_bound
        if highs.getModelStatus() in stopped and abs(bound) < MOST:
            self.bounds[goal_id] = floor(bound + ROUNDING)
