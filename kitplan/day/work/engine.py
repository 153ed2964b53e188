"""The engine: tasks with people, things and precedence are put on the clock, as early as can be.

A constraint model with intervals. Decisions: when a task starts, who does it, on which machine.
Goals in strict order: everything before the gate; the last hand free as early as possible; the
fewest hand-overs. Then every task moves to the left as far as the order of hands and things lets it
(`order`). One thread and the solver's own steps instead of the clock: the same gap always gives the
same timetable.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from ortools.sat.python import cp_model
from ortools.sat.python.cp_model import CpModel, IntervalVar, IntVar

from kitplan.day.work.least import least_end_s, least_s
from kitplan.day.work.task import BY_THEMSELVES, Gap, Hand, Rest, Task, precedence


@dataclass(frozen=True)
class Effort:
    """How long the engine may work on each goal, in the solver's own steps (about seconds)."""

    steps: float = 10.0
    seed: int = 1
    grain_s: int = 1
    """The end counts in steps of so many seconds, rounded up: nobody's hands work to the second,
    and what is left of a step is better spent on fewer hand-overs."""


@dataclass(frozen=True)
class Timed:
    """A task, or the rest of somebody, on the clock."""

    id: str
    start_s: int
    end_s: int
    free_s: int
    """When its people are free."""
    people: tuple[str, ...]
    machine: str | None = None
    """The resource that it takes of those it may choose from."""
    rest: str | None = None
    """Id of the rest that it is."""


@dataclass(frozen=True)
class Timetable:
    """Everything in time."""

    timed: tuple[Timed, ...]
    end_s: int
    """When the last hand is free."""
    bound_s: int
    """It cannot be earlier."""
    hand_overs: int
    """Tasks that are taken over from the task before by other people."""
    hand_overs_bound: int
    """How few there could be at best with an end in the same step."""


@dataclass(frozen=True)
class Misfit:
    """Nothing was found that is over before the gate."""

    is_proven: bool
    """There is nothing; otherwise the effort was too small to tell."""


def schedule(gap: Gap, effort: Effort | None = None) -> Timetable | Misfit:
    """Return the earliest timetable of a gap, or that there is none before the gate."""
    effort = effort or Effort()
    model = _Model(gap, effort.grain_s)
    solver, status = _solved(model, effort)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Misfit(is_proven=status in (cp_model.INFEASIBLE, cp_model.MODEL_INVALID))
    steps, least = solver.value(model.steps), round(solver.best_objective_bound)
    solver, few = _with_few_hand_overs(model, solver, effort, steps)
    end = solver.value(model.last)
    return Timetable(
        timed=model.read(solver),
        end_s=end,
        bound_s=min(max((least - 1) * effort.grain_s + 1, model.least_s, 0), end),
        hand_overs=sum(solver.value(each) for each in model.hand_overs),
        hand_overs_bound=few,
    )


def is_too_short(gap: Gap, effort: Effort | None = None) -> bool:
    """Return whether it is proven that a gap does not fit before its gate, however late in it."""
    effort = effort or Effort()
    model = _Model(gap, effort.grain_s)
    model.model.clear_objective()  # type: ignore[no-untyped-call]
    return _solved(model, effort)[1] in (cp_model.INFEASIBLE, cp_model.MODEL_INVALID)


def _solved(model: _Model, effort: Effort) -> tuple[cp_model.CpSolver, Any]:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = effort.seed
    solver.parameters.max_deterministic_time = effort.steps
    solver.parameters.catch_sigint_signal = False
    return solver, solver.solve(model.model)


def _with_few_hand_overs(
    model: _Model, solver: cp_model.CpSolver, effort: Effort, steps: int
) -> tuple[cp_model.CpSolver, int]:
    """Keep the step of the end, and let as few tasks as possible change hands."""
    if not model.hand_overs:
        return solver, 0
    for var in model.variables:
        model.model.add_hint(var, solver.value(var))
    model.model.add(model.steps <= steps)
    model.model.minimize(sum(model.hand_overs))
    better, status = _solved(model, effort)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return solver, 0
    return better, max(round(better.best_objective_bound), 0)


