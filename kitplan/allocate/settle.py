"""Placements fixed, all that follows from them counted at its best: solved in a moment."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.answer import Answer
from kitplan.allocate.part import NOTHING, Ints, Part, Terms, cut_out
from kitplan.allocate.solver import HAS_ANSWER, Limits, new_solver
from kitplan.allocate.variables import Slot

if TYPE_CHECKING:
    from kitplan.allocate.model import Allocation

SETTLING_SECONDS, REBUILDING_SECONDS = 2.0, 20.0
"""With every placement fixed all that is left is which shots count; seldom more than half a second.
Of a poor plan with many shots alike it can take far longer, and there the best in two seconds
serves: a start to go on from. An answer that has nothing to start from is given more.
"""


def fix(model: cp_model.CpModel, var: IntVar, value: int) -> None:
    """Leave a decision one value. In place, and so to be undone by fixing it anew."""
    domain = model.proto.variables[var.index].domain
    domain.clear()
    domain.extend([value, value])


def decisions(slot: Slot) -> tuple[IntVar, ...]:
    """Return what a placement is made of; all the rest follows from it."""
    return (
        slot.is_used,
        *slot.cameras,
        *slot.stands,
        *slot.operators.values(),
        *slot.shots.values(),
    )


def with_placements(
    model: cp_model.CpModel, slots: Iterable[Slot], value_of: Callable[[IntVar], int]
) -> cp_model.CpModel:
    """Return a copy of a model in which the decisions of some slots have the values given."""
    fixed = model.clone()
    for slot in slots:
        for var in decisions(slot):
            fix(fixed, var, value_of(var))
    return fixed


def settle(
    model: cp_model.CpModel, limits: Limits, solution: Collection[int] = ()
) -> Answer | None:
    """Return the best answer of a model whose placements are fixed; None where it has none.

    Args:
        solution: An answer to start from, by the number of the decision.
    """
    hint(model, solution)
    seconds = SETTLING_SECONDS if solution else REBUILDING_SECONDS
    solver = new_solver(seconds, limits, workers=1)
    is_answer = solver.solve(model) in HAS_ANSWER
    return Answer.of(solver) if is_answer else None


def counted(
    allocation: Allocation,
    aim: Any,
    decided: Mapping[int, int],
    limits: Limits,
    known: Ints = NOTHING,
) -> Answer | None:
    """Return the answer in which these decisions have these values and all that follows from them
    is counted at its best; None where they cannot have them, or in time nothing is found.

    Args:
        aim: What is as great as possible then.
        decided: By number of the decision.
        known: An answer with these values to start from.
    """
    whole = allocation.whole
    whole.refresh()
    ends = whole.ends.with_values(list(decided), list(decided.values()))
    part = cut_out(whole.rows, ends, Terms.of(aim), known)
    return settled(part, limits, SETTLING_SECONDS if len(known) else REBUILDING_SECONDS)


def settled(part: Part | None, limits: Limits, seconds: float = SETTLING_SECONDS) -> Answer | None:
    """Return the best answer of a part in which all placements are fixed; None where it has none,
    or there is no such part.
    """
    if part is None:
        return None
    solver = new_solver(seconds, limits, workers=1)
    return part.answer(solver) if solver.solve(part.model) in HAS_ANSWER else None


def hint(model: cp_model.CpModel, solution: Collection[int]) -> None:
    """Let a model start from an answer."""
    model.clear_hints()  # type: ignore[no-untyped-call]
    model.proto.solution_hint.vars.extend(range(len(solution)))
    model.proto.solution_hint.values.extend(solution)
