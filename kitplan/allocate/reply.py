"""The reply to a loss: from what still stands outwards, a little freed at a time.

A plan that is rigged already is nearly the answer. First what is left of it, then the same rigs in
other hands, then the places that are empty now, then pass by pass, at last everything at once: each
step is exact for what it frees, begins with the best answer so far and only ever betters it. Musts,
wants, thinnest song, viewpoints and what stays go together as one weighted sum in strict order; the
other goals follow, all that is kept being held: nobody should have to read what makes no
difference. Where the last step ends by itself, all is proven. Of a large shoot the other goals are
only counted (`tally`).
"""

from __future__ import annotations

import itertools
import math
import time
from collections import Counter
from collections.abc import Collection, Iterable, Iterator

import numpy as np
from ortools.sat.python import cp_model

from kitplan.allocate.adopt import note_values
from kitplan.allocate.answer import Answer
from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.keep import Kept, kept_goal, slots_as_before, words_goal
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.order import bounds_in_order, most_in_order, sum_in_order
from kitplan.allocate.part import NOTHING, Ints, Terms, cut_out
from kitplan.allocate.past import PastError
from kitplan.allocate.settle import counted, decisions, hint
from kitplan.allocate.solver import (
    DECIDING_GOALS,
    GOAL_IDS,
    HAS_ANSWER,
    Found,
    Limits,
    Listener,
    Reached,
    Step,
    part_solver,
    run,
)
from kitplan.allocate.tally import tally
from kitplan.options.spots import Options

MANY = 40
"""Places for a camera over all passes. To make the full model of a festival (74 places) with all
goals takes longer than its search."""
SMALL = 4_000
"""So few decisions are settled all at once sooner than bit by bit, and by one thread sooner than by
several."""
FIRST_SHARE = 0.75
"""Share of the time for the goals that decide, and what stays."""
STEP_SHARE = 0.6
"""Share of the time left that a step which frees a part may take."""
SHARE_OF_A_PASS = 0.3
"""Share of the time left that the same rigs of one pass may take."""
LEAST_SECONDS, LARGE_SECONDS = 0.05, 1.0
"""In less nothing is found: of a part, or of a small model; of a large model as a whole. Of a
festival (74 places) to take its rows in takes half a second alone."""
ROUNDING = 1e-6
NUM_FIRST = len(DECIDING_GOALS)
NUM_REST = len(GOAL_IDS) - NUM_FIRST
"""Goals that come before what stays (musts, wants, thinnest song, viewpoints), and after it."""


def reply(
    options: Options,
    keep: tuple[Kept, ...],
    limits: Limits,
    tell: Listener,
    found: Found | None = None,
) -> Found:
    """Return the best answer within the limits, and the model that it is of: of those that are as
    good in musts, wants and viewpoints the one that keeps most of the placements before.

    With many places that is decided on the coarse model, and all the rest only counted for what
    stands then.

    Args:
        found: Where to keep what is found, so that a caller can ask for an early stop.
    Raises:
        PastError: If no plan at all can follow what stood in a pass that is over.
    """
    found = found or Found()
    has_many = sum(spot.position.rigs for spot in options.spots) > MANY
    wanted = {each.camera_mode for each in keep}
    allocation = build(options, "viewpoints" if has_many else "all", wanted)
    found.allocation, found.start = allocation, time.monotonic()
    x = allocation.variables
    goals = goals_in_order(x, allocation.demands, allocation.resets)
    coming = _off_the_clock(goals, allocation, found)
    first = tuple(itertools.islice(coming, NUM_FIRST))
    mending = _Mending(allocation, limits, found, tell)
    mending.aim_at((*first, kept_goal(x, keep)))
    mending.begin(keep)
    mending.better(limits.seconds * (1.0 if has_many else FIRST_SHARE))
    if mending.is_impossible:
        label = x.options.brief.shoot.passes_by_id[x.options.brief.shoot.past.passes[-1]].label
        raise PastError(
            "nothing can follow what stood in it: even to strike that takes more than the people "
            "and minutes that are left",
            where=label,
            fix="Add people or minutes to the shoot, or plan the passes to come by themselves",
        )
    if found.has_answer and has_many:
        tally(allocation, first, keep, limits, found, tell)
    elif found.has_answer:
        mending.hold()
        _go_on(mending, [first], coming, words_goal(x, keep))
    return found