@dataclass(frozen=True)
class _Planned:
    """The decisions of one task."""

    task: Task
    start: IntVar
    length: IntVar | int
    end: IntVar
    does: dict[str, IntVar]
    """Whether somebody does it, by person."""
    takes: tuple[IntVar, ...]
    """Whether it takes a machine, in their order."""

    @property
    def hands(self) -> IntVar | int:
        """How long its people are bound."""
        return self.length if self.task.hands_s is None else self.task.hands_s

    @property
    def free(self) -> Any:
        """When its people are free."""
        return self.end if self.task.hands_s is None else self.start + self.task.hands_s


class _Model:
    """The constraint model of a gap; rules in the order of `__init__`."""

    def __init__(self, gap: Gap, grain_s: int) -> None:
        self.gap = gap
        self.model = CpModel()
        untils = [rest.until_s for rest in gap.rests]
        self.horizon_s = max([gap.gate_s, *(t.latest_s or 0 for t in gap.tasks), *untils])
        self.planned = {task.id: self._plan(task) for task in gap.tasks}
        self.rests = {rest.id: self._rest_starts(rest) for rest in gap.rests}
        self._add_precedence()
        self._add_resources()
        self._add_hands()
        self._add_groups()
        self._add_like_people()
        self.least_s = least_end_s(gap)
        self.last = self.model.new_int_var(0, self.horizon_s, "last hand free")
        self.model.add_max_equality(
            self.last, [0, *(one.free for one in self.planned.values() if one.task.people)]
        )
        self.steps = self.model.new_int_var(
            min(-(-self.least_s // grain_s), self.horizon_s), self.horizon_s, "steps"
        )
        self.model.add(self.last <= grain_s * self.steps)
        self.model.add(self.last >= self.least_s)
        self.model.minimize(self.steps)
        self.hand_overs = [self._hand_over(*pair) for pair in sorted(_chained(gap))]

    @property
    def variables(self) -> list[IntVar]:
        """Every decision."""
        return [
            self.model.get_int_var_from_proto_index(index)
            for index in range(len(self.model.proto.variables))
        ]

    # -- decisions -----------------------------------------------------------------------------

    def _plan(self, task: Task) -> _Planned:
        """start in [earliest, latest - length]; exactly `people` of those able, among them one of
        each group of `led_by`; exactly one machine; length = the longest of what counts.
        """
        model, name = self.model, task.id
        there = {hand.person for hand in self.gap.hands}
        able = [(person, run_s) for person, run_s in task.able if person in there]
        does = {person: model.new_bool_var(f"does[{name},{person}]") for person, _ in able}
        takes = tuple(model.new_bool_var(f"takes[{name},{m.resource}]") for m in task.machines)
        if task.people:
            model.add(sum(does.values()) == task.people)
        for group in task.led_by:
            model.add_bool_or(*(does[person] for person in group if person in does))
        if takes:
            model.add_exactly_one(takes)
        ways = [(does[person], run_s) for person, run_s in able]
        ways += [(take, m.run_s) for take, m in zip(takes, task.machines, strict=True)]
        length = self._longest(name, least_s(task, there), ways)
        latest = self.gap.gate_s if task.latest_s is None else task.latest_s
        start = model.new_int_var(min(task.earliest_s, latest), latest, f"start[{name}]")
        end = model.new_int_var(0, latest, f"end[{name}]")
        return _Planned(task, start, length, end, does, takes)

    def _longest(self, name: str, least_s: int, ways: list[tuple[IntVar, int]]) -> IntVar | int:
        """least + for each longer length that a way has: the step up to it, if such a way is
        chosen.
        """
        steps, known = [], least_s
        for run_s in sorted({run_s for _, run_s in ways if run_s > least_s}):
            is_longer = self.model.new_bool_var(f"takes {run_s} s[{name}]")
            self.model.add_max_equality(is_longer, [way for way, own_s in ways if own_s >= run_s])
            steps.append((run_s - known) * is_longer)
            known = run_s
        if not steps:
            return least_s
        length = self.model.new_int_var(least_s, known, f"length[{name}]")
        self.model.add(length == least_s + sum(steps))
        return length

    def _rest_starts(self, rest: Rest) -> dict[str, IntVar]:
        """Each takes the rest in one piece within its stretch; together, all at the same time."""

        def new_start(of: str) -> IntVar:
            last = max(rest.since_s, rest.until_s - rest.length_s)
            return self.model.new_int_var(rest.since_s, last, f"rest[{rest.id},{of}]")

        if rest.is_together:
            start = new_start("all")
            return dict.fromkeys(rest.people, start)
        return {person: new_start(person) for person in rest.people}

    # -- rules ---------------------------------------------------------------------------------

    def _add_precedence(self) -> None:
        """end[before] <= start[after]."""
        for before, after in precedence(self.gap.tasks):
            self.model.add(self.planned[before].end <= self.planned[after].start)

    def _add_resources(self) -> None:
        """At any time the tasks that run take no more of a resource than there is."""
        wanted: dict[str, list[tuple[IntervalVar, int]]] = {r.id: [] for r in self.gap.resources}
        for one in self.planned.values():
            name = one.task.id
            runs = self.model.new_interval_var(one.start, one.length, one.end, f"runs[{name}]")
            for used, amount in one.task.uses:
                wanted[used].append((runs, amount))
            for machine, take in zip(one.task.machines, one.takes, strict=True):
                if machine.resource is None:
                    continue
                on = self.model.new_optional_interval_var(
                    one.start, one.length, one.end, take, f"on[{name},{machine.resource}]"
                )
                wanted[machine.resource].append((on, 1))
        for resource in self.gap.resources:
            intervals, amounts = _columns(wanted[resource.id])
            self.model.add_cumulative(intervals, amounts, resource.capacity)

    def _add_hands(self) -> None:
        """Nobody does two things at once, or works outside their hours or in their rest."""
        for hand in self.gap.hands:
            bound = [interval for interval, _ in self._away([hand])]
            for one in self.planned.values():
                if hand.person in one.does:
                    name = f"bound[{one.task.id},{hand.person}]"
                    bound.append(
                        self.model.new_optional_interval_var(
                            one.start, one.hands, one.free, one.does[hand.person], name
                        )
                    )
            self.model.add_no_overlap(bound)

    def _away(self, hands: Sequence[Hand]) -> list[tuple[IntervalVar, int]]:
        """When people are not at work: outside their hours, and in their rests."""
        away = []
        for hand in hands:
            for begin, end in _gaps_between(hand.hours_s, self.horizon_s):
                name = f"away[{hand.person},{begin}]"
                away.append(self.model.new_fixed_size_interval_var(begin, end - begin, name))
            for rest in self.gap.rests:
                if hand.person in rest.people:
                    start = self.rests[rest.id][hand.person]
                    name = f"rests[{hand.person},{rest.id}]"
                    away.append(self.model.new_fixed_size_interval_var(start, rest.length_s, name))
        return [(interval, 1) for interval in away]

    def _add_groups(self) -> None:
        """Redundant, for the bound: at any time the tasks that only some people can do (or lead)
        bind no more hands than these have.
        """
        with_hands = [one for one in self.planned.values() if one.task.people]
        by_all = [(frozenset(one.does), one, one.task.people) for one in with_hands]
        led = [
            (frozenset(group).intersection(one.does), one, 1)
            for one in with_hands
            for group in one.task.led_by
        ]
        for wanted in (by_all, led):
            for group in sorted({people for people, _, _ in wanted}, key=sorted):
                bound = self._away([hand for hand in self.gap.hands if hand.person in group])
                for people, one, number in wanted:
                    if people <= group:
                        name = f"work[{one.task.id},{'+'.join(sorted(group))}]"
                        work = self.model.new_interval_var(one.start, one.hands, one.free, name)
                        bound.append((work, number))
                intervals, amounts = _columns(bound)
                self.model.add_cumulative(intervals, amounts, len(group))

    def _add_like_people(self) -> None:
        """Of people who are alike in everything, the next one has a first task only once the one
        before has: does[n, next] <= sum(does[m, one before] for m up to n).
        """
        for before, after in _neighbours_alike(self.gap):
            so_far: list[IntVar] = []
            for one in self.planned.values():
                if before in one.does:
                    so_far.append(one.does[before])
                if after in one.does:
                    self.model.add_bool_or(one.does[after].negated(), *so_far)

    def _hand_over(self, before: str, after: str) -> IntVar:
        """Is 1 if nobody who does a task has done the one before it."""
        first, second = self.planned[before], self.planned[after]
        is_new = self.model.new_bool_var(f"hand-over[{before},{after}]")
        stay = []
        for person in sorted(first.does.keys() & second.does.keys()):
            stays = self.model.new_bool_var(f"goes on[{before},{after},{person}]")
            self.model.add_implication(stays, first.does[person])
            self.model.add_implication(stays, second.does[person])
            stay.append((person, stays))
        self.model.add_bool_or(is_new, *(var for _, var in sorted(stay)))
        return is_new

    # -- answer --------------------------------------------------------------------------------

    def read(self, solver: cp_model.CpSolver) -> tuple[Timed, ...]:
        """Return every task and rest as the solver has it."""
        timed = [_timed(one, solver) for one in self.planned.values()]
        for rest in self.gap.rests:
            starts = {p: solver.value(start) for p, start in self.rests[rest.id].items()}
            if rest.is_together:
                timed.append(_rested(f"break/{rest.id}", rest, tuple(starts), starts))
            else:
                timed += [_rested(f"break/{rest.id}/{p}", rest, (p,), starts) for p in starts]
        return tuple(timed)


def _timed(one: _Planned, solver: cp_model.CpSolver) -> Timed:
    taken = [
        machine.resource
        for machine, take in zip(one.task.machines, one.takes, strict=True)
        if solver.value(take)
    ]
    return Timed(
        id=one.task.id,
        start_s=solver.value(one.start),
        end_s=solver.value(one.end),
        free_s=solver.value(one.free),
        people=tuple(person for person, does in one.does.items() if solver.value(does)),
        machine=taken[0] if taken else None,
    )


def _rested(name: str, rest: Rest, people: tuple[str, ...], starts: dict[str, int]) -> Timed:
    start = starts[people[0]] if people else rest.since_s
    end = start + rest.length_s
    return Timed(name, start, end, end, people, rest=rest.id)


def _columns(rows: Iterable[tuple[IntervalVar, int]]) -> tuple[list[IntervalVar], list[int]]:
    found = list(rows)
    return [interval for interval, _ in found], [amount for _, amount in found]


def _chained(gap: Gap) -> set[tuple[str, str]]:
    """Pairs of tasks on one camera that follow each other and both have hands on it."""
    by_id = {task.id: task for task in gap.tasks if task.people and task.kind not in BY_THEMSELVES}
    return {
        (before, after)
        for before, after in precedence(gap.tasks)
        if before in by_id
        and after in by_id
        and by_id[before].letter is not None
        and by_id[before].letter == by_id[after].letter
    }


def _gaps_between(hours_s: Sequence[tuple[int, int]], horizon_s: int) -> list[tuple[int, int]]:
    """Stretches up to the horizon that lie outside some hours."""
    edges = [0, *(edge for hours in sorted(hours_s) for edge in hours), horizon_s]
    pairs = zip(edges[::2], edges[1::2], strict=True)
    return [(begin, end) for begin, end in pairs if begin < end]


def _neighbours_alike(gap: Gap) -> list[tuple[str, str]]:
    """Pairs of people, one after the other, whom no task, rest or hour tells apart."""
    groups: dict[tuple[object, ...], list[str]] = {}
    for hand in gap.hands:
        can = tuple(dict(task.able).get(hand.person) for task in gap.tasks)
        leads = tuple(hand.person in group for task in gap.tasks for group in task.led_by)
        rests = tuple(hand.person in rest.people for rest in gap.rests)
        groups.setdefault((hand.hours_s, can, leads, rests), []).append(hand.person)
    return [pair for people in groups.values() for pair in pairwise(people)]
