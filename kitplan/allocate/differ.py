"""Another answer as good as one that was found, with its cameras at other places.

The mirror of `keep`: musts, wants, viewpoints, variety and the number of cameras are held at what
was reached. Of the answers that reach it the one is looked for that leaves most places of the
answers before. Only places that are left count: to count new ones as well would reward cameras put
up for nothing.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from math import floor
from typing import Any

from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.freeing import departures
from kitplan.allocate.goals import Goal
from kitplan.allocate.model import Allocation
from kitplan.allocate.neighbours import Neighbourhoods
from kitplan.allocate.piecewise import settle_all
from kitplan.allocate.settle import fix
from kitplan.allocate.solver import HAS_ANSWER, Found, Limits, Step, new_solver, run
from kitplan.allocate.stepping import STEP_SECONDS
from kitplan.allocate.variables import Slot, Variables, total
from kitplan.allocate.watcher import ROUNDING

Places = Counter[tuple[str, str]]
"""How many rigs stand where, by pass and position."""
DIFFERENCE = "difference"
"""Id of the goal."""
AS_GOOD = ("musts", "wants", "thinnest", "viewpoints", "variety")
"""Goals in which an alternative is as good."""
AFTER = ("quality", "economy")
"""Goals in which it is as good as it can be, being as different as it is."""
SHARE_TO_DIFFER, SHARE_AT_FIRST = 0.7, 0.6
"""Of an alternative's time; and of each of its two steps for what is tried first."""
UNBOUNDED = 10**18
"""The most there is where nothing is known of it."""


@dataclass(frozen=True)
class Different:
    """How far an answer is from those before."""

    left: tuple[int, ...]
    """For each of them: at how many of its places, rig by rig, nothing stands any more."""
    is_proven: bool
    """Whether no answer as good is more different."""

    @property
    def differs(self) -> bool:
        """Whether at least one camera stands elsewhere, whichever of the others it is held to."""
        return min(self.left) > 0


def places_of(x: Variables, found: Found) -> Places:
    """Return where the rigs of an answer stand."""
    return Counter(slot.spot.key for slot in x.slots if found.value(slot.is_used))


def most_different(
    allocation: Allocation, best: Found, others: Sequence[Places], limits: Limits, found: Found
) -> Different:
    """Find an answer as good as the best one that differs most from all others: the least number
    of places left comes first, then their sum, then quality and economy.

    Args:
        others: Where the rigs of the answers before stand, the best one first.
        limits: Of this search alone.
        found: Where the answer goes; it can be told to stop.
    """
    assert best.answer is not None
    found.answer, found.goals, found.reached = best.answer, best.goals, dict(best.reached)
    found.start, found.spent_s = time.monotonic(), 0.0
    own = replace(allocation, model=allocation.model.clone())
    for held in best.holds:
        fix(own.model, held, 0)
    left = [_left(allocation.variables, places) for places in others]
    # a camera that is merely left out stands nowhere else
    own.model.add(total(slot.is_used for slot in allocation.variables.slots) >= others[0].total())
    goal = _difference(own.model, left, others)
    around = Neighbourhoods(own, (*best.goals, goal))
    around.aim_at((DIFFERENCE,), {name: best.reached[name].value for name in AS_GOOD})
    # the best answer is one of the others, so that its least number is 0
    ascent = _Ascent(around, sum(found.value(each) for each in left), limits, found)
    ascent.rise(SHARE_TO_DIFFER * limits.seconds, others, is_easy=best.is_proven)
    if min(found.value(each) for each in left) > 0 and not found.was_stopped:
        around.aim_at(AFTER, {DIFFERENCE: ascent.value})
        after = _Ascent(around, around.value_of(found.answer), limits, found)
        after.polish(limits.seconds, is_easy=best.is_proven)
        settle_all(own, best.goals, limits, found, _quiet)
    reached = tuple(found.value(each) for each in left)
    is_best = ascent.value >= min(ascent.bound, goal.most)
    is_none = min(reached) == 0 and ascent.bound < _weight(others)
    return Different(reached, is_proven=is_best or is_none)


def _quiet(_: Step) -> None:
    return None


def _left(x: Variables, places: Places) -> Any:
    """sum over places of max(0, rigs there before - rigs there now); slots fill from the first."""
    slots = x.slots_by_spot()
    return total(1 - slot.is_used for key, rigs in places.items() for slot in slots[key][:rigs])