def _go_on(
    mending: _Mending, groups: list[tuple[Goal, ...]], coming: Iterator[Goal], words: Goal
) -> None:
    """Take up the goals after the first ones, whatever has been reached being held."""
    limits, found = mending.limits, mending.found
    for goal in coming:
        groups.append((goal,) if len(groups) > 1 else (goal, words))
        mending.aim_at(groups[-1])
        mending.count()
        left = limits.seconds - found.clock_s(limits)
        mending.all_at_once(left / (NUM_REST + 2 - len(groups)))
        mending.hold()
    found.goals = tuple(goal for group in groups for goal in group if goal.id in GOAL_IDS)
    for group in groups:  # the last step may have changed what the first ones counted
        if all(found.reached[goal.id].is_proven for goal in group if goal.id in GOAL_IDS):
            continue
        mending.aim_at(group)
        mending.count()
        mending.hold()
    note_values(found.goals, limits, found, mending.tell)


def _off_the_clock(goals: Iterator[Goal], allocation: Allocation, found: Found) -> Iterator[Goal]:
    """Yield goals. What they count with comes into the model, and its rows are read, which of a
    festival takes seconds: the clock stands still meanwhile.
    """
    while True:
        before = time.monotonic()
        goal = next(goals, None)
        allocation.whole.refresh()
        found.start += time.monotonic() - before
        if goal is None:
            return
        yield goal


