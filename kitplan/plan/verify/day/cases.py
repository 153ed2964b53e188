"""The packing: every thing once, litres and kilograms, lifts, order, and what the goals came to.

Written from docs/model.md, Packing; counts of its own for everything that a load states.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from math import ceil

from kitplan.gear.records import Accessory, AnyItem, Case, Sound, Support
from kitplan.plan.day.cases import GOALS, Load, PackedCase
from kitplan.plan.records import Plan
from kitplan.plan.verify.day.brings import brings_of, first_needs
from kitplan.plan.verify.findings import Fault, Finding
from kitplan.plan.verify.scene import Scene
from kitplan.tables import table
from kitplan.units import bulk_cl, limit_g, load_g, room_cl

_SLACK = 1e-6
STEP_G = 500
PARTS = ("body", "lens", "adapter", "head", "support")


def case_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield what does not hold in the packing of a plan; nothing where it has none."""
    if plan.day is None or plan.day.cases is None:
        return
    loads = plan.day.cases.loads
    numbers = Counter(load.shoot for load in loads)
    for shoot in sorted({*numbers, *scenes}):
        if numbers[shoot] != 1 or shoot not in scenes:
            wrong = f"shoot {shoot} is packed {numbers[shoot]} times"
            yield Finding("packed-shoot", "cases", wrong, "Each shoot of the plan is packed once")
    for load in loads:
        if load.shoot in scenes:
            one = _Packing(plan, scenes[load.shoot], load)
            yield from (fault.at(f"cases of {load.shoot}") for fault in _faults(one))


@dataclass(frozen=True)
class _Packing:
    """A load with what follows from kit, shoot and placements alone."""

    plan: Plan
    scene: Scene
    load: Load

    @cached_property
    def brings(self) -> frozenset[str]:
        """Units that the shoot brings, with the cases inside cases that hold some of them."""
        outer = brings_of(self.plan, self.load.shoot)
        inner = {case for unit in outer for case in self.path(unit)[:-1] if self.home(unit)}
        return frozenset(outer | inner)

    @cached_property
    def case_of(self) -> dict[str, str]:
        """The case that each packed unit lies in."""
        return self.load.case_of

    def item(self, unit: str) -> AnyItem:
        """Return the item of a unit that the kit has."""
        return self.scene.kit.items_by_id[self.scene.units_by_id[unit].item]

    def owner(self, unit: str) -> str:
        """Return who owns a unit."""
        return self.scene.units_by_id[unit].owner

    def path(self, unit: str) -> list[str]:
        """Return the cases that a unit lives in, the innermost first."""
        found: list[str] = []
        case = self.scene.units_by_id[unit].case
        while case is not None and case not in found and case in self.scene.units_by_id:
            found.append(case)
            case = self.scene.units_by_id[case].case
        return found

    def home(self, unit: str) -> str:
        """Return the outermost case that a unit lives in, if it is at hand; else nothing."""
        path = self.path(unit)
        return path[-1] if path and self.is_at_hand(path[-1]) else ""

    def is_at_hand(self, unit: str) -> bool:
        """Return whether a unit is a case in no other that can be had on the days of all passes."""
        shoot, found = self.scene.shoot, self.scene.units_by_id.get(unit)
        return (
            found is not None
            and isinstance(self.scene.kit.items_by_id.get(found.item), Case)
            and found.case is None
            and unit not in shoot.past.lost_units
            and all(self.scene.is_free(found, each) for each in shoot.passes)
        )

    # -- how a thing travels -------------------------------------------------------------------

    def fact(self, unit: str, name: str) -> object:
        """Return a fact of a unit: that of its item, else of the table."""
        own = getattr(self.item(unit), {"litres": "volume_l"}.get(name, name), None)
        return table("volumes")[_row(self.item(unit))].get(name, False) if own is None else own

    def mass_g(self, unit: str) -> int:
        """Return the mass of a unit in grams."""
        return load_g(self.item(unit).mass_kg)

    def is_wrapped(self, unit: str, case: str) -> bool:
        """Return whether a unit has to be wrapped in a case."""
        if isinstance(self.item(unit), Case):
            return False
        item = self.item(case)
        return bool(self.fact(unit, "is_fragile")) and not (
            isinstance(item, Case) and item.is_padded
        )

    def bulk(self, unit: str, case: str) -> int:
        """Return the centilitres that a unit takes up in a case."""
        if isinstance(self.item(unit), Case):
            return 0
        factor = self.scene.shoot.rules.wrap_factor if self.is_wrapped(unit, case) else 1.0
        litres = self.fact(unit, "litres")
        assert isinstance(litres, int | float)
        return bulk_cl(litres * factor)

    def outside(self, unit: str) -> int:
        """Return the centilitres that a case or a loose thing takes in the vehicle."""
        litres = self.fact(unit, "litres")
        assert isinstance(litres, int | float)
        return bulk_cl(litres * self.scene.shoot.rules.outside_factor)

    def gross_g(self, packed: PackedCase) -> int:
        """Return the mass of a case with everything in it."""
        return self.mass_g(packed.case) + sum(map(self.mass_g, packed.units))

    def hands(self, gross_g: int) -> int:
        """Return how many lift a case."""
        one = self.scene.shoot.rules.lift_kg
        two = 2 * one * self.scene.shoot.rules.lift_two_share
        return 1 + sum(gross_g > limit_g(limit) for limit in (one, two))


