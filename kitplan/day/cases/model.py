"""The packing as a CP-SAT model: how many of each kind go into each case, and what is minimised.

What is needed rounds up, what is allowed rounds down (`units`); centilitres and grams.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from ortools.sat.python import cp_model

from kitplan.day.cases.things import Bin, Cargo, Kind

STEP_G = 500
"""Masses are balanced to half a kilogram: nobody feels less."""
Packing = dict[tuple[int, str], int]
"""How many of each kind (by number) are in each case."""


@dataclass
class Variables:
    """All decisions."""

    number: dict[tuple[int, str], Any] = field(default_factory=dict)
    """How many of a kind are in a case: a decision, or a plain number where it is fixed."""
    has: dict[tuple[int, str], Any] = field(default_factory=dict)
    """1 if any of a kind is in a case."""
    used: dict[str, Any] = field(default_factory=dict)
    loaded: dict[str, Any] = field(default_factory=dict)
    """1 if a loose thing is in the vehicle."""


@dataclass
class PackingModel:
    """A model with its decisions; with `at_home`, what has a home case is in it."""

    cargo: Cargo
    at_home: bool
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    x: Variables = field(default_factory=Variables)

    def __post_init__(self) -> None:
        self._decide()
        for rule in RULES:
            rule(self)

    def _decide(self) -> None:
        for index, kind in enumerate(self.cargo.kinds):
            for each in self.cargo.bins:
                if not each.takes(kind) and not (self.at_home and kind.home == each.unit):
                    continue
                if self.at_home and kind.home is not None:
                    if kind.home == each.unit:
                        self.x.number[index, each.unit] = kind.count
                        self.x.has[index, each.unit] = 1
                    continue
                name = f"{kind.units[0]},{each.unit}"
                number = self.model.new_int_var(0, kind.count, f"number[{name}]")
                self.x.number[index, each.unit] = number
                self.x.has[index, each.unit] = (
                    number if kind.count == 1 else self.model.new_bool_var(f"has[{name}]")
                )
        for each in self.cargo.bins:
            self.x.used[each.unit] = self.model.new_bool_var(f"used[{each.unit}]")
        for loose in self.cargo.loose:
            self.x.loaded[loose.unit] = self.model.new_bool_var(f"loaded[{loose.unit}]")

    # -- what the rules and goals speak of -----------------------------------------------------

    def inside(self, each: Bin) -> list[tuple[int, Kind, Any]]:
        """Return the kinds that can be in a case, with how many are."""
        return [
            (index, kind, self.x.number[index, each.unit])
            for index, kind in enumerate(self.cargo.kinds)
            if (index, each.unit) in self.x.number
        ]

    def gross_g(self, each: Bin) -> Any:
        """Return the mass of a case with everything in it, 0 where it stays at home."""
        return each.own_g * self.x.used[each.unit] + sum(
            kind.mass_g * number for _, kind, number in self.inside(each)
        )

    def most_gross_g(self, each: Bin) -> int:
        """Return a bound of that mass."""
        load = sum(kind.mass_g * kind.count for _, kind, _ in self.inside(each))
        return each.own_g + min(load, each.limit_g)

    def packed(self) -> Any:
        """Return how many things are in cases."""
        return sum(self.x.number.values())

    def at_home_number(self) -> Any:
        """Return how many things are in their home case."""
        homes = ((i, kind.home) for i, kind in enumerate(self.cargo.kinds) if kind.home)
        return sum(self.x.number.get(key, 0) for key in homes)

    def strays(self, each: Bin) -> list[Any]:
        """Return what is 1 where a case holds something that has no home in it."""
        return [
            self.x.has[index, each.unit]
            for index, kind, _ in self.inside(each)
            if kind.home != each.unit
        ]


# -- rules -----------------------------------------------------------------------------------------


def each_thing_once(one: PackingModel) -> None:
    """A thing is in at most one case: sum over cases of number[k, c] <= count[k]."""
    for index, kind in enumerate(one.cargo.kinds):
        numbers = [n for (k, _), n in one.x.number.items() if k == index]
        one.model.add(sum(numbers) <= kind.count)


def litres_and_kilograms(one: PackingModel) -> None:
    """A case holds its litres and kilograms, wrapping included, and only if it comes along."""
    for each in one.cargo.bins:
        inside, used = one.inside(each), one.x.used[each.unit]
        bulk = sum(each.bulk_cl(kind) * number for _, kind, number in inside)
        mass = sum(kind.mass_g * number for _, kind, number in inside)
        one.model.add(bulk <= each.room_cl * used)
        one.model.add(mass <= each.limit_g * used)


def large_things_alone(one: PackingModel) -> None:
    """Of things above half of a case's litres, or kilograms, one is in it at most: it follows from
    these, but a bound sees it only when it is said.
    """
    for each in one.cargo.bins:
        inside = one.inside(each)
        bulky = [number for _, kind, number in inside if 2 * each.bulk_cl(kind) > each.room_cl]
        heavy = [number for _, kind, number in inside if 2 * kind.mass_g > each.limit_g]
        for large in (bulky, heavy):
            one.model.add(sum(large) <= one.x.used[each.unit])


def used_cases_hold_something(one: PackingModel) -> None:
    """used[c] is 1 exactly if something is in it; has[k, c] if number[k, c] is above 0."""
    for each in one.cargo.bins:
        inside, used = one.inside(each), one.x.used[each.unit]
        one.model.add(sum(number for _, _, number in inside) >= used)
        for index, kind, number in inside:
            has = one.x.has[index, each.unit]
            if kind.count > 1 and not isinstance(has, int):
                one.model.add(number <= kind.count * has)
                one.model.add(number >= has)
            one.model.add(used >= has)


def vehicle(one: PackingModel) -> None:
    """Cases that come along and loose things fit the vehicle, in litres and kilograms."""
    cargo = one.cargo
    if cargo.vehicle_cl is not None:
        cases = sum(each.outside_cl * one.x.used[each.unit] for each in cargo.bins)
        loose = sum(each.outside_cl * one.x.loaded[each.unit] for each in cargo.loose)
        one.model.add(cases + loose <= cargo.vehicle_cl)
    if cargo.vehicle_g is not None:
        cases = sum(map(one.gross_g, cargo.bins))
        loose = sum(each.mass_g * one.x.loaded[each.unit] for each in cargo.loose)
        one.model.add(cases + loose <= cargo.vehicle_g)


def equal_cases_in_turn(one: PackingModel) -> None:
    """Of cases that are the same and nobody's home, the first is used first; no answer is lost."""
    alike: dict[tuple[str, str], list[str]] = {}
    for each in one.cargo.bins:
        if not each.is_home:
            alike.setdefault((each.item, each.owner), []).append(each.unit)
    for units in alike.values():
        for first, second in pairwise(units):
            one.model.add(one.x.used[first] >= one.x.used[second])