class _Mending:
    """A model that is bettered step by step, and the goals of the moment."""

    def __init__(
        self, allocation: Allocation, limits: Limits, found: Found, tell: Listener
    ) -> None:
        self._allocation, self._model = allocation, allocation.model
        self._slots = allocation.variables.slots
        self.limits, self.found, self.tell = limits, found, tell
        every = [var.index for slot in self._slots for var in decisions(slot)]
        self._decisions = np.array(every, dtype=np.int64)
        self._goals: tuple[Goal, ...] = ()
        self._lost: frozenset[int] = frozenset()
        """Places where nothing is left of the plan before."""
        self._in_use: frozenset[int] = frozenset()
        """Places at positions that the plan before used."""
        self._gone: Counter[str] = Counter()
        """By pass, how many placements before are not possible any more."""
        self.is_impossible = False
        """Proven: the model has no answer. Without a past there is always the empty plan."""

    def aim_at(self, goals: tuple[Goal, ...]) -> None:
        """From now on maximise these goals, in strict order as one weighted sum."""
        self._goals, self._sum, self._bound = goals, sum_in_order(goals), most_in_order(goals)
        self._aim = Terms.of(self._sum)

    def hold(self) -> None:
        """Let none of these goals fall again."""
        for goal in self._goals:
            self._model.add(goal.expression >= self.found.value(goal.expression))

    @property
    def _is_small(self) -> bool:
        return len(self._model.proto.variables) <= SMALL

    # -- steps ---------------------------------------------------------------------------------

    def begin(self, keep: tuple[Kept, ...]) -> None:
        """Start from what is left of the plan before, each placement as it was or gone; then with
        the same rigs, worked by anybody on any shot, pass by pass and all at once.
        """
        kept = slots_as_before(self._slots, keep)
        self._lost = frozenset(range(len(self._slots))) - kept.keys()
        places = {(each.pass_id, each.position) for each in keep}
        self._in_use = frozenset(n for n, s in enumerate(self._slots) if s.spot.key in places)
        self._gone = Counter(each.pass_id for each in keep)
        self._gone.subtract(self._slots[number].spot.each.id for number in kept)
        same = {var.index for chosen in kept.values() for var in chosen}
        self._step(self._others_than(same), 0, self.limits.seconds)
        freed: dict[str, set[int]] = {}
        for number, chosen in kept.items():
            slot = self._slots[number]
            mine = (*chosen, *slot.operators.values(), *slot.shots.values())
            freed.setdefault(slot.spot.each.id, set()).update(var.index for var in mine)
        for each in self._hit_most_first(freed):
            fixed = self._others_than(freed[each])
            if self.found.has_answer:
                self._step(fixed, self._known[fixed], SHARE_OF_A_PASS * self._left_s)
        self._step(self._others_than(set().union(*freed.values())), 0, self._left_s)

    @property
    def _left_s(self) -> float:
        return self.limits.seconds - self.found.clock_s(self.limits)

    def _hit_most_first(self, passes: Iterable[str]) -> list[str]:
        return sorted(passes, key=lambda each: -self._gone[each])

    def better(self, until_s: float) -> None:
        """Free more and more, until nothing can be better or the time is up."""
        if self.found.has_answer and not self._is_small:
            for free in self._parts():
                left = until_s - self.found.clock_s(self.limits)
                opened = [v.index for n in free for v in decisions(self._slots[n])]
                kept = self._others_than(opened)
                self._step(kept, self._known[kept], left * STEP_SHARE)
        self.all_at_once(until_s - self.found.clock_s(self.limits))

    def count(self) -> None:
        """Count what the goals of the moment, new to the model, come to with the placements as they
        are; even after an interrupt, as without it there is no answer to keep.
        """
        known = self._known[self._decisions].tolist()
        decided = dict(zip(self._decisions.tolist(), known, strict=True))
        answer = counted(self._allocation, self._sum, decided, self.limits)
        if answer is None:
            raise RuntimeError("the placements of an answer could not be counted")
        self.found.answer = answer

    def all_at_once(self, seconds: float) -> None:
        """Free everything; what that proves bounds the goals."""
        found = self.found
        least = LARGE_SECONDS if self._allocation.is_large else LEAST_SECONDS
        if not found.was_stopped and (seconds >= least or not found.has_answer):
            self._solve(max(seconds, least))
        self._note()

    def _solve(self, seconds: float) -> None:
        """Solve the whole model for a while and take the answer if it is no worse."""
        found = self.found
        self._model.maximize(self._sum)
        if found.answer is not None:
            hint(self._model, found.answer.solution)
        solver = self._solver(seconds, 1 if self._is_small else self.limits.workers)
        status = run(self._model, solver, None, found)
        found.spent_s += solver.response_proto.deterministic_time
        self.is_impossible = not found.has_answer and status == cp_model.INFEASIBLE
        if status in HAS_ANSWER:
            self._bound = min(self._bound, math.floor(solver.best_objective_bound + ROUNDING))
            self._take(Answer.of(solver))

    def _take(self, answer: Answer) -> None:
        """Go on from an answer unless it is worse than the one before."""
        before = self.found.answer
        if before is None or self._aim.value(answer.values) >= self._aim.value(before.values):
            self.found.answer = answer

    def _parts(self) -> Iterator[frozenset[int]]:
        """Yield the places that are free now, then of each pass, the one hit most first, those at
        positions in use before, then all.
        """
        yield self._lost
        passes: dict[str, set[int]] = {}
        for number, slot in enumerate(self._slots):
            passes.setdefault(slot.spot.each.id, set()).add(number)
        order = self._hit_most_first(passes)
        yield from (frozenset(passes[each] & self._in_use) for each in order)
        yield from (frozenset(passes[each]) for each in order)

    def _others_than(self, allowed: Collection[int]) -> Ints:
        """Return the decisions about placements, by number, but for some."""
        found: Ints = np.setdiff1d(self._decisions, np.array(list(allowed), dtype=np.int64))
        return found

    @property
    def _known(self) -> Ints:
        """The answer so far, by number of the decision; nothing where there is none."""
        return NOTHING if self.found.answer is None else self.found.answer.values

    def _step(self, columns: Ints, values: Ints | int, seconds: float) -> None:
        """Decide anew about everything, but for some decisions that have these values."""
        found, whole = self.found, self._allocation.whole
        if found.was_stopped or seconds < LEAST_SECONDS:
            return
        whole.refresh()
        ends = whole.ends.with_values(columns, values)
        part = cut_out(whole.rows, ends, self._aim, self._known)
        if part is None:  # nothing fits
            return
        solver = self._solver(seconds, 1)
        status = run(part.model, solver, None, found)
        found.spent_s += solver.response_proto.deterministic_time
        if status in HAS_ANSWER:
            self._take(part.answer(solver))

    def _solver(self, seconds: float, workers: int) -> cp_model.CpSolver:
        """Return a solver for what is a plan already but for a part."""
        solver = part_solver(seconds, self.limits, workers)
        if not self.limits.is_repeatable:
            solver.parameters.max_time_in_seconds = seconds
            solver.parameters.max_deterministic_time = math.inf
        return solver

    def _note(self) -> None:
        """Note what the goals of the moment have reached, and the bounds that follow."""
        found = self.found
        if found.answer is None:
            return
        values = [found.value(goal.expression) for goal in self._goals]
        bounds = bounds_in_order(self._goals, values, max(self._bound, found.value(self._sum)))
        for goal, value, bound in zip(self._goals, values, bounds, strict=True):
            if goal.id in GOAL_IDS:
                found.reached[goal.id] = Reached(goal.id, value, bound, found.clock_s(self.limits))
                self.tell(Step(goal.id, value, bound, found.elapsed_s))
