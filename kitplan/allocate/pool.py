"""Two shoots that share one stock on days that clash, in one model.

Both models stand side by side. Every unit that both could have on days that clash gets two
decisions, whether the one shoot has it that day and whether the other has, and not both are 1; all
rules of the stock count a unit as its decision. Goals are taken up in turn, each held before the
next, as in `climb`; what is found is how to divide the units, and placements that show it.
"""

from __future__ import annotations

import itertools
import time
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from math import floor
from typing import Any

from ortools.sat.python import cp_model

from kitplan.allocate.answer import Answer
from kitplan.allocate.goals import Goal, goals_in_order
from kitplan.allocate.keep import Kept, kept_of, slots_as_before
from kitplan.allocate.model import Allocation, build
from kitplan.allocate.readback import read_back
from kitplan.allocate.settle import REBUILDING_SECONDS, hint, settle, with_placements
from kitplan.allocate.solver import GOAL_IDS, HAS_ANSWER, Found, Limits, new_solver, run
from kitplan.allocate.variables import Detail, Given, total
from kitplan.gear.kit import Unit
from kitplan.gear.records import Case, Sound
from kitplan.options.spots import Options
from kitplan.plan.pool import FIRST, SECOND, Step, Way
from kitplan.shoot.brief import Brief

AS_GOOD = GOAL_IDS[:5]
"""Goals in which the first shoot stays as good as it can be: those before picture quality."""
STAGES: tuple[Detail, ...] = ("variety", "all")
"""Two models, the coarser one first: quality and economy alone tell all shots apart."""
LEVELS = {"variety": AS_GOOD, "all": GOAL_IDS}
"""Goals that can be asked of them."""
SHARE_OF_TIME_LEFT, SHARE_OF_COARSE = 0.5, 0.8
LEAST_SECONDS = 0.2
WHOLE = 1000
"""Shares of what a shoot could have alone are counted in thousandths."""
ROUNDING = 1e-6

UnitDay = tuple[str, date]


@dataclass(frozen=True)
class Wanted:
    """What one of two shoots brings into the pool."""

    options: Options
    start: tuple[Kept, ...]
    """Placements to start from; those of both fit together."""
    values: Mapping[str, int]
    """What each goal comes to with all units to itself, in the solver's numbers; of the first of
    two in order these are held."""

    @property
    def brief(self) -> Brief:
        """The shoot with everything that is there."""
        return self.options.brief


@dataclass
class Divided:
    """How two shoots divide what they share, and placements that show it."""

    steps: list[Step] = field(default_factory=list)
    placed: tuple[tuple[Kept, ...], ...] = ((), ())
    given: tuple[frozenset[UnitDay], ...] = (frozenset(), frozenset())
    """Of each shoot the units that it needs of those shared, by day."""


def clash(briefs: Sequence[Brief], first: date, second: date) -> bool:
    """Whether a unit cannot be used by one shoot on one day and by the other on another one: both
    are on the road so many days before and after.
    """
    travel_days = sum(brief.shoot.travel_days for brief in briefs)
    return abs((first - second).days) <= travel_days


def shared_units(briefs: Sequence[Brief]) -> dict[tuple[date, date], list[Unit]]:
    """Return the units that both shoots could have on days that clash, by the two days."""
    days = [sorted({brief.day_of(each) for each in brief.shoot.passes}) for brief in briefs]
    found: dict[tuple[date, date], list[Unit]] = {}
    items = briefs[FIRST].kit.items_by_id
    for pair in itertools.product(days[FIRST], days[SECOND]):
        if clash(briefs, *pair):
            found[pair] = [
                unit
                for unit in briefs[FIRST].kit.units
                if not isinstance(items[unit.item], (Case, Sound))
                and all(
                    unit.is_free_on(day, brief.shoot.travel_days)
                    for day, brief in zip(pair, briefs, strict=True)
                )
            ]
    return found


def divide(wanted: Sequence[Wanted], way: Way, limits: Limits, found: Found) -> Divided:
    """Return the best way to divide what two shoots share.

    In order: the goals of the first one down to variety stay at the values given, and those of the
    second one are as good as can be; then quality of the first and of the second, economy likewise.
    Balanced: goal by goal that of both together; see `_balanced`.

    Args:
        limits: The seconds are for all goals together.
        found: Where an interrupt is noted; what is divided by then stands.
    Raises:
        RuntimeError: If what the shoots start from does not fit together.
    """
    found.start = time.monotonic()
    divided = Divided(placed=tuple(each.start for each in wanted))
    for detail in STAGES:
        if not found.was_stopped:
            share = SHARE_OF_COARSE if detail == STAGES[0] else 1.0
            _Pool(wanted, way, detail, divided, limits, found).climb(share * limits.seconds)
    return divided


