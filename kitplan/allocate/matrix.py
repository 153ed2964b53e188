"""The model as a matrix, for a solver of mixed-integer programs: lower <= A x <= upper.

Only the kinds of rows that the allocation uses are known; any other raises, so that nobody is ever
given a weaker model without notice.
"""

from __future__ import annotations

import ctypes
import os
import sys
import tempfile
from array import array
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

import highspy
import numpy as np
from numpy.typing import NDArray
from ortools.sat.cp_model_pb2 import CpModelProto
from ortools.sat.python import cp_model

INFINITE = float("inf")
CHUNK = 60_000
"""So many rows are read at once: of the largest models all together would take too much memory."""


@dataclass
class Matrix:
    """Rows of a mixed-integer model: lower <= A x <= upper."""

    low: list[float]
    high: list[float]
    starts: list[int]
    columns: array[int]
    values: array[float]
    """Millions of terms: as plain numbers they take a fifth of the memory."""

    def add(self, columns: Iterable[int], values: Iterable[float], low: float, high: float) -> None:
        """Add one row, of different decisions."""
        self.starts.append(len(self.columns))
        self.columns.extend(columns)
        self.values.extend(values)
        self.low.append(low)
        self.high.append(high)


def rows_of(model: cp_model.CpModel, *, since: int = 0) -> Matrix:
    """Return the rows of a model.

    Args:
        since: Leave out so many of its constraints, the first ones.
    Raises:
        ValueError: If the model has a kind of constraint that is not linear or a clique.
    """
    matrix = Matrix([], [], [], array("q"), array("d"))
    for constraint in _constraints(model, since):
        if _is(constraint, "linear"):
            _add_linear(model, matrix, constraint)
        elif _is(constraint, "at_most_one"):
            _add_literals(matrix, list(constraint.at_most_one.literals), 1.0)
        else:
            raise ValueError(f"a row that is not linear: {constraint}")
    return matrix


def _constraints(model: cp_model.CpModel, since: int) -> Iterator[Any]:
    """Yield the constraints, as messages where they can be written to a file and read again: of
    those every term is read in a fifth of the time that CP-SAT's own ones take.
    """
    constraints = model.proto.constraints
    is_one_chunk = since == 0 and len(constraints) <= CHUNK
    for first in range(since, len(constraints), CHUNK):
        part = model
        if not is_one_chunk:
            part = cp_model.CpModel()
            for number in range(first, min(first + CHUNK, len(constraints))):
                part.proto.constraints.add().copy_from(constraints[number])
        try:
            yield from _message(part).constraints
        except OSError:  # nowhere to write
            yield from part.proto.constraints


def _message(model: cp_model.CpModel) -> Any:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "rows.pb"
        if not model.export_to_file(str(file)):
            raise OSError(f"{file} cannot be written")
        return CpModelProto.FromString(file.read_bytes())


def _is(constraint: Any, kind: Literal["linear", "at_most_one"]) -> bool:
    own = getattr(constraint, f"has_{kind}", None)  # messages ask in another way
    return bool(own() if own else constraint.HasField(kind))


def _add_linear(model: cp_model.CpModel, matrix: Matrix, constraint: Any) -> None:
    linear = constraint.linear
    low, high = map(_bound, _ends(linear.domain))
    if not constraint.enforcement_literal:
        # a row names a decision once: CP-SAT has put together what was said of it
        matrix.add(linear.vars, linear.coeffs, low, high)
        return
    terms = dict(zip(linear.vars, map(float, linear.coeffs), strict=True))
    (literal,) = constraint.enforcement_literal
    assert literal >= 0, "rows are enforced by a decision, never by its opposite"
    ends = {column: _ends(model.proto.variables[column].domain) for column in terms}
    most = sum(max(v * ends[c][0], v * ends[c][1]) for c, v in terms.items())
    least = sum(min(v * ends[c][0], v * ends[c][1]) for c, v in terms.items())
    own = terms.get(literal, 0.0)
    if high < INFINITE:  # sum <= high while the literal is 1: sum + M literal <= high + M
        fitted = {**terms, literal: own + most - high}
        matrix.add(fitted, fitted.values(), -INFINITE, most)
    if low > -INFINITE:  # sum >= low while it is 1
        fitted = {**terms, literal: own + least - low}
        matrix.add(fitted, fitted.values(), least, INFINITE)


def _add_literals(matrix: Matrix, literals: list[int], most: float) -> None:
    terms: dict[int, float] = {}
    for literal in literals:
        if literal >= 0:
            terms[literal] = terms.get(literal, 0.0) + 1.0
        else:
            terms[-literal - 1] = terms.get(-literal - 1, 0.0) - 1.0
            most -= 1.0
    matrix.add(terms, terms.values(), -INFINITE, most)


