"""Part of a model: what is left to decide where most decisions are fixed already.

A step of the neighbourhood search frees a few places of many. To copy the whole model for it and
let the solver find out what still matters costs far more than the step itself (M 0: 0.4 s to copy,
over a second to solve, against 0.05 s to cut the part out and 0.3 s to solve it). Here the rows are
kept as arrays; what follows from the fixed decisions is worked out for all rows at once, and only
what is still open goes to the solver, as a model of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.matrix import ends_of, rows_of

ROUNDS = 20
"""Consequences are followed so many rows deep at most; what is left the solver finds itself."""
ROUNDING = 1e-7
UNBOUNDED = 2**62
NOTHING = np.zeros(0, dtype=np.int64)
"""An answer of which nothing is known."""

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


class Terms(NamedTuple):
    """A linear expression: decisions by number, their whole coefficients, and a constant."""

    columns: Ints
    values: Ints
    constant: int

    @classmethod
    def of(cls, expression: Any) -> Terms:
        """Return an expression of the model in numbers."""
        if isinstance(expression, int):
            return cls(np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64), expression)
        flat = cp_model.FlatIntExpr(expression)
        columns = np.array([var.index for var in flat.vars], dtype=np.int64)
        return cls(columns, np.array(flat.coeffs, dtype=np.int64), int(flat.offset))

    def value(self, values: Ints) -> int:
        """Return what it comes to where decisions have these values."""
        return int(self.values @ values[self.columns]) + self.constant


class Rows(NamedTuple):
    """low <= A x <= high, term by term in the order of the rows; whole numbers, kept as floats."""

    starts: Ints
    """Where the terms of each row begin, and where those of the last one end."""
    column: Ints
    value: Floats
    low: Floats
    high: Floats

    @property
    def lengths(self) -> Ints:
        """How many terms each row has."""
        return np.diff(self.starts)

    @property
    def row(self) -> Ints:
        """The row of each term."""
        return np.repeat(np.arange(len(self.low)), self.lengths)

    def sums(self, terms: Floats | Flags) -> Floats:
        """Return the sum of each row, of what its terms come to."""
        found = np.zeros(len(self.low))
        is_filled = self.lengths > 0
        if len(terms):
            begins = self.starts[:-1][is_filled]
            found[is_filled] = np.add.reduceat(terms, begins, dtype=np.float64)
        return found

    def and_least(self, goals: Sequence[tuple[Terms, int]]) -> Rows:
        """Return these and for each goal that it is worth so much at least."""
        terms = [goal for goal, _ in goals]
        ends = self.starts[-1] + np.cumsum([len(goal.columns) for goal in terms], dtype=np.int64)
        least = [float(value - goal.constant) for goal, value in goals]
        return Rows(
            np.concatenate([self.starts, ends]),
            np.concatenate([self.column, *(goal.columns for goal in terms)]),
            np.concatenate([self.value, *(goal.values for goal in terms)]),
            np.concatenate([self.low, least]),
            np.concatenate([self.high, np.full(len(goals), np.inf)]),
        )


class Ends(NamedTuple):
    """Least and greatest value that every decision can have."""

    least: Floats
    most: Floats

    def with_values(
        self, columns: Ints | Sequence[int], values: Ints | Sequence[int] | int
    ) -> Ends:
        """Return these where some decisions, by number, have only one value each."""
        changed = Ends(self.least.copy(), self.most.copy())
        changed.least[columns] = changed.most[columns] = values
        return changed

    @property
    def is_open(self) -> Flags:
        """Which decisions can still have more than one."""
        return self.least < self.most


class Whole:
    """A model as arrays. It may get further rows and decisions, which `refresh` takes in; to leave
    a decision one value is for `fix`.
    """

    def __init__(self, model: cp_model.CpModel) -> None:
        self._model, self._known = model, 0
        none, nothing = np.zeros(0), np.zeros(0, dtype=np.int64)
        self.rows = Rows(np.zeros(1, dtype=np.int64), nothing, none, none, none)
        self.ends = Ends(none, none)

    def refresh(self) -> None:
        """Take in what is new in the model."""
        ends = ends_of(self._model, since=len(self.ends.least))
        self.ends = Ends(*map(np.concatenate, zip(self.ends, ends, strict=True)))
        new, known = rows_of(self._model, since=self._known), self.rows
        self._known = len(self._model.proto.constraints)
        starts = np.array([*new.starts, len(new.columns)], dtype=np.int64)
        self.rows = Rows(
            np.concatenate([known.starts[:-1], starts + known.starts[-1]]),
            _joined(known.column, np.asarray(new.columns)),
            _joined(known.value, np.asarray(new.values)),
            np.concatenate([known.low, new.low]),
            np.concatenate([known.high, new.high]),
        )

    def fix(self, column: int, value: int) -> None:
        """Leave a decision one value."""
        if column < len(self.ends.least):
            self.ends.least[column] = self.ends.most[column] = value


def _joined(known: NDArray[Any], new: NDArray[Any]) -> NDArray[Any]:
    """Return both, one behind the other. Of a large model every copy takes 100 MB."""
    return np.concatenate([known, new]) if len(known) else new


@dataclass(frozen=True)
class Part:
    """A model of the decisions that are still open, in the order of their numbers."""

    model: cp_model.CpModel
    columns: Ints
    """Their numbers in the whole model."""
    fixed: Ints
    """The value of every decision of the whole model that is not open."""

    def answer(self, solver: cp_model.CpSolver) -> Answer:
        """Return what a solver answered for the part, with all the rest as it was."""
        values = self.fixed.copy()
        values[self.columns] = list(solver.response_proto.solution)
        return Answer(values)


def cut_out(rows: Rows, ends: Ends, aim: Terms, known: Ints = NOTHING) -> Part | None:
    """Return what is left to decide within these bounds; None where nothing fits them.

    Args:
        aim: What is to be as great as possible.
        known: An answer to begin with; it need not know of decisions that are newer than it is.
    """
    left = _narrowed(rows, ends, known)
    if left is None:
        return None
    rows, ends = left
    columns = np.flatnonzero(ends.is_open)
    number = np.full(len(ends.least), -1)
    number[columns] = np.arange(len(columns))
    model = cp_model.CpModel()
    variables = model.proto.variables
    for each in zip(_whole(ends.least[columns]), _whole(ends.most[columns]), strict=True):
        variables.add().domain.extend(each)
    _add_rows(model, rows, number)
    fixed = ends.least.astype(np.int64)
    _aim(model, aim, number, fixed)
    hinted = columns[columns < len(known)]
    model.proto.solution_hint.vars.extend(range(len(hinted)))
    model.proto.solution_hint.values.extend(known[hinted].tolist())
    return Part(model, columns, fixed)


def _narrowed(rows: Rows, ends: Ends, known: Ints) -> tuple[Rows, Ends] | None:
    """Return the rows that still say something and the bounds that follow from all of them.

    A row bounds each of its decisions by what the others leave at their best: all rows at once,
    then again with the bounds that this gives.
    """
    left = _touched(rows, ends, known)
    if left is None:
        return None
    rows = left
    for _ in range(ROUNDS):
        least, most = _reach(rows, ends)
        lowest, highest = rows.sums(least), rows.sums(most)
        if np.any(lowest > rows.high) or np.any(highest < rows.low):
            return None
        can_break = (highest > rows.high) | (lowest < rows.low)
        is_left = np.repeat(can_break, rows.lengths) & (least != most)
        rows = _without_fixed(rows, can_break, is_left, least)
        if not len(rows.column):
            break
        least, most = least[is_left], most[is_left]
        room = np.repeat(rows.high - rows.sums(least), rows.lengths) + least
        need = np.repeat(rows.low - rows.sums(most), rows.lengths) + most
        narrower = _bounds(rows, ends, room, need)
        if narrower is None:
            break
        if np.any(narrower.least > narrower.most):
            return None
        ends = narrower
    return rows, ends


def _touched(rows: Rows, ends: Ends, known: Ints) -> Rows | None:
    """Return the rows that have something open, with only that; None where one of the others does
    not hold. Where what is fixed is as in a known answer they all do: most of a large model is
    looked at no further.
    """
    is_open = ends.is_open
    is_left = is_open.take(rows.column)
    is_touched = rows.sums(is_left) > 0
    is_as_known = len(known) == len(is_open) and np.all(is_open | (ends.least == known))
    if not is_as_known:
        sums = rows.sums(rows.value * ends.least.take(rows.column))
        is_broken = (sums < rows.low) | (sums > rows.high)
        if np.any(is_broken & ~is_touched):
            return None
    fixed = np.repeat(is_touched, rows.lengths) & ~is_left
    least = np.zeros(len(rows.column))
    least[fixed] = rows.value[fixed] * ends.least.take(rows.column[fixed])
    return _without_fixed(rows, is_touched, is_left, least)


def _without_fixed(rows: Rows, is_kept: Flags, is_left: Flags, least: Floats) -> Rows:
    """Return some of the rows with some of their terms; the others have one value, their least."""
    is_moved = np.repeat(is_kept, rows.lengths) & ~is_left
    moved = rows.sums(np.where(is_moved, least, 0.0))[is_kept]
    lengths = rows.sums(is_left)[is_kept].astype(np.int64)
    return Rows(
        np.concatenate([[0], np.cumsum(lengths)]),
        rows.column[is_left],
        rows.value[is_left],
        rows.low[is_kept] - moved,
        rows.high[is_kept] - moved,
    )


def _reach(rows: Rows, ends: Ends) -> tuple[Floats, Floats]:
    """Return the least and the most that each term can come to."""
    low = rows.value * ends.least.take(rows.column)
    high = rows.value * ends.most.take(rows.column)
    return np.minimum(low, high), np.maximum(low, high)


def _bounds(rows: Rows, ends: Ends, most: Floats, least: Floats) -> Ends | None:
    """Return the bounds where each term may be so much at most and so much at least; None where
    they are those there are.
    """
    up = np.floor(np.where(rows.value > 0, most, least) / rows.value + ROUNDING)
    down = np.ceil(np.where(rows.value > 0, least, most) / rows.value - ROUNDING)
    is_less = up < ends.most.take(rows.column)
    is_more = down > ends.least.take(rows.column)
    if not (np.any(is_less) or np.any(is_more)):
        return None
    narrower = Ends(ends.least.copy(), ends.most.copy())
    np.minimum.at(narrower.most, rows.column[is_less], up[is_less])
    np.maximum.at(narrower.least, rows.column[is_more], down[is_more])
    return narrower


def _add_rows(model: cp_model.CpModel, rows: Rows, number: Ints) -> None:
    columns, values = number[rows.column].tolist(), _whole(rows.value)
    starts = rows.starts.tolist()
    low, high = _whole(rows.low), _whole(rows.high)
    constraints = model.proto.constraints
    for place, (start, end) in enumerate(pairwise(starts)):
        linear = constraints.add().linear
        linear.vars.extend(columns[start:end])
        linear.coeffs.extend(values[start:end])
        linear.domain.extend([low[place], high[place]])


def _aim(model: cp_model.CpModel, aim: Terms, number: Ints, fixed: Ints) -> None:
    """Maximise; the solver minimises the opposite."""
    place = number[aim.columns]
    is_open = place >= 0
    constant = int(aim.values[~is_open] @ fixed[aim.columns[~is_open]]) + aim.constant
    objective = model.proto.objective
    objective.vars.extend(place[is_open].tolist())
    objective.coeffs.extend((-aim.values[is_open]).tolist())
    objective.offset, objective.scaling_factor = float(-constant), -1.0


def _whole(values: Floats) -> list[int]:
    """Return whole numbers; what is endless as CP-SAT has it."""
    finite = np.nan_to_num(values, posinf=UNBOUNDED, neginf=-UNBOUNDED)
    return list(map(int, finite.astype(np.int64).tolist()))