RULES = (
    each_thing_once,
    litres_and_kilograms,
    large_things_alone,
    used_cases_hold_something,
    vehicle,
    equal_cases_in_turn,
)


# -- goals: each is as small as can be -------------------------------------------------------------


def parts(one: PackingModel) -> Any:
    """Parts of rigs that are in no case, and loose ones that are not loaded."""
    cargo = one.cargo
    kinds = {index for index, kind in enumerate(cargo.kinds) if kind.is_part}
    loose = [one.x.loaded[each.unit] for each in cargo.loose if each.is_part]
    packed = sum(number for (index, _), number in one.x.number.items() if index in kinds)
    return sum(cargo.kinds[index].count for index in kinds) + len(loose) - packed - sum(loose)


def left(one: PackingModel) -> Any:
    """Things that are in no case, and loose ones that are not loaded."""
    things = sum(kind.count for kind in one.cargo.kinds) + len(one.cargo.loose)
    return things - one.packed() - sum(one.x.loaded.values())


def away(one: PackingModel) -> Any:
    """Things that have a home case and are packed into another."""
    homed = [index for index, kind in enumerate(one.cargo.kinds) if kind.home is not None]
    packed = sum(number for (index, _), number in one.x.number.items() if index in homed)
    return packed - one.at_home_number()


def opened(one: PackingModel) -> Any:
    """Cases that come along though nothing that is packed lives in them."""
    return sum(one.x.used[each.unit] for each in one.cargo.bins if not each.is_home)


