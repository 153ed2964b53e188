"""What still fits beside what is placed: the rows of a model, and how full each is.

Every row `low <= A x <= high` keeps the least and the most that it can still come to. A placement
that would take the least over `high`, or the most under `low`, is refused at once. That a row is
not broken yet does not say that all rows hold together: `holds_up` asks that of a small solver, for
the few rows that do not hold by themselves.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from kitplan.allocate.matrix import keep_quiet
from kitplan.allocate.part import Whole

Ints = NDArray[np.int64]
Floats = NDArray[Any]
Flags = NDArray[np.bool_]
SLACK = 1e-6
MOST_NODES = 100
"""Steps of the small solver; what it has not settled by then counts as not holding up."""


class Board:
    """Placed decisions on the rows of a model.

    Args:
        decided: Numbers of the decisions that are placed by hand: all of them are 0 or 1.
    """

    def __init__(self, whole: Whole, decided: Iterable[int]) -> None:
        self._least, self._most = whole.ends.least.copy(), whole.ends.most
        self._low, self._high = whole.rows.low, whole.rows.high
        rows, columns, values = whole.rows.row, whole.rows.column, whole.rows.value
        by_column = np.argsort(columns, kind="stable")
        self._rows, self._values = rows[by_column], values[by_column]
        self._ends = np.searchsorted(columns[by_column], np.arange(len(self._least) + 1))
        self._is_decided = np.zeros(len(self._least), dtype=np.bool_)
        self._is_decided[list(decided)] = True
        ends = np.stack([values * self._least[columns], values * self._most[columns]])
        count = len(self._low)
        self._at_least = np.bincount(rows, ends.min(axis=0), count)
        self._at_most = np.bincount(rows, ends.max(axis=0), count)
        rest = np.where(self._is_decided[columns], 0.0, values * self._least[columns])
        self._exact = np.bincount(rows, rest, count)
        """What each row comes to with what is placed, everything else as low as it goes."""
        self._is_broken = (self._exact < self._low - SLACK) | (self._exact > self._high + SLACK)
        free = ~self._is_decided[columns]
        self._free_starts = np.append(0, np.cumsum(np.bincount(rows[free], minlength=count)))
        self._free_columns, self._free_values = columns[free], values[free]
        """What nobody places, row by row."""
        spread = np.where(free, values * (self._most - self._least)[columns], 0.0)
        self._up = np.bincount(rows, np.maximum(spread, 0.0), count)
        self._down = np.bincount(rows, np.minimum(spread, 0.0), count)
        """How far decisions that nobody places can take each row from there."""
        self._empty: dict[int, tuple[Ints, Floats, Floats]] = {}

    def put(self, key: int, own: Sequence[int], chosen: Sequence[int]) -> bool:
        """Place decisions if no row is broken by that; return whether they are.

        Args:
            key: Number of the place that they fill, always with the same decisions of its own.
            own: All decisions of that place: those that are not chosen become 0.
        """
        rows, least, most = self._emptied(key, own)
        self._at_least[rows] += least
        self._at_most[rows] += most
        chosen_rows, values = self._entries(chosen)
        np.add.at(self._at_least, chosen_rows, values)
        np.add.at(self._at_most, chosen_rows, values)
        fits = self._fits(rows)
        if fits:
            self._move(chosen_rows, values)
        else:
            self._take(rows, least, most, chosen_rows, values)
        return fits

    def add(self, chosen: Sequence[int]) -> bool:
        """Make further decisions of filled places 1 if no row is broken by that."""
        rows, values = self._entries(chosen)
        nothing = np.zeros(0)
        np.add.at(self._at_least, rows, values)
        np.add.at(self._at_most, rows, values)
        fits = self._fits(rows)
        if fits:
            self._move(rows, values)
        else:
            self._take(rows[:0], nothing, nothing, rows, values)
        return fits

    def require(self, columns: Sequence[int]) -> None:
        """Let decisions that nobody places be 1 from now on."""
        rows, values = self._entries(columns)
        np.add.at(self._at_least, rows, np.maximum(values, 0.0))
        np.add.at(self._at_most, rows, np.minimum(values, 0.0))
        self._move(rows, values)
        self._least[list(columns)] = 1.0

    def take_back(self, key: int, own: Sequence[int], chosen: Sequence[int]) -> None:
        """Undo a placement that was put."""
        rows, least, most = self._emptied(key, own)
        chosen_rows, values = self._entries(chosen)
        self._take(rows, least, most, chosen_rows, values)
        self._move(chosen_rows, -values)

    def holds_up(self) -> bool:
        """Whether all rows can hold together if nothing more is placed."""
        broken = np.flatnonzero(self._is_broken)
        return len(broken) == 0 or self._can_be_mended(broken)

    def _move(self, rows: Ints, values: Floats) -> None:
        """Let rows come to more, or less, than with what was placed before."""
        np.add.at(self._exact, rows, values)
        exact = self._exact[rows]
        self._is_broken[rows] = (exact < self._low[rows] - SLACK) | (
            exact > self._high[rows] + SLACK
        )

    def _fits(self, rows: Ints) -> bool:
        return bool(
            np.all(self._at_least[rows] <= self._high[rows] + SLACK)
            and np.all(self._at_most[rows] >= self._low[rows] - SLACK)
        )

    # -- rows ----------------------------------------------------------------------------------

    def _emptied(self, key: int, own: Sequence[int]) -> tuple[Ints, Floats, Floats]:
        """What it does to the rows if all decisions of a place are 0."""
        if key not in self._empty:
            rows, values = self._entries(own)
            touched, at = np.unique(rows, return_inverse=True)
            most = self._most[np.repeat(list(own), self._sizes(own))]
            below = np.bincount(at, np.minimum(values * most, 0.0), len(touched))
            above = np.bincount(at, np.maximum(values * most, 0.0), len(touched))
            self._empty[key] = (touched, -below, -above)
        return self._empty[key]

    def _sizes(self, columns: Sequence[int] | Ints) -> Ints:
        numbers = np.array(columns, dtype=np.int64)
        found: Ints = self._ends[numbers + 1] - self._ends[numbers]
        return found

    def _entries(self, columns: Sequence[int] | Ints) -> tuple[Ints, Floats]:
        """Return the rows and values of some columns."""
        numbers = np.array(columns, dtype=np.int64)
        entries = _spans(self._ends[numbers], self._sizes(columns))
        return self._rows[entries], self._values[entries]

    def _take(
        self, rows: Ints, least: Floats, most: Floats, chosen_rows: Ints, values: Floats
    ) -> None:
        np.subtract.at(self._at_least, chosen_rows, values)
        np.subtract.at(self._at_most, chosen_rows, values)
        self._at_least[rows] -= least
        self._at_most[rows] -= most

    # -- the few rows that do not hold by themselves ---------------------------------------------

    def _can_be_mended(self, broken: Ints) -> bool:
        """Solve for everything that is not placed, as far as it has to do with broken rows."""
        is_row, is_column = np.zeros(len(self._low), bool), np.zeros(len(self._most), bool)
        fresh = broken
        while len(fresh):
            is_row[fresh] = True
            entries, _ = self._of_rows(fresh)
            is_new = np.zeros(len(self._most), bool)
            is_new[self._free_columns[entries]] = True
            is_new &= ~is_column
            is_column |= is_new
            touching, _ = self._entries(np.flatnonzero(is_new))
            touched = np.unique(touching[~is_row[touching]])
            fresh = touched[self._can_break(touched)]
        return self._has_answer(np.flatnonzero(is_row), np.flatnonzero(is_column))

    def _can_break(self, rows: Ints) -> Flags:
        """Return which of some rows what nobody places could break."""
        exact = self._exact[rows]
        found: Flags = (exact + self._up[rows] > self._high[rows] + SLACK) | (
            exact + self._down[rows] < self._low[rows] - SLACK
        )
        return found

    def _of_rows(self, rows: Ints) -> tuple[Ints, Ints]:
        """Return what nobody places of some rows, and for each of it which of the rows it is in."""
        sizes = self._free_starts[rows + 1] - self._free_starts[rows]
        return _spans(self._free_starts[rows], sizes), np.repeat(np.arange(len(rows)), sizes)

    def _has_answer(self, rows: Ints, columns: Ints) -> bool:
        """Whether some values of these columns hold these rows, all others as they are."""
        entries, at = self._of_rows(rows)
        own, values = self._free_columns[entries], self._free_values[entries]
        moved = self._exact[rows] - np.bincount(at, values * self._least[own], len(rows))
        is_open = np.bincount(at, minlength=len(rows)) > 0
        low, high = self._low[rows] - moved, self._high[rows] - moved
        if np.any(~is_open & ((low > SLACK) | (high < -SLACK))):
            return False
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(columns), len(rows)
        lp.col_cost_ = np.zeros(len(columns))
        lp.col_lower_, lp.col_upper_ = self._least[columns], self._most[columns]
        lp.row_lower_, lp.row_upper_ = low, high
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.searchsorted(at, np.arange(len(rows) + 1))
        lp.a_matrix_.index_ = np.searchsorted(columns, own)
        lp.a_matrix_.value_ = values
        lp.integrality_ = [highspy.HighsVarType.kInteger] * len(columns)
        keep_quiet()
        solver = highspy.Highs()
        solver.setOptionValue("output_flag", False)
        solver.setOptionValue("mip_max_nodes", MOST_NODES)
        solver.passModel(lp)
        solver.run()
        return bool(solver.getModelStatus() == highspy.HighsModelStatus.kOptimal)


def _spans(starts: Ints, sizes: Ints) -> Ints:
    """Return the numbers of several spans, one behind the other."""
    before = np.cumsum(sizes) - sizes
    return np.repeat(starts - before, sizes) + np.arange(int(sizes.sum()))