def _weight(others: Sequence[Places]) -> int:
    """One more of the least number outweighs all that the sum can give."""
    return 1 + sum(places.total() for places in others)


def _difference(model: cp_model.CpModel, left: Sequence[Any], others: Sequence[Places]) -> Goal:
    """least number of places left + their sum, in strict order."""
    most, weight = min(places.total() for places in others), _weight(others)
    least = model.new_int_var(0, most, "least left")
    for each in left:
        model.add(least <= each)
    return Goal(DIFFERENCE, weight * least + total(left), {}, most=weight * most + weight - 1)


class _Ascent:
    """Betters the answer that was found in what a model aims at."""

    def __init__(self, around: Neighbourhoods, value: int, limits: Limits, found: Found) -> None:
        self.value, self.bound = value, UNBOUNDED
        self._around, self._limits, self._found = around, limits, found

    def rise(self, until_s: float, others: Sequence[Places], *, is_easy: bool) -> None:
        """Leave places of others, until a time by the clock of the search or until it is proven
        that no more can be left.

        Only the whole model can prove that; a few slots at a time find something sooner where the
        whole is hard. Measured on a busy machine: the whole finds nothing in 4 s on the depot
        shoot, where departures have an alternative after 2 s; on the dance shoot 2.4 s and 0.2 s.
        """
        known = frozenset(key for places in others for key in places)
        pieces = self._departures(lambda slot: slot.spot.key in known)
        first_s = self._part_of(until_s)
        if is_easy:
            self._whole(first_s)
            self._piecewise(pieces, until_s)
        else:
            self._piecewise(pieces, first_s)
            self._whole(until_s)

    def polish(self, until_s: float, *, is_easy: bool) -> None:
        """Better what comes after the difference; nobody needs a proof of it."""
        if is_easy:
            self._whole(self._part_of(until_s))
        pieces = chain([frozenset[int]()], self._departures(lambda _: True))
        self._piecewise(pieces, until_s)

    def _part_of(self, until_s: float) -> float:
        now_s = self._found.clock_s(self._limits)
        return now_s + SHARE_AT_FIRST * (until_s - now_s)

    def _departures(self, leaves: Callable[[Slot], bool]) -> Iterator[frozenset[int]]:
        def is_used(slot: Slot) -> bool:
            return bool(self._found.value(slot.is_used))

        return departures(self._around.slots, leaves, is_used, self._limits.seed)

    def _whole(self, until_s: float) -> None:
        """Decide every slot anew."""
        left_s = until_s - self._found.clock_s(self._limits)
        if left_s > 0 and not self._found.was_stopped:
            assert self._found.answer is not None
            solver = new_solver(left_s, self._limits)
            model = self._around.everything(self._found.answer)
            status = self._run(model, solver, until_s)
            if status in HAS_ANSWER:
                self._keep(Answer.of(solver))
                self.bound = floor(solver.best_objective_bound + ROUNDING)

    def _piecewise(self, pieces: Iterator[frozenset[int]], until_s: float) -> None:
        """Decide a few slots anew at a time."""
        for free in pieces:
            left_s = until_s - self._found.clock_s(self._limits)
            if left_s <= 0 or self.value >= self.bound or self._found.was_stopped:
                return
            assert self._found.answer is not None
            self._found.spent_s += self._around.step_cost
            part = self._around.around(self._found.answer, free)
            if part is None:
                continue
            solver = new_solver(min(STEP_SECONDS, left_s), self._limits, workers=1)
            if self._run(part.model, solver, until_s) in HAS_ANSWER:
                self._keep(part.answer(solver))

    def _run(
        self, model: cp_model.CpModel, solver: cp_model.CpSolver, until_s: float
    ) -> cp_model.CpSolverStatus:
        status = run(model, solver, None, self._found, lambda: self._is_late(until_s))
        self._found.spent_s += solver.response_proto.deterministic_time
        return status

    def _keep(self, answer: Answer) -> None:
        """Keep an answer if it is better."""
        if (value := self._around.value_of(answer)) > self.value:
            self._found.answer, self.value = answer, value

    def _is_late(self, until_s: float) -> bool:
        """Whether time is up by the clock: one worker counts in steps of its own."""
        return not self._limits.is_repeatable and self._found.elapsed_s > until_s
