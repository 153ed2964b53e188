"""An answer: one value for every decision of a model."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import Any

from ortools.sat.python import cp_model, cp_model_helper


class Answer:
    """What a solver answered, or what was put together from the answer to a part of the model."""

    def __init__(self, response: Any) -> None:
        """Take the solver's own record of it."""
        self._response = response

    @classmethod
    def of(cls, solver: cp_model.CpSolver) -> Answer:
        """Return what a solver has found; it must have found something."""
        return cls(solver.response_proto)

    @classmethod
    def made_of(cls, values: Iterable[int]) -> Answer:
        """Return the answer that has these values, by the number of the decision."""
        response = cp_model_helper.CpSolverResponse()
        response.solution.extend(values)
        return cls(response)

    @cached_property
    def solution(self) -> list[int]:
        """The value of every decision that the model had then, by its number."""
        return list(self._response.solution)

    def value(self, expression: Any) -> int:
        """Return the value of a decision or expression."""
        return int(cp_model_helper.ResponseHelper.value(self._response, expression))
