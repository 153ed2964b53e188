"""A second solver beside the first: it works on the same rows and often ends the proof.

CP-SAT finds good answers fast; the bound of these models comes from their linear relaxation, where
a solver of mixed-integer programs is at home. Measured on the depot shoot (two cores): lost marks
of quality proven in 46 s, which CP-SAT alone leaves open after ten minutes. Its answer counts only
when CP-SAT has taken it over row by row.
"""

from __future__ import annotations

import threading
from math import floor
from typing import Any

import highspy
import numpy as np
from ortools.sat.python import cp_model

from kitplan.allocate.matrix import to_highs

ROUNDING = 1e-4
"""Objectives are whole numbers; a bound this close under the next one is rounding."""
HALF = 0.5


HAS_ANSWER = highspy.SolutionStatus.kSolutionStatusFeasible
MEANINGFUL = (
    highspy.HighsModelStatus.kOptimal,
    highspy.HighsModelStatus.kTimeLimit,
    highspy.HighsModelStatus.kInterrupt,
)
"""How a run ends that has something to say."""
MOST = 1e15
"""Beyond this whole numbers are no longer exact."""


class Prover:
    """HiGHS on its own thread, on a copy of the rows of a model."""

    def __init__(
        self, model: cp_model.CpModel, seconds: float, seed: int, start_from: list[int] | None
    ) -> None:
        """Begin at once; `start_from` is an answer to the first of the decisions.

        The rows are copied before the thread starts: nobody else may read a model that is solved.
        """
        self._highs = to_highs(model)
        for name, value in {
            "time_limit": max(seconds, 0.1),
            "random_seed": seed,
            "mip_rel_gap": 0.0,
            "mip_abs_gap": 0.99,
        }.items():
            self._highs.setOptionValue(name, value)
        if start_from is not None:
            places = np.arange(len(start_from), dtype=np.int32)
            self._highs.setSolution(len(start_from), places, np.array(start_from, dtype=float))
        self._is_unwanted = False
        self._highs.cbMipInterrupt += self._ask
        self._thread = threading.Thread(target=self._highs.run, daemon=True)
        self._thread.start()

    def _ask(self, event: Any) -> None:
        if self._is_unwanted:
            event.interrupt()

    def stop(self) -> None:
        """Ask it to end and wait until it has."""
        self._is_unwanted = True
        self._thread.join()

    @property
    def _status(self) -> highspy.HighsModelStatus | None:
        """How it ended; None while it is at work, or where it has nothing to say."""
        if self._thread.is_alive():
            return None
        status = self._highs.getModelStatus()
        return status if status in MEANINGFUL else None

    @property
    def has_proven(self) -> bool:
        """Whether it has ended with an answer than which there is no better."""
        return self._status == highspy.HighsModelStatus.kOptimal

    @property
    def values(self) -> list[int] | None:
        """The decisions of its best answer; None if it has none, or is still at work."""
        if self._status is None or self._highs.getInfo().primal_solution_status != HAS_ANSWER:
            return None
        return [floor(value + HALF) for value in self._highs.getSolution().col_value]

    @property
    def bound(self) -> int | None:
        """No answer gives more than this; None where nothing is known, or it is still at work."""
        bound = self._highs.getInfo().mip_dual_bound if self._status is not None else MOST
        return floor(bound + ROUNDING) if abs(bound) < MOST else None