def ends_of(
    model: cp_model.CpModel, *, since: int = 0
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the least and the greatest value that each decision of a model can have.

    Args:
        since: Leave out so many of its decisions, the first ones.
    """
    variables = model.proto.variables
    ends = [_ends(variables[n].domain) for n in range(since, len(variables))]
    low, high = np.array(ends, dtype=np.float64).reshape(-1, 2).T
    return low, high


def _bound(value: int) -> float:
    return INFINITE if value > 2**60 else -INFINITE if value < -(2**60) else float(value)


@cache
def keep_quiet() -> None:
    """Let the solver greet whoever owns the standard output once, into nothing.

    Its very first instance prints a banner from below Python, which no option turns off, and which
    would spoil what other programs read from ours.
    """
    sys.stdout.flush()
    with open(os.devnull, "wb") as nothing, _same_place(1) as before:
        os.dup2(nothing.fileno(), 1)
        try:
            highspy.Highs()
            if sys.platform != "win32":
                ctypes.CDLL(None).fflush(None)
        finally:
            os.dup2(before, 1)


@contextmanager
def _same_place(descriptor: int) -> Iterator[int]:
    """Yield a second descriptor for the same open file."""
    copy = os.dup(descriptor)
    try:
        yield copy
    finally:
        os.close(copy)


def to_highs(model: cp_model.CpModel, *, relaxed: bool = False) -> highspy.Highs:
    """Return a HiGHS model that maximises what the CP-SAT model maximises.

    Args:
        relaxed: Leave out that decisions are whole numbers.
    """
    matrix = rows_of(model)
    variables = model.proto.variables
    objective = model.proto.objective
    cost = np.zeros(len(variables))
    scale = objective.scaling_factor or 1.0  # CP-SAT minimises: maximising is stored as scale -1
    for column, value in zip(objective.vars, objective.coeffs, strict=True):
        cost[column] = value * scale
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(variables), len(matrix.low)
    lp.col_cost_ = cost
    lp.offset_ = objective.offset * scale
    lp.sense_ = highspy.ObjSense.kMaximize if scale < 0 else highspy.ObjSense.kMinimize
    lp.col_lower_, lp.col_upper_ = ends_of(model)
    lp.row_lower_, lp.row_upper_ = np.array(matrix.low), np.array(matrix.high)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array([*matrix.starts, len(matrix.columns)])
    lp.a_matrix_.index_ = np.array(matrix.columns)
    lp.a_matrix_.value_ = np.array(matrix.values)
    if not relaxed:
        lp.integrality_ = [highspy.HighsVarType.kInteger] * len(variables)
    keep_quiet()
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    if highs.passModel(lp) != highspy.HighsStatus.kOk:
        raise ValueError("the rows make no model")
    return highs


def run(highs: highspy.Highs) -> None:
    """Solve; where the end makes no sense, once more without the answer that it began with, in the
    time that is left.

    Of the goals of 500 tiny shoots, HiGHS 1.16 ended on 22 with the best value and its bound, but
    handed out the answer that it began with; on one it gave up while it simplified the rows.
    """
    highs.run()
    if not _makes_sense(highs):
        if highs.getModelStatus() == highspy.HighsModelStatus.kSolveError:
            highs.setOptionValue("presolve", "off")
        highs.clearSolver()
        highs.run()


def _makes_sense(highs: highspy.Highs) -> bool:
    """Whether it did not give up, and an answer called the best is worth what is said of it."""
    status = highs.getModelStatus()
    if status != highspy.HighsModelStatus.kOptimal:
        return bool(status != highspy.HighsModelStatus.kSolveError)
    lp, found = highs.getLp(), np.array(highs.getSolution().col_value)
    worth = np.array(lp.col_cost_) @ found + lp.offset_
    return abs(float(worth) - highs.getInfo().objective_function_value) < 0.5  # all are whole


def _ends(domain: Any) -> tuple[int, int]:
    return domain[0], domain[len(domain) - 1]  # the wrapped field does not count from its end


def value_of(model: cp_model.CpModel, expression: Any, solution: Any) -> int:
    """Return the value of an expression of the CP-SAT model at a solution of the peer."""
    probe = model.clone()
    probe.minimize(expression)
    objective = probe.proto.objective
    terms = zip(objective.vars, objective.coeffs, strict=True)
    return round(float(sum(c * solution[v] for v, c in terms) + objective.offset))
