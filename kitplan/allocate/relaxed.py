"""A bound from the linear relaxation, for models too large to be searched as a whole.

An interior-point method without a crossover comes close to the best of the relaxation in a fraction
of the time that a basis takes, but its end is not exact. The bound is: any weights y of the rows of
low <= A x <= high, with d = c - A'y, give for every x between its ends

    c x <= sum over rows of max(y low, y high) + sum over decisions of max(d least, d most)

(weak duality; a textbook has it, e.g. Chvatal, Linear Programming, 1983, chapter 5). Good weights
only make it tight.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from math import floor

import highspy
import numpy as np

from kitplan.allocate.matrix import keep_quiet
from kitplan.allocate.part import Ends, Floats, Rows, Terms

CLOSE_ENOUGH = 1e-3
"""Where the method ends, relative to the value: more exact bounds take longer and say no more."""
ROUNDING = 1e-11
"""More than the sum of such figures can be off, for every one that is added."""
POLL_SECONDS = 0.02
SECONDS, TERMS, GROWTH = 9.0, 480_000, 1.7
"""It takes so long for so many terms, and for n times as many n to this power times as long: M 0
9 s, L 0 (3.7 million) 300 s, on one core of an ordinary machine."""


def seconds_for(rows: Rows) -> float:
    """Return how long a bound is likely to take."""
    return float(SECONDS * (len(rows.column) / TERMS) ** GROWTH)


def relaxed_bound(
    rows: Rows, ends: Ends, aim: Terms, seconds: float, is_stopped: Callable[[], bool]
) -> int | None:
    """Return a whole number that nothing within these rows and ends is worth more than; None where
    no weights are found in so many seconds, or before it is stopped.
    """
    cost = np.zeros(len(ends.least))
    np.add.at(cost, aim.columns, aim.values.astype(np.float64))
    highs = _program(rows, ends, cost)
    highs.setOptionValue("time_limit", seconds)
    highs.cbIpmInterrupt.subscribe(lambda event: event.interrupt() if is_stopped() else None)
    thread = threading.Thread(target=highs.run)  # so that an interrupt gets through
    thread.start()
    while thread.is_alive():
        thread.join(POLL_SECONDS)
    weights = np.array(highs.getSolution().row_dual)
    if len(weights) != len(rows.low) or not np.all(np.isfinite(weights)):
        return None
    return floor(_bound(rows, ends, cost, weights)) + aim.constant


def _bound(rows: Rows, ends: Ends, cost: Floats, weights: Floats) -> float:
    """Return what the weights prove, rounded up."""
    side = np.where(weights > 0, rows.high, rows.low)
    is_bounded = np.isfinite(side)  # a row without an end on that side proves nothing
    at_rows = np.where(is_bounded, weights, 0.0) * np.where(is_bounded, side, 0.0)
    taken = rows.value * np.repeat(np.where(is_bounded, weights, 0.0), rows.lengths)
    rest = cost - np.bincount(rows.column, taken, len(cost))
    at_ends = np.maximum(rest * ends.least, rest * ends.most)
    reach = np.maximum(np.abs(ends.least), np.abs(ends.most))
    added = np.abs(at_rows).sum() + float(np.abs(taken) @ reach[rows.column])
    return float(at_rows.sum() + at_ends.sum() + ROUNDING * added)


def _program(rows: Rows, ends: Ends, cost: Floats) -> highspy.Highs:
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(ends.least), len(rows.low)
    lp.col_cost_, lp.sense_ = cost, highspy.ObjSense.kMaximize
    lp.col_lower_, lp.col_upper_ = ends.least, ends.most
    lp.row_lower_, lp.row_upper_ = rows.low, rows.high
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = rows.starts
    lp.a_matrix_.index_, lp.a_matrix_.value_ = rows.column, rows.value
    keep_quiet()
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("solver", "ipm")
    highs.setOptionValue("run_crossover", "off")
    highs.setOptionValue("ipm_optimality_tolerance", CLOSE_ENOUGH)
    if highs.passModel(lp) != highspy.HighsStatus.kOk:
        raise ValueError("the rows make no program")
    return highs
