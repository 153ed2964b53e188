"""A model, and its goals taken up group by group in strict order, the incumbent held throughout.

Goal by goal: maximise it, then keep `goal >= best` while the next is improved. A later bound is
therefore conditional on the earlier values. When an earlier goal that was not proven gets better
by the way, the search goes on from there. Interrupting keeps the best answer so far.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import floor

from ortools.sat.python import cp_model

from kitplan.allocate.adopt import Adoption
from kitplan.allocate.answer import Answer
from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.lifting import Lifting
from kitplan.allocate.model import Allocation
from kitplan.allocate.order import bounds_in_order, most_in_order, sum_in_order
from kitplan.allocate.part import Terms
from kitplan.allocate.piecewise import approach, begin
from kitplan.allocate.placed import Placed, decisions_of
from kitplan.allocate.relaxed import relaxed_bound, seconds_for
from kitplan.allocate.settle import counted, decisions, hint
from kitplan.allocate.solver import (
    HAS_ANSWER,
    NEIGHBOUR_SHARE,
    NEIGHBOUR_SHARE_IF_LARGE,
    Found,
    Limits,
    Listener,
    Look,
    Reached,
    Step,
    new_solver,
    run,
)
from kitplan.allocate.watcher import ROUNDING, Watcher

WANTS = ("wants",)
AT_ONCE = (("musts",), WANTS)
"""Groups that the whole model settles at once unless it is large."""
GROUPS = (
    ("musts",),
    WANTS,
    ("thinnest", "viewpoints"),
    ("variety",),
    ("quality",),
    ("economy",),
)
"""Goals that are maximised together as one weighted sum, with one presolve and one relaxation,
still in strict order. Wants go alone: of six small shoots all are proven in 0.3 s at most, where it
takes seconds to find as many beside viewpoints."""
NUM_COARSE = 3
"""Groups that are decided on the coarser model. Measured on a small shoot (S 0, one thread): proven
in 2.3 s, on the full model in 16 s."""
SHARE_OF_TIME_LEFT = {
    "musts": 0.5,
    "wants": 0.75,
    "viewpoints": 0.75,
    "variety": 0.4,
    "quality": 0.5,
    "economy": 1.0,
}
"""Share of the time left that a group may take, by its last goal."""
KEPT_FROM_WANTS = 0.6
"""Share of the whole time that is kept from the search for wants of a large model, where steps have
not brought them to their most: which roles go together the whole model sees better. With 0.8 M 8
has 25 of 28 after 60 s, with this all."""
LEAST_SECONDS = 0.2
RELAXED_SHARE, PATIENCE = 0.35, 1.5
"""Share of the time that a bound by the relaxation may be likely to take; it is waited for a little
longer. Measured on M, one core: 9 to 13 s; bounds of M 0 to 4 fall from 405000, 405000, 477000,
441000 and 513000 to 378000, 378000, 475400, 412500 and 473600."""


@dataclass
class Climb:
    """A model, and the groups of its goals that have been taken up, one after the other."""

    allocation: Allocation
    limits: Limits
    tell: Listener
    found: Found
    second: Adoption
    look: Look | None = None
    groups: list[tuple[Goal, ...]] = field(default_factory=list)
    held: dict[str, int] = field(default_factory=dict)
    """What each goal came to when it was held last."""

    def __post_init__(self) -> None:
        x = self.allocation
        self._coming = goals_in_order(x.variables, x.demands, x.resets)

    def take_up(self, upto: int) -> None:
        """Better groups in turn, those before them held, until so many have had their turn."""
        while len(self.groups) < upto and self._goes_on:
            if self.groups and self.found.clock_s(self.limits) >= self.limits.seconds:
                return  # those that are left are merely counted
            self._add_group()
            place = len(self.groups) - 1
            while place < len(self.groups) and self._goes_on:
                self._improve(place)
                place = self._next_place(place)

    def start_from(self, placed: Sequence[Placed | None], num_groups: int) -> None:
        """Go on from the placements that another model has found for its first groups."""
        slots = self.allocation.variables.slots
        chosen = decisions_of(slots, placed)
        assert chosen is not None  # whatever is possible in a coarser model is so in a finer one
        while len(self.groups) < num_groups:
            self._add_group()
        self.found.holds.clear()
        aim = sum_in_order(self._goals())
        values = {var.index: int(var.index in chosen) for s in slots for var in decisions(s)}
        self.found.answer = counted(self.allocation, aim, values, self.limits)
        if self.found.answer is None:
            raise RuntimeError("the placements of an answer could not be counted")
        for group in self.groups:
            self._hold(group)
        self._note_earlier(num_groups)

    def all_goals(self) -> tuple[Goal, ...]:
        """Return every goal, those that were not taken up included."""
        return (*self._goals(), *self._coming)

    @property
    def _goes_on(self) -> bool:
        return self.found.has_answer and not self.found.was_stopped

    def _add_group(self) -> None:
        names = GROUPS[len(self.groups)]
        self.groups.append(tuple(itertools.islice(self._coming, len(names))))

    def _goals(self) -> tuple[Goal, ...]:
        return tuple(itertools.chain(*self.groups))

    def _next_place(self, place: int) -> int:
        """Return which group to work on now: the one after any goal that got better by the way."""
        self._note_earlier(place)
        for earlier, group in enumerate(self.groups[:place]):
            if any(self.found.value(goal.expression) > self.held[goal.id] for goal in group):
                self._hold(group)
                return earlier + 1
        return place + 1

    def _note_earlier(self, place: int) -> None:
        """Note what the goals before a group come to now."""
        found = self.found
        for goal in itertools.chain(*self.groups[:place]):
            if goal.id not in found.reached:
                continue  # the search was stopped before it came to this one
            old, value = found.reached[goal.id], found.value(goal.expression)
            if value != old.value:
                bound = max(old.bound, value)
                found.reached[goal.id] = Reached(goal.id, value, bound, old.at_s)

    # -- one group -----------------------------------------------------------------------------

    def _improve(self, place: int) -> None:
        """Maximise a group of goals in its share of the time, hold what it reached, keep the
        answer.
        """
        group, names = self.groups[place], tuple(goal.id for goal in self.groups[place])
        self.allocation.model.maximize(sum_in_order(group))
        if self.found.answer is not None:
            self._settle(group)  # what follows from its placements in terms of these goals
        start = self.found.answer
        self._approach(place, names)
        if start is not None and self._lift(place, start):
            self._approach(place, names)
        self._be_looked_at(place)
        status, bound = cp_model.UNKNOWN, most_in_order(group)
        if self._is_at_most(group):
            status = cp_model.OPTIMAL
        elif not self.second.has_proven(names):
            status, bound = self._solve(group, names)
        self._take_over(place)
        if self.found.answer is None:
            return
        if status != cp_model.OPTIMAL and names != WANTS:
            # what the whole model gained for one goal may have cost the next more than it need
            self._settle(group)
            self._approach(place, names)
        self._note(group, bound, is_best=status == cp_model.OPTIMAL)
        if status != cp_model.OPTIMAL and names == GROUPS[NUM_COARSE - 1]:
            self._relax(group)
        self.second.offer(self.allocation, self.found)
        self._hold(group)

    def _be_looked_at(self, place: int) -> None:
        if self.look is not None and place == NUM_COARSE - 1 and self.found.answer is not None:
            self.limits = self.look(self.allocation, self.found, self.limits)
            self.look = None

    def _is_at_most(self, group: tuple[Goal, ...]) -> bool:
        """Whether all goals of a group are as good as they can ever be: nothing is to be found."""
        return self.found.answer is not None and all(
            self.found.value(goal.expression) >= goal.most for goal in group
        )

    def _lift(self, place: int, start: Answer) -> bool:
        """Return whether the thinnest song of a large model, where steps for viewpoints as well
        have left it short, could be raised from where they started.
        """
        if place != NUM_COARSE - 1 or not self.allocation.is_large:
            return False
        goals = tuple(itertools.chain(*self.groups[: place + 1]))
        begin(goals, self.limits, self.found)
        lifting = Lifting(self.allocation)
        return lifting.lift(goals, start, self.limits, self.found, self.tell)

    def _approach(self, place: int, names: tuple[str, ...]) -> None:
        """Better the answer piece by piece."""
        if self.found.answer is None or self.second.has_proven(names):
            return
        if names in AT_ONCE and not self.allocation.is_large:
            return
        goals = tuple(itertools.chain(*self.groups[: place + 1]))
        approach(self.allocation, goals, names, self.limits, self.found, self.tell)
        self.second.offer(self.allocation, self.found)
        hint(self.allocation.model, self.found.answer.solution)
        self.allocation.model.maximize(sum_in_order(self.groups[place]))

    def _solve(
        self, group: tuple[Goal, ...], names: tuple[str, ...]
    ) -> tuple[cp_model.CpSolverStatus, int]:
        """Return how a group's share of the time ended, and the bound of its sum."""
        model, limits, found = self.allocation.model, self.limits, self.found
        is_large = self.allocation.is_large
        kept = NEIGHBOUR_SHARE_IF_LARGE if is_large else NEIGHBOUR_SHARE
        if names == WANTS and is_large:
            kept = KEPT_FROM_WANTS
        if names == GROUPS[0] or (names == WANTS and not is_large):
            kept = 0.0  # nothing can be bettered before there is a plan, or is worth it
        left = limits.seconds * (1 - kept) - found.clock_s(limits)
        solver = new_solver(max(left * SHARE_OF_TIME_LEFT[names[-1]], LEAST_SECONDS), limits)
        watcher = Watcher(group, found, self.tell)
        solver.best_bound_callback = watcher.on_bound
        status = run(model, solver, watcher, found, lambda: self.second.has_proven(names))
        found.spent_s += solver.response_proto.deterministic_time
        if status in HAS_ANSWER:
            before = None if found.answer is None else found.value(sum_in_order(group))
            if before is None or solver.objective_value >= before:
                # cut short, it may not even have come to where it started
                found.answer = Answer.of(solver)
            return status, min(floor(solver.best_objective_bound + ROUNDING), most_in_order(group))
        if status not in (cp_model.INFEASIBLE, cp_model.UNKNOWN):
            raise RuntimeError(f"the solver answered {solver.status_name(status)}")
        return status, most_in_order(group)  # a search that found nothing has proven nothing

    def _take_over(self, place: int) -> None:
        """Take over what the second solver has proven meanwhile; a better answer to an earlier goal
        may be worse in a later one, so nothing is held while it comes in.
        """
        if not self.second.has_news:
            return
        for held in self.found.holds:
            self.allocation.fix(held, 0)
        self.found.holds.clear()
        self.second.take_over(self.allocation, self._goals(), self.limits, self.found, self.tell)
        for earlier in self.groups[:place]:
            self._hold(earlier)

    def _settle(self, group: tuple[Goal, ...]) -> None:
        """Count everything that follows from the placements at its best.

        An answer that is not optimal may count a viewpoint too few or a kilogram too many; with
        rigs, people and shots fixed the rest is settled in a moment.
        """
        answer, slots = self.found.answer, self.allocation.variables.slots
        assert answer is not None
        known = answer.values
        values = {v.index: int(known[v.index]) for slot in slots for v in decisions(slot)}
        aim = sum_in_order(group)
        settled = counted(self.allocation, aim, values, self.limits, known)
        self.found.answer = settled or answer
        hint(self.allocation.model, self.found.answer.solution)

    def _note(self, group: tuple[Goal, ...], bound: int, *, is_best: bool) -> None:
        """Note what the goals of a group have reached, and tell of it."""
        found = self.found
        values = [found.value(goal.expression) for goal in group]
        if is_best:
            bound = max(bound, found.value(sum_in_order(group)))
        at = found.clock_s(self.limits)
        for goal, value, most in zip(
            group, values, bounds_in_order(group, values, bound), strict=True
        ):
            known = found.reached.get(goal.id)
            if known is None or not (known.is_proven and known.value == value):
                if known is not None:  # what held when less was held of the goals before holds now
                    most = max(min(most, known.bound), value)
                found.reached[goal.id] = Reached(goal.id, value, most, at)
                self.tell(Step(goal.id, value, most, found.elapsed_s))

    def _relax(self, group: tuple[Goal, ...]) -> None:
        """Bound the last goal of a group by the linear relaxation, where the model is large and
        there is time. Never in a run that must repeat: its time is not counted in steps.
        """
        limits, found, goal = self.limits, self.found, group[-1]
        reached = found.reached[goal.id]
        if not self.allocation.is_large or limits.is_repeatable or reached.is_proven:
            return
        whole = self.allocation.whole
        whole.refresh()
        held = [(Terms.of(each.expression), found.value(each.expression)) for each in group[:-1]]
        rows = whole.rows.and_least(held)
        seconds = seconds_for(rows)
        if seconds > RELAXED_SHARE * limits.seconds:
            return
        aim, patience = Terms.of(goal.expression), PATIENCE * seconds
        bound = relaxed_bound(rows, whole.ends, aim, patience, lambda: found.was_stopped)
        if bound is not None and bound < reached.bound:
            bound = max(bound, reached.value)
            found.reached[goal.id] = Reached(goal.id, reached.value, bound, reached.at_s)
            self.tell(Step(goal.id, reached.value, bound, found.elapsed_s))

    def _hold(self, group: tuple[Goal, ...]) -> None:
        """Let a group of goals not fall again, as one sum in strict order; the end of the search
        lets go of it.
        """
        model, aim = self.allocation.model, sum_in_order(group)
        held = model.new_bool_var(f"held {len(self.found.holds)}")
        self.allocation.fix(held, 1)
        model.add(aim >= self.found.value(aim)).only_enforce_if(held)
        self.found.holds.append(held)
        self.held.update({goal.id: self.found.value(goal.expression) for goal in group})