# -- goals of both --------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Aim:
    """A goal of the pool: of one shoot, or of both."""

    goal: Goal
    shoot: int | None = None
    at_least: int | None = None
    """What is known to be possible, and held; None where it is to be found."""
    shares: Sequence[tuple[int, Any]] = ()
    """Where the smaller of two shares counts: of each shoot what it could have, and what it has."""


Coming = Sequence[Iterator[Goal]]
"""The goals of both shoots that have not had their turn; what a goal counts with is added then."""


def _in_order(coming: Coming, wanted: Sequence[Wanted], detail: Detail) -> Iterator[_Aim]:
    """Down to variety all goals of the first shoot, which are held, before all of the second."""
    for shoot in (FIRST, SECOND):
        for goal in itertools.islice(coming[shoot], len(AS_GOOD)):
            at_least = wanted[FIRST].values[goal.id] if shoot == FIRST else None
            yield _Aim(goal, shoot, at_least)
    if detail == "all":
        for pair in zip(*coming, strict=True):
            yield from (_Aim(goal, shoot) for shoot, goal in enumerate(pair))


def _balanced(coming: Coming, wanted: Sequence[Wanted], detail: Detail) -> Iterator[_Aim]:
    """Goal by goal the sum of both; of thinnest song and viewpoints first the smaller of the two
    shares of what each could have alone, in thousandths. Who could have nothing has all of it.
    """
    for pair in itertools.islice(zip(*coming, strict=True), len(LEVELS[detail])):
        level, most = pair[FIRST].id, sum(goal.most for goal in pair)
        if level in ("thinnest", "viewpoints"):
            shares = [
                (each.values[level], g.expression) for each, g in zip(wanted, pair, strict=True)
            ]
            yield _Aim(Goal(f"{level} share", None, {}, most=WHOLE), shares=shares)
        yield _Aim(Goal(level, pair[FIRST].expression + pair[SECOND].expression, {}, most=most))


