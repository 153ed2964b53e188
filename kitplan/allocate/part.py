"""Part of a model: what is left to decide where most decisions are fixed already.

A step of the neighbourhood search frees a few places of many. To copy the whole model for it and
let the solver find out what still matters costs far more than the step itself (M 0: 0.4 s to copy,
over a second to solve, against 0.05 s to cut the part out and 0.3 s to solve it). Here the rows are
kept as arrays; what follows from the fixed decisions is worked out for all rows at once, and only
what is still open goes to the solver, as a model of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]


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


class Rows(NamedTuple):
    """low <= A x <= high, term by term in the order of the rows; whole numbers, kept as floats."""

    row: Ints
    column: Ints
    value: Floats
    low: Floats
    high: Floats

    def and_least(self, terms: Terms, least: int) -> Rows:
        """Return these and `terms >= least`."""
        place = np.full(len(terms.columns), len(self.low))
        return Rows(
            np.concatenate([self.row, place]),
            np.concatenate([self.column, terms.columns]),
            np.concatenate([self.value, terms.values]),
            np.append(self.low, float(least - terms.constant)),
            np.append(self.high, np.inf),
        )


class Ends(NamedTuple):
    """Least and greatest value that every decision can have."""

    least: Floats
    most: Floats

    def with_values(self, decided: Mapping[int, int]) -> Ends:
        """Return these where some decisions have only one value, by number."""
        changed, places = Ends(self.least.copy(), self.most.copy()), list(decided)
        changed.least[places] = changed.most[places] = list(decided.values())
        return changed

    @property
    def is_open(self) -> NDArray[np.bool_]:
        """Which decisions can still have more than one."""
        return self.least < self.most


class Whole:
    """A model as arrays. It may get further rows and decisions, and decisions other bounds:
    `refresh` takes them in.
    """

    def __init__(self, model: cp_model.CpModel) -> None:
        self._model, self._known = model, 0
        none, nothing = np.zeros(0), np.zeros(0, dtype=np.int64)
        self.rows, self.ends = Rows(nothing, nothing, none, none, none), Ends(none, none)

    def refresh(self) -> None:
        """Take in what is new in the model."""
        self.ends = Ends(*ends_of(self._model))
        new, known = rows_of(self._model, since=self._known), self.rows
        self._known = len(self._model.proto.constraints)
        lengths = np.diff([*new.starts, len(new.columns)])
        self.rows = Rows(
            np.concatenate(
                [known.row, np.repeat(np.arange(len(lengths)), lengths) + len(known.low)]
            ),
            np.concatenate([known.column, np.array(new.columns, dtype=np.int64)]),
            np.concatenate([known.value, np.array(new.values, dtype=float)]),
            np.concatenate([known.low, new.low]),
            np.concatenate([known.high, new.high]),
        )


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
        return Answer.made_of(values.tolist())


def cut_out(rows: Rows, ends: Ends, aim: Terms, known: Sequence[int]) -> Part | None:
    """Return what is left to decide within these bounds; None where nothing fits them.

    Args:
        aim: What is to be as great as possible.
        known: An answer to begin with; it need not know of decisions that are newer than it is.
    """
    left = _narrowed(rows, ends)
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
    model.proto.solution_hint.values.extend([known[column] for column in hinted.tolist()])
    return Part(model, columns, fixed)


def _narrowed(rows: Rows, ends: Ends) -> tuple[Rows, Ends] | None:
    """Return the rows that still say something and the bounds that follow from all of them.

    A row bounds each of its decisions by what the others leave at their best: all rows at once,
    then again with the bounds that this gives.
    """
    for _ in range(ROUNDS):
        least, most = _reach(rows, ends)
        lowest, highest = _sums(rows, least), _sums(rows, most)
        if np.any(lowest > rows.high) or np.any(highest < rows.low):
            return None
        rows, least, most = _still_open(rows, ends, least, most, lowest, highest)
        if not len(rows.row):
            break
        room = (rows.high - _sums(rows, least))[rows.row] + least
        need = (rows.low - _sums(rows, most))[rows.row] + most
        narrower = _bounds(rows, ends, room, need)
        if np.any(narrower.least > narrower.most):
            return None
        is_same = np.array_equal(narrower.least, ends.least)
        is_same = is_same and np.array_equal(narrower.most, ends.most)
        ends = narrower
        if is_same:
            break
    return rows, ends


def _reach(rows: Rows, ends: Ends) -> tuple[Floats, Floats]:
    """Return the least and the most that each term can come to."""
    low, high = rows.value * ends.least[rows.column], rows.value * ends.most[rows.column]
    return np.minimum(low, high), np.maximum(low, high)


def _sums(rows: Rows, terms: Floats) -> Floats:
    """Return the sum of each row."""
    sums: Floats = np.bincount(rows.row, terms, len(rows.low)).astype(np.float64)
    return sums


def _still_open(
    rows: Rows, ends: Ends, least: Floats, most: Floats, lowest: Floats, highest: Floats
) -> tuple[Rows, Floats, Floats]:
    """Return the rows that some values break, without the terms that are fixed, and the reach of
    the terms that are left.
    """
    can_break = (highest > rows.high) | (lowest < rows.low)
    is_left = can_break[rows.row] & ends.is_open[rows.column]
    is_fixed = can_break[rows.row] & ~ends.is_open[rows.column]
    moved = np.bincount(rows.row[is_fixed], least[is_fixed], len(rows.low))[can_break]
    number = np.cumsum(can_break) - 1
    left = Rows(
        number[rows.row[is_left]],
        rows.column[is_left],
        rows.value[is_left],
        rows.low[can_break] - moved,
        rows.high[can_break] - moved,
    )
    return left, least[is_left], most[is_left]


def _bounds(rows: Rows, ends: Ends, most: Floats, least: Floats) -> Ends:
    """Return the bounds where each term may be so much at most and so much at least."""
    up = np.where(rows.value > 0, most, least) / rows.value
    down = np.where(rows.value > 0, least, most) / rows.value
    narrower = Ends(ends.least.copy(), ends.most.copy())
    np.minimum.at(narrower.most, rows.column, np.floor(up + ROUNDING))
    np.maximum.at(narrower.least, rows.column, np.ceil(down - ROUNDING))
    return narrower


def _add_rows(model: cp_model.CpModel, rows: Rows, number: Ints) -> None:
    columns, values = number[rows.column].tolist(), _whole(rows.value)
    starts = np.searchsorted(rows.row, np.arange(len(rows.low) + 1)).tolist()
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
