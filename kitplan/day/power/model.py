"""The charging of a shoot as a model: which pack goes into which bay when, and for how long.

A pack is full before its first use. Between two uses it goes into a bay at most once; it is put in
while hands are free and comes out in time. Goals in order: fewest uses that do not last, least
charge that they lack, fewest packs put into bays, earliest ends. No more is charged than that asks
for. docs/model.md states all of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from ortools.sat.python import cp_model

from kitplan.day.goals import Answer, least_in_order
from kitplan.day.minutes import Span
from kitplan.day.power.curve import FULL, Curve

Var = cp_model.IntVar


@dataclass(frozen=True)
class Draw:
    """A use of a pack: what it takes, in thousandths of a full one, and when."""

    unit: str
    grains: int
    begin: int
    """Minute by which the pack has to be there."""
    end: int
    """Minute from which it can be charged."""
    day_index: int = 0
    """Number of the pass."""


@dataclass(frozen=True)
class ChargerUnit:
    """A charger as it stands at the socket."""

    id: str
    bays: int
    minutes: int
    """From flat to full."""
    units: frozenset[str]
    """Packs that fit."""
    passes: frozenset[int]
    """Numbers of the passes on whose day it is there."""


@dataclass(frozen=True)
class Task:
    """A charge that may be made: before a use, after the use of the same pack before it."""

    draw: int
    """Number of the use that it is for."""
    previous: int
    chargers: tuple[ChargerUnit, ...]


@dataclass(frozen=True)
class Case:
    """All that the charging of a shoot depends on, in minutes and grains."""

    draws: tuple[Draw, ...]
    """In the order of the passes."""
    chargers: tuple[ChargerUnit, ...]
    curve: Curve
    hands: tuple[Span, ...]
    """When a pack can be put into a bay."""
    begins: tuple[int, ...]
    """The downbeats: from one to the next, a charger in use keeps its socket."""
    sockets: int

    def chances(self) -> tuple[Task, ...]:
        """Return the charges that may be made, with the chargers that are there for each."""
        last: dict[str, int] = {}
        found = []
        for number, draw in enumerate(self.draws):
            if draw.unit in last:
                before = last[draw.unit]
                days = {self.draws[before].day_index, draw.day_index}
                fit = tuple(c for c in self.chargers if draw.unit in c.units and days <= c.passes)
                found.append(Task(number, before, fit))
            last[draw.unit] = number
        return tuple(found)


@dataclass(frozen=True)
class Charged:
    """A charge that is made."""

    draw: int
    charger: str
    bay: int
    """From 1."""
    start: int
    end: int


@dataclass(frozen=True)
class Charging:
    """The answer."""

    charges: tuple[Charged, ...]
    value: tuple[int, ...]
    bound: tuple[int, ...]

    @property
    def is_proven(self) -> bool:
        """Whether nothing better exists."""
        return self.value == self.bound


def charging_of(case: Case, goals: int | None = None) -> Charging:
    """Return the best charging; proven, or with an honest bound.

    Args:
        goals: How many of the goals count; None for all.
    """
    charges: list[Charged] = []
    values, bounds = [], []
    for draws in _apart(case):
        model = _Model(replace(case, draws=tuple(case.draws[number] for number in draws)))
        answer = least_in_order(model.model, model.goals()[:goals])
        charges += [replace(one, draw=draws[one.draw]) for one in model.charges(answer)]
        values.append(answer.value)
        bounds.append(answer.bound)
    nothing = (0, 0, 0, 0)[:goals]
    return Charging(
        tuple(_with_bays(charges)),
        tuple(map(sum, zip(nothing, *values, strict=True))),
        tuple(map(sum, zip(nothing, *bounds, strict=True))),
    )


def _apart(case: Case) -> list[list[int]]:
    """Return the numbers of the uses in groups that share no charger: each is solved by itself.

    Where there is not a socket for every charger, all are one group.
    """
    groups: list[tuple[set[str], list[int]]] = []
    chances = case.chances()
    wanted = {charger.id for chance in chances for charger in chance.chargers}
    if len(wanted) > case.sockets:
        return [list(range(len(case.draws)))]
    for unit in dict.fromkeys(draw.unit for draw in case.draws):
        own = [number for number, draw in enumerate(case.draws) if draw.unit == unit]
        keys = {charger.id for c in chances if c.draw in own for charger in c.chargers}
        linked = [group for group in groups if group[0] & keys]
        groups = [group for group in groups if not group[0] & keys]
        joined = sorted(number for _, numbers in linked for number in numbers)
        groups.append((keys.union(*(one for one, _ in linked)), sorted([*joined, *own])))
    return [numbers for _, numbers in groups]


class _Session:
    """The decisions of one charge that may be made."""

    def __init__(self, model: cp_model.CpModel, case: Case, task: Task) -> None:
        self.task = task
        draw, previous = case.draws[task.draw], case.draws[task.previous]
        longest = max((charger.minutes for charger in task.chargers), default=0)
        windows = [
            [max(begin, previous.end), min(end, draw.begin)]
            for begin, end in case.hands
            if max(begin, previous.end) <= min(end, draw.begin)
        ]
        name = f"{draw.unit}[{task.draw}]"
        self.is_made = model.new_bool_var(f"made {name}")
        self.start = model.new_int_var_from_domain(
            cp_model.Domain.from_intervals(windows or [[0, 0]]), f"start {name}"
        )
        self.minutes = model.new_int_var(0, longest, f"minutes {name}")
        self.end = model.new_int_var(0, max(draw.begin, 0), f"end {name}")
        self.at = [model.new_bool_var(f"{name} at {charger.id}") for charger in task.chargers]
        model.add(sum(self.at) == self.is_made)
        if not windows:
            model.add(self.is_made == 0)
        model.add(self.end == self.start + self.minutes).only_enforce_if(self.is_made)
        model.add(self.minutes == 0).only_enforce_if(~self.is_made)
        model.add(self.minutes >= 1).only_enforce_if(self.is_made)
        model.add(self.end == 0).only_enforce_if(~self.is_made)


class _Model:
    def __init__(self, case: Case) -> None:
        self.case, self.model = case, cp_model.CpModel()
        self.sessions = {task.draw: _Session(self.model, case, task) for task in case.chances()}
        self.short: list[Var] = []
        self.lacking: list[Any] = []
        self._add_charge()
        self._add_bays()
        self._add_sockets()

    def goals(self) -> tuple[Any, ...]:
        """Return what is to be least, the most important first."""
        sessions = self.sessions.values()
        return (
            sum(self.short),
            sum(self.lacking),
            sum(each.is_made for each in sessions),
            sum(each.end for each in sessions),
        )

    # -- charge --------------------------------------------------------------------------------

    def _add_charge(self) -> None:
        """The charge of each pack from use to use: after = max(0, before - taken)."""
        after: dict[str, Any] = {}
        for number, draw in enumerate(self.case.draws):
            held: Any = after.get(draw.unit, FULL)
            session = self.sessions.get(number)
            if session is not None:
                held = self._charged(session, held, draw.unit)
            is_short = self.model.new_bool_var(f"short {draw.unit}[{number}]")
            lacking = self.model.new_int_var(0, max(draw.grains, 0), f"lacking [{number}]")
            self.model.add(lacking >= draw.grains - held)
            self.model.add(lacking == 0).only_enforce_if(~is_short)
            self.short.append(is_short)
            self.lacking.append(lacking)
            left = self.model.new_int_var(0, FULL, f"left {draw.unit}[{number}]")
            self.model.add_max_equality(left, [held - draw.grains, 0])
            after[draw.unit] = left

    def _charged(self, session: _Session, held: Any, unit: str) -> Var:
        """Return the charge after a session that may be made."""
        model, curve = self.model, self.case.curve
        name = f"{unit}[{session.task.draw}]"
        reached = model.new_int_var(0, FULL, f"charge {name}")
        model.add(reached >= held)
        model.add(reached == held).only_enforce_if(~session.is_made)
        ticks = [model.new_int_var(0, curve.full_ticks, f"{w} {name}") for w in ("from", "to")]
        for tick, grains in zip(ticks, (held, reached), strict=True):
            lines = [curve.quick_slope * grains, curve.slow_slope * grains - curve.bend]
            model.add_max_equality(tick, lines)
        for charger, literal in zip(session.task.chargers, session.at, strict=True):
            model.add(
                curve.full_ticks * session.minutes >= charger.minutes * (ticks[1] - ticks[0])
            ).only_enforce_if(literal)
        return reached

    # -- bays and sockets ----------------------------------------------------------------------

    def _add_bays(self) -> None:
        """Packs in a charger at the same time <= its bays."""
        for charger in self.case.chargers:
            spans = [
                self.model.new_optional_interval_var(
                    session.start, session.minutes, session.end, literal, f"{charger.id} in use"
                )
                for session, literal in self._at(charger)
            ]
            if charger.bays == 1:
                self.model.add_no_overlap(spans)
            else:
                self.model.add_cumulative(spans, [1] * len(spans), charger.bays)

    def _at(self, charger: ChargerUnit) -> list[tuple[_Session, Var]]:
        return [
            (session, literal)
            for session in self.sessions.values()
            for each, literal in zip(session.task.chargers, session.at, strict=True)
            if each.id == charger.id
        ]

    def _add_sockets(self) -> None:
        """Chargers in use between one downbeat and the next <= sockets that are left for them."""
        wanted = {c.id for session in self.sessions.values() for c in session.task.chargers}
        if len(wanted) <= self.case.sockets:
            return
        for begin, end in pairwise([None, *self.case.begins, None]):
            covers = {
                draw: self._covers(session, begin, end) for draw, session in self.sessions.items()
            }
            plugged = []
            for charger in self.case.chargers:
                is_plugged = self.model.new_bool_var(f"{charger.id} plugged from {begin}")
                for session, literal in self._at(charger):
                    self.model.add_bool_or(~literal, ~covers[session.task.draw], is_plugged)
                plugged.append(is_plugged)
            self.model.add(sum(plugged) <= self.case.sockets)

    def _covers(self, session: _Session, begin: int | None, end: int | None) -> Var:
        """Return whether a session reaches into a stretch of the day."""
        model = self.model
        covers, ways = model.new_bool_var("covers"), []
        if begin is not None:
            is_over = model.new_bool_var("over before")
            model.add(session.end <= begin).only_enforce_if(is_over)
            ways.append(is_over)
        if end is not None:
            is_later = model.new_bool_var("begins later")
            model.add(session.start >= end).only_enforce_if(is_later)
            ways.append(is_later)
        model.add_bool_or(covers, ~session.is_made, *ways)
        return covers

    # -- answer --------------------------------------------------------------------------------

    def charges(self, answer: Answer) -> list[Charged]:
        """Return the charges that are made, without bays."""
        solver = answer.solver
        found = []
        for draw, session in self.sessions.items():
            if not solver.boolean_value(session.is_made):
                continue
            chosen = [solver.boolean_value(literal) for literal in session.at].index(True)
            charger = session.task.chargers[chosen].id
            times = (solver.value(session.start), solver.value(session.end))
            found.append(Charged(draw, charger, 0, *times))
        return found


def _with_bays(charges: Sequence[Charged]) -> list[Charged]:
    """Return the charges with bays, in the order of time; as many are free as the model allowed."""
    free_at: dict[tuple[str, int], int] = {}
    found = []
    for each in sorted(charges, key=lambda c: (c.start, c.end, c.draw)):
        bay = 1
        while free_at.get((each.charger, bay), each.start) > each.start:
            bay += 1
        free_at[each.charger, bay] = each.end
        found.append(Charged(each.draw, each.charger, bay, each.start, each.end))
    return found