def _row(item: AnyItem) -> str:
    """Return the row of shared/volumes.yaml for an item."""
    if isinstance(item, Sound):
        return item.what
    if isinstance(item, Accessory):
        return item.serves if item.serves in table("volumes") else "other"
    if not isinstance(item, Support):
        return item.kind
    ways = {
        "arm": item.is_arm,
        "clamp": "floor" not in item.stands_on,
        "track": "track" in item.moves,
        "walk": "walk" in item.moves,
        "hand": not item.can_stand_alone,
    }
    return next((word for word, holds in ways.items() if holds), "legs")


# -- what does not hold ----------------------------------------------------------------------------


def _faults(one: _Packing) -> Iterator[Fault]:
    strangers = list(_stranger_faults(one))
    yield from strangers
    if strangers:
        return  # the rest looks everything up
    yield from _once_faults(one)
    for packed in one.load.cases:
        yield from _case_faults(one, packed)
    yield from _outside_faults(one)
    yield from _vehicle_faults(one)
    yield from _order_faults(one)
    yield from _value_faults(one)
    yield from _remedy_faults(one)


def _stranger_faults(one: _Packing) -> Iterator[Fault]:
    """Only cases at hand are packed, each once, and only what the kit has."""
    load = one.load
    for case, number in Counter(packed.case for packed in load.cases).items():
        if number > 1:
            yield Fault("case-twice", f"{case} is packed {number} times", "Pack each case once")
        if not one.is_at_hand(case):
            wrong = f"{case} is no case that is at hand"
            yield Fault("packed-into", wrong, "Pack into cases that the kit has on those days")
    listed = [*one.case_of, *load.by_hand, *load.at_venue, *load.left, *load.order]
    for unit in dict.fromkeys(listed):
        found = one.scene.units_by_id.get(unit)
        if found is None or found.item not in one.scene.kit.items_by_id:
            yield Fault("packed-unit", f"there is no unit '{unit}'", "Pack what the kit lists")


def _once_faults(one: _Packing) -> Iterator[Fault]:
    """Everything that the shoot brings is in one case, carried, at the venue, or left; once."""
    load = one.load
    packed = [unit for each in load.cases for unit in each.units]
    number = Counter([*packed, *load.by_hand, *load.at_venue, *load.left])
    for unit in sorted(one.brings | number.keys()):
        if unit not in one.brings:
            yield Fault("packed-unit", f"{unit} is packed", "No pass of the shoot brings it")
        elif number[unit] != 1:
            wrong = f"{unit} is listed {number[unit]} times"
            yield Fault("packed-once", wrong, "Each thing is in one place, or left")


def _case_faults(one: _Packing, packed: PackedCase) -> Iterator[Fault]:
    """Litres, kilograms, length, wrapping and hands of a case."""
    case = one.item(packed.case)
    assert isinstance(case, Case)  # it is at hand
    if not packed.units:
        yield Fault("case-empty", f"{packed.case} is empty", "Leave it at home")
    used = sum(one.bulk(unit, packed.case) for unit in packed.units)
    if used > room_cl(case.volume_l):
        wrong = f"{packed.case} holds {used / 100:.2f} l"
        yield Fault("case-litres", wrong, f"It has {case.volume_l:g} l inside")
    load = sum(map(one.mass_g, packed.units))
    if load > limit_g(case.most_load_kg):
        wrong = f"{packed.case} carries {load / 1000:.2f} kg"
        yield Fault("case-kilograms", wrong, f"It may carry {case.most_load_kg:g} kg")
    for unit in packed.units:
        if isinstance(one.item(unit), Case) or one.home(unit) == packed.case:
            continue
        if one.fact(unit, "is_long") and not case.takes_long:
            yield Fault("case-long", f"{unit} is in {packed.case}", "It is too long for it")
    gross = one.gross_g(packed)
    yield from _stated(packed.case, "used_l", packed.used_l, used / 100)
    yield from _stated(packed.case, "gross_kg", packed.gross_kg, gross / 1000)
    yield from _stated(packed.case, "hands", packed.hands, one.hands(gross))
    wrapped = {unit for unit in packed.units if one.is_wrapped(unit, packed.case)}
    if wrapped != set(packed.wrapped):
        right = f"Wrapped are {', '.join(sorted(wrapped)) or 'none'}"
        yield Fault("case-wrapped", f"{packed.case} wraps {', '.join(packed.wrapped)}", right)


def _stated(of: str, name: str, stated: float, right: float) -> Iterator[Fault]:
    if abs(stated - right) > _SLACK:
        yield Fault("packed-figure", f"{of} states {name} {stated:g}", f"It is {right:g}")