def hands(one: PackingModel) -> Any:
    """For each case 1 if it is above what one lifts, 2 if above what two lift."""
    found = []
    for each in one.cargo.bins:
        for limit in (one.cargo.lift_g, one.cargo.lift_two_g):
            most = one.most_gross_g(each)
            if most <= limit:
                continue
            over = one.model.new_bool_var("")
            one.model.add(one.gross_g(each) <= limit + (most - limit) * over)
            found.append(over)
    return sum(found)


def wrapped(one: PackingModel) -> Any:
    """Fragile things in cases without padding."""
    return sum(
        number
        for each in one.cargo.bins
        if not each.is_padded
        for _, kind, number in one.inside(each)
        if kind.is_fragile
    )


def split(one: PackingModel) -> Any:
    """Cases that the things of a placement lie in, over all placements."""
    return _touched(one, lambda kind, _: sorted(kind.users))


def mixed(one: PackingModel) -> Any:
    """Owners whose things lie in the case of another, over all cases."""
    return _touched(one, lambda kind, each: [kind.owner] if kind.owner != each.owner else [])


def _touched(one: PackingModel, marks_of: Any) -> Any:
    """Return over all cases the number of different marks of what is in them."""
    found: list[Any] = []
    for each in one.cargo.bins:
        by_mark: dict[Any, list[Any]] = {}
        for index, kind, _ in one.inside(each):
            for mark in marks_of(kind, each):
                by_mark.setdefault(mark, []).append(one.x.has[index, each.unit])
        for has in by_mark.values():
            if any(isinstance(one_has, int) for one_has in has):
                found.append(1)
                continue
            touched = one.model.new_bool_var("")
            for one_has in has:
                one.model.add(touched >= one_has)
            found.append(touched)
    return sum(found)


def heaviest(one: PackingModel) -> Any:
    """Half kilograms, rounded up, of the heaviest case that holds a thing without a home in it."""
    most = max((one.most_gross_g(each) for each in one.cargo.bins), default=0)
    steps = one.model.new_int_var(0, -(-most // STEP_G), "heaviest")
    for each in one.cargo.bins:
        if strays := one.strays(each):
            is_ours = one.model.new_bool_var("")
            for stray in strays:
                one.model.add(is_ours >= stray)
            one.model.add(
                STEP_G * steps >= one.gross_g(each) - one.most_gross_g(each) * (1 - is_ours)
            )
    return steps


GOALS = (parts, left, away, opened, hands, wrapped, split, mixed, heaviest)


# -- counting without a solver ---------------------------------------------------------------------


def count(
    cargo: Cargo, packing: Mapping[tuple[int, str], int], loaded: Collection[str]
) -> tuple[int, ...]:
    """Return what the goals come to in a packing, in their order."""
    inside: dict[str, list[tuple[Kind, int]]] = {}
    for (index, unit), number in packing.items():
        if number:
            inside.setdefault(unit, []).append((cargo.kinds[index], number))
    bins = [cargo.bins_by_unit[unit] for unit in inside]
    gross = {
        each.unit: each.own_g + sum(kind.mass_g * n for kind, n in inside[each.unit])
        for each in bins
    }
    rows = [(each, kind, n) for each in bins for kind, n in inside[each.unit]]
    rest = [(kind.is_part, kind.count) for kind in cargo.kinds]
    rest += [(kind.is_part, -n) for _, kind, n in rows]
    rest += [(each.is_part, 1) for each in cargo.loose if each.unit not in loaded]
    ours = {each.unit for each, kind, _ in rows if kind.home != each.unit}
    return (
        sum(n for is_part, n in rest if is_part),
        sum(n for _, n in rest),
        sum(n for each, kind, n in rows if kind.home not in (None, each.unit)),
        sum(not each.is_home for each in bins),
        sum((g > cargo.lift_g) + (g > cargo.lift_two_g) for g in gross.values()),
        sum(n for each, kind, n in rows if kind.is_fragile and not each.is_padded),
        len({(each.unit, user) for each, kind, _ in rows for user in kind.users}),
        len({(each.unit, kind.owner) for each, kind, _ in rows if kind.owner != each.owner}),
        max((-(-gross[unit] // STEP_G) for unit in ours), default=0),
    )
