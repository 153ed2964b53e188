"""Steps of the neighbourhood search: one after the other, or on several cores some at a time.

Of steps that run side by side each begins with the answer there is when it begins. One that gains
after another has gained is joined to it: its slots as it has them, the rest as they are by then.
Where they do not go together it is lost.
"""

from __future__ import annotations

from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass

from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.freeing import Choices, Freed
from kitplan.allocate.neighbours import Neighbourhoods
from kitplan.allocate.settle import settled
from kitplan.allocate.solver import HAS_ANSWER, Found, Limits, part_solver, run, usable_cores

STEP_SECONDS, STEP_SHARE = 1.0, 0.1
"""A step that frees too much may take so long, or that share of the whole time."""


@dataclass(frozen=True)
class _Tried:
    """How a step ended."""

    freed: Freed
    base: Answer
    """What it began with."""
    answer: Answer | None = None
    effort: float = 0.0
    is_best: bool = False
    is_possible: bool = True
    """Whether there was anything to decide."""


class Steps:
    """Steps around the answer of a search, which they better in place."""

    def __init__(
        self, around: Neighbourhoods, choices: Choices, limits: Limits, found: Found
    ) -> None:
        self._around, self._choices, self._limits, self._found = around, choices, limits, found
        self._number = _at_a_time(around, limits)
        self._pool = ThreadPoolExecutor(self._number) if self._number > 1 else None
        self._running: set[Future[_Tried]] = set()
        self._is_over = False

    def close(self) -> None:
        """Stop what still runs; what it has found by then is lost."""
        self._is_over = True
        if self._pool is not None:
            self._pool.shutdown()

    def next(self, left: float) -> bool:
        """Wait for a step, within the seconds left; return whether it has bettered the answer."""
        if self._pool is None:
            return self._take(self._try(self._choices.next(), self._answer, left))
        while len(self._running) < self._number:
            task = (self._choices.next(), self._answer, left)
            self._running.add(self._pool.submit(self._try, *task))
        done, _ = wait(self._running, return_when=FIRST_COMPLETED)
        ended = done.pop()
        self._running.remove(ended)
        return self._take(ended.result())

    @property
    def _answer(self) -> Answer:
        assert self._found.answer is not None
        return self._found.answer

    def _try(self, freed: Freed, base: Answer, left: float) -> _Tried:
        """Decide a few slots anew; on any thread."""
        part = self._around.around(base, freed.slots) if freed.slots else None
        if part is None:
            return _Tried(freed, base, is_possible=False)
        seconds = min(STEP_SECONDS, STEP_SHARE * self._limits.seconds, left)
        solver = part_solver(seconds, self._limits)
        status = run(part.model, solver, None, self._found, lambda: self._is_over)
        return _Tried(
            freed,
            base,
            part.answer(solver) if status in HAS_ANSWER else None,
            solver.response_proto.deterministic_time,
            is_best=status == cp_model.OPTIMAL,
        )

    def _take(self, tried: _Tried) -> bool:
        """Take over what a step has found, if it is better, and learn from it."""
        self._found.spent_s += self._around.step_cost + tried.effort
        if not tried.is_possible:
            return False
        is_fresh, answer = tried.base is self._answer, tried.answer
        if answer is not None and not is_fresh:
            answer = self._joined(answer, tried)
        is_gain = answer is not None and self._worth(answer) > self._worth(self._answer)
        if is_gain:
            self._found.answer = answer
        self._choices.hear(
            tried.freed,
            tried.effort,
            is_best=tried.is_best,
            is_known=tried.is_best and is_fresh,
            is_gain=is_gain,
        )
        return is_gain

    def _joined(self, answer: Answer, tried: _Tried) -> Answer | None:
        """Return the answer so far with what a step has gained from an older one."""
        if self._worth(answer) <= self._worth(tried.base):
            return None
        part = self._around.joined(self._answer, answer, tried.freed.slots)
        return settled(part, self._limits)

    def _worth(self, answer: Answer) -> int:
        return self._around.value_of(answer)


def _at_a_time(around: Neighbourhoods, limits: Limits) -> int:
    """One where a run must repeat, and where the model is small: there the other cores prove."""
    if limits.is_repeatable or not around.allocation.is_large:
        return 1
    return min(limits.workers, usable_cores())