def _outside_faults(one: _Packing) -> Iterator[Fault]:
    """Carried by hand is only what is loose, at the venue only feeds; neither has a home case."""
    for unit in one.load.by_hand:
        row = table("volumes").get(_row(one.item(unit)), {})
        if one.home(unit) or not row.get("is_loose", False):
            yield Fault("packed-by-hand", f"{unit} is carried by hand", "It goes into a case")
    for unit in one.load.at_venue:
        if one.home(unit) or _row(one.item(unit)) != "desk-feed":
            yield Fault("packed-at-venue", f"{unit} is said to be there", "It has to be brought")


def _vehicle_faults(one: _Packing) -> Iterator[Fault]:
    """Litres and kilograms of all that travels, against those of the vehicle."""
    load, vehicle = one.load, one.scene.shoot.vehicle
    outside = sum(map(one.outside, [*(each.case for each in load.cases), *load.by_hand]))
    mass = sum(map(one.gross_g, load.cases)) + sum(map(one.mass_g, load.by_hand))
    yield from _stated("the load", "volume_l", load.volume_l, outside / 100)
    yield from _stated("the load", "mass_kg", load.mass_kg, mass / 1000)
    if vehicle.volume_l is not None and outside > room_cl(vehicle.volume_l):
        wrong = f"the load takes {outside / 100:.2f} l"
        yield Fault("vehicle-litres", wrong, f"The vehicle has {vehicle.volume_l:g} l")
    if vehicle.most_load_kg is not None and mass > limit_g(vehicle.most_load_kg):
        wrong = f"the load has {mass / 1000:.2f} kg"
        yield Fault("vehicle-kilograms", wrong, f"The vehicle takes {vehicle.most_load_kg:g} kg")


def _order_faults(one: _Packing) -> Iterator[Fault]:
    """Loaded first is what is needed last; of what is needed together, the heavy first."""
    load, first = one.load, first_needs(one.plan, one.load.shoot)
    rows = [((0, 0), one.mass_g(unit), unit) for unit in load.by_hand if unit not in first]
    rows += [(first[unit], one.mass_g(unit), unit) for unit in load.by_hand if unit in first]
    for packed in load.cases:
        needs = [first[unit] for unit in packed.units if unit in first]
        rows.append((min(needs, default=(0, 0)), one.gross_g(packed), packed.case))
    rows.sort(key=lambda row: (-row[0][0], -row[0][1], -row[1], row[2]))
    order = tuple(unit for _, _, unit in rows)
    if order != load.order:
        wrong = f"the order of loading begins {', '.join(load.order[:3]) or 'with nothing'}"
        right = f"What is needed first is loaded last: {', '.join(order)}"
        yield Fault("loading-order", wrong, right)


def _value_faults(one: _Packing) -> Iterator[Fault]:
    """What the goals came to, counted again; a bound is no more, and proven is all at its bound."""
    load = one.load
    value = _values(one)
    if value != load.value:
        shown = ", ".join(f"{name} {n}" for name, n in zip(GOALS, value, strict=True))
        yield Fault("packed-value", f"it states {load.value}", f"Counted: {shown}")
    if len(load.bound) != len(GOALS) or any(
        not 0 <= bound <= reached for bound, reached in zip(load.bound, value, strict=False)
    ):
        yield Fault("packed-bound", f"its bounds are {load.bound}", "No bound is above its value")
    if load.is_proven != (load.bound == load.value):
        wrong = f"it says proven: {load.is_proven}"
        yield Fault("packed-proven", wrong, "Proven is what has reached its bounds")


def _values(one: _Packing) -> tuple[int, ...]:
    load = one.load
    homes = {one.home(unit) for unit in one.brings} - {""}
    spread, foreign, heaviest, away = set(), set(), 0, 0
    for placement in one.plan.placements:
        if placement.pass_id.partition("/")[0] == load.shoot:
            user = (placement.pass_id, placement.letter)
            spread |= {(*user, one.case_of[u]) for u in placement.units if u in one.case_of}
    for packed in load.cases:
        owner = one.owner(packed.case)
        foreign |= {(packed.case, one.owner(unit)) for unit in packed.units} - {
            (packed.case, owner)
        }
        strays = [unit for unit in packed.units if one.home(unit) != packed.case]
        away += sum(one.home(unit) != "" for unit in strays)
        if strays:
            heaviest = max(heaviest, ceil(one.gross_g(packed) / STEP_G))
    return (
        sum(one.item(unit).kind in PARTS for unit in load.left),
        len(load.left),
        away,
        sum(packed.case not in homes for packed in load.cases),
        sum(one.hands(one.gross_g(packed)) - 1 for packed in load.cases),
        sum(one.is_wrapped(unit, case) for unit, case in one.case_of.items()),
        len(spread),
        len(foreign),
        heaviest,
    )


def _remedy_faults(one: _Packing) -> Iterator[Fault]:
    """A remedy is for something that is left, and names what there is."""
    remedy = one.load.remedy
    if remedy is None:
        return
    letters = {p.letter for p in one.plan.placements}
    cases = {case.id for case in one.scene.kit.of_kind(Case)}
    if (
        not one.load.left
        or (remedy.add is not None and remedy.add not in cases)
        or (remedy.without is not None and remedy.without not in letters)
    ):
        yield Fault("remedy", "it names a remedy", "Something is left, and it names what there is")