class _Pool:
    """One model of both shoots, and the best answer so far."""

    def __init__(
        self,
        wanted: Sequence[Wanted],
        way: Way,
        detail: Detail,
        divided: Divided,
        limits: Limits,
        found: Found,
    ) -> None:
        self.wanted, self.way, self.detail, self.divided = wanted, way, detail, divided
        self.limits, self.found = limits, found
        self.model = cp_model.CpModel()
        self.given = _given(self.model, [each.brief for each in wanted])
        self.sides = tuple(
            self._side(each, placed, given)
            for each, placed, given in zip(wanted, divided.placed, self.given, strict=True)
        )
        self.answer = self._settled(divided.placed)

    def _side(self, wanted: Wanted, placed: tuple[Kept, ...], given: Given) -> Allocation:
        modes = {each.camera_mode for each in (*wanted.start, *placed)}
        return build(wanted.options, self.detail, modes, model=self.model, given=given)

    def _settled(self, placed: Sequence[tuple[Kept, ...]]) -> Answer:
        """Return the answer in which these placements stand.

        Raises:
            RuntimeError: If they do not fit together.
        """
        slots = tuple(slot for side in self.sides for slot in side.variables.slots)
        chosen: set[int] = set()
        for side, kept in zip(self.sides, placed, strict=True):
            for own in slots_as_before(side.variables.slots, kept).values():
                chosen.update(var.index for var in own)
        model = with_placements(self.model, slots, lambda var: int(var.index in chosen))
        found = settle(model, self.limits)
        if found is None:
            raise RuntimeError("what two shoots start from does not fit together")
        return found

    def climb(self, until_s: float) -> None:
        """Better one goal after the other, those before it held, until time is up."""
        coming = [goals_in_order(s.variables, s.demands, s.resets) for s in self.sides]
        known = {(step.goal, step.shoot): step.value for step in self.divided.steps}
        aims = _in_order if self.way == "in-order" else _balanced
        for aim in aims(coming, self.wanted, self.detail):
            goal = self._with_share(aim)
            at_least = known.get((goal.id, aim.shoot), aim.at_least)
            if at_least is not None:
                self.model.add(goal.expression >= at_least)
            elif not self.found.was_stopped:
                self._best(goal, aim.shoot, until_s)
        self._read()

    def _with_share(self, aim: _Aim) -> Goal:
        """Return the goal of an aim; that of the smaller share with what it counts with."""
        if not aim.shares:
            return aim.goal
        share = self.model.new_int_var(0, WHOLE, aim.goal.id)
        for alone, own in aim.shares:
            if alone:
                self.model.add(alone * share <= WHOLE * own)
        return replace(aim.goal, expression=share)

    def _best(self, goal: Goal, shoot: int | None, until_s: float) -> int:
        """Maximise a goal, note what it came to, hold it, and return it."""
        limits, found, model = self.limits, self.found, self.model
        model.maximize(goal.expression)
        self._count()
        hint(model, self.answer.solution)
        left = until_s - found.clock_s(limits)
        solver = new_solver(max(SHARE_OF_TIME_LEFT * left, LEAST_SECONDS), limits)
        status = run(model, solver, None, found)
        found.spent_s += solver.response_proto.deterministic_time
        bound, known = goal.most, self.answer.value(goal.expression)
        if status in HAS_ANSWER:
            bound = min(floor(solver.best_objective_bound + ROUNDING), bound)
            if solver.objective_value >= known:
                self.answer = Answer.of(solver)
        value = int(self.answer.value(goal.expression))
        model.add(goal.expression >= value)
        self.divided.steps.append(Step(goal.id, shoot, value, max(value, bound)))
        return value

    def _count(self) -> None:
        """Count what was added since in terms of the answer so far, its placements as they are."""
        slots = tuple(slot for side in self.sides for slot in side.variables.slots)
        model = with_placements(self.model, slots, self.answer.value)
        hint(model, self.answer.solution)
        solver = new_solver(REBUILDING_SECONDS, self.limits, workers=1)
        if solver.solve(model) not in HAS_ANSWER:
            raise RuntimeError("the placements of an answer could not be counted")
        self.answer = Answer.of(solver)

    def _read(self) -> None:
        """Take over the placements, and of the units those that they need."""
        slots = tuple(slot for side in self.sides for slot in side.variables.slots)
        model = with_placements(self.model, slots, self.answer.value)
        model.minimize(total(var for given in self.given for var in given.values()))
        hint(model, self.answer.solution)
        least = new_solver(REBUILDING_SECONDS, self.limits, workers=1)
        is_answer = least.solve(model) in HAS_ANSWER
        answer = Answer.of(least) if is_answer else self.answer
        self.divided.placed = tuple(
            kept_of(read_back(side.variables, answer)) for side in self.sides
        )
        self.divided.given = tuple(
            frozenset(key for key, var in given.items() if answer.value(var))
            for given in self.given
        )


def _given(model: cp_model.CpModel, briefs: Sequence[Brief]) -> tuple[Given, Given]:
    """Decide for every unit that both could have who has it: given(first) + given(second) <= 1."""
    given: tuple[Given, Given] = {}, {}
    shared = shared_units(briefs)
    for days, units in shared.items():
        for unit in units:
            for day, own, name in zip(days, given, ("first", "second"), strict=True):
                if (unit.id, day) not in own:
                    own[unit.id, day] = model.new_bool_var(f"{name} has {unit.id}[{day}]")
            first, second = (own[unit.id, day] for day, own in zip(days, given, strict=True))
            model.add(first + second <= 1)
    if all(len({pair[side] for pair in shared}) == len(shared) for side in (FIRST, SECOND)):
        for days, units in shared.items():
            _break_symmetry(model, given, days, units)
    return given


def _break_symmetry(
    model: cp_model.CpModel,
    given: tuple[Given, Given],
    days: tuple[date, date],
    units: Sequence[Unit],
) -> None:
    """Of units that are alike the first shoot takes the first ones, the second the last ones. Only
    where no day clashes with two others: else a unit is not like another one on all days.
    """
    alike: dict[tuple[str, str], list[str]] = defaultdict(list)
    for unit in units:
        alike[unit.item, unit.owner if unit.owner_only else ""].append(unit.id)
    for group in alike.values():
        for one, other in itertools.pairwise(group):
            for (day, own), sign in zip(zip(days, given, strict=True), (1, -1), strict=True):
                model.add(sign * own[one, day] >= sign * own[other, day])
