"""An answer: one value for every decision of a model."""

from __future__ import annotations

from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model, cp_model_helper


class Answer:
    """What a solver answered, or what was put together from the answer to a part of the model."""

    def __init__(self, values: NDArray[np.int64]) -> None:
        """Take the value of every decision that the model had then, by its number."""
        self.values = values

    @classmethod
    def of(cls, solver: cp_model.CpSolver) -> Answer:
        """Return what a solver has found; it must have found something."""
        return cls(np.array(list(solver.response_proto.solution), dtype=np.int64))

    @cached_property
    def solution(self) -> list[int]:
        """The same as plain numbers."""
        return list(map(int, self.values.tolist()))

    def value(self, expression: Any) -> int:
        """Return the value of a decision or expression."""
        if isinstance(expression, cp_model.IntVar):
            return int(self.values[expression.index])
        return int(cp_model_helper.ResponseHelper.value(self._response, expression))

    @cached_property
    def _response(self) -> Any:
        """What the solver's own record of it would be."""
        response = cp_model_helper.CpSolverResponse()
        response.solution.extend(self.solution)
        return response
