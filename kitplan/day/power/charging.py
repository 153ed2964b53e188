"""The power of a shoot: what has to be charged before each pass, where and when, what is left."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from kitplan.day.minutes import Minutes
from kitplan.day.power.curve import FULL, charger_minutes, curve_of, share
from kitplan.day.power.model import (
    Case,
    Charged,
    ChargerUnit,
    Charging,
    Draw,
    charging_of,
)
from kitplan.day.power.uses import Use, uses_of
from kitplan.gear.kit import Unit
from kitplan.gear.records import Battery, Charger
from kitplan.plan.day.power import Charge, PackUse, PowerPlan, Spare
from kitplan.plan.day.rolls import RollPlan
from kitplan.plan.day.sound import SoundPlan
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass


def power_plan(
    brief: Brief,
    shoot_id: str,
    placements: Sequence[Placement],
    sound: SoundPlan | None = None,
    rolls: RollPlan | None = None,
) -> PowerPlan:
    """Return the power of all passes of a shoot.

    Args:
        sound: Its recorders, where it has some.
        rolls: When every recorder runs on what; None takes each battery in turn until it is flat.
    """
    uses, mains = uses_of(brief, shoot_id, placements, sound, rolls)
    case = case_of(brief, uses)
    charging = charging_of(case)
    told = _Telling(brief, shoot_id, case, uses, charging)
    return PowerPlan(
        uses=told.uses,
        mains=mains,
        charges=told.charges,
        spares=tuple(told.spares()),
        way_out=way_out(brief, case, uses, charging),
        value=told.value,
        bound=tuple(map(min, charging.bound, told.value)),
        is_proven=told.value == charging.bound,
    )


# -- the case --------------------------------------------------------------------------------------


def case_of(brief: Brief, uses: Sequence[Use]) -> Case:
    """Return what the charging depends on."""
    minutes = Minutes(brief.shoot)
    horizon = minutes.spans[-1][1]
    return Case(
        draws=tuple(Draw(u.unit, u.grains, u.due_at, u.free_at, u.index) for u in uses),
        chargers=tuple(charger_units(brief)),
        curve=curve_of(brief.shoot.rules),
        hands=tuple(minutes.hands(horizon)),
        begins=tuple(begin for begin, _ in minutes.spans[1:]),
        sockets=sockets_for_chargers(brief),
    )


def sockets_for_chargers(brief: Brief) -> int:
    """Return the sockets that the laptops leave for chargers."""
    return max(0, brief.shoot.venue.sockets - brief.shoot.copying.laptops)


def charger_units(brief: Brief) -> Iterator[ChargerUnit]:
    """Yield every charger of the kit with the passes on whose day it is there."""
    kit, passes = brief.kit, brief.shoot.passes
    for charger in kit.of_kind(Charger):
        fits = frozenset(
            u.id for item in charger.batteries for u in kit.units_by_item.get(item, ())
        )
        for unit in kit.units_by_item.get(charger.id, ()):
            there = frozenset(n for n, each in enumerate(passes) if _is_there(brief, unit, each))
            yield ChargerUnit(
                unit.id, charger.bays, charger_minutes(charger.charge_min), fits, there
            )


def _is_there(brief: Brief, unit: Unit, each: Pass) -> bool:
    return brief.is_free(unit, each) and not brief.is_lost(unit, each)


# -- a way out -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Way:
    words: str
    case: Case


def way_out(brief: Brief, case: Case, uses: Sequence[Use], charging: Charging) -> str:
    """Return the smallest change with which every battery lasts, found by solving again: mains at a
    position, a socket, a battery, a charger, in this order; if none is enough, the best of them.
    """
    if not charging.value[0]:
        return ""
    best, best_value = "", charging.value[:2]
    for way in _ways(brief, case, uses, charging):
        value = charging_of(way.case, goals=2).value
        if value[0] == 0:
            return f"{way.words}: then every battery lasts"
        if value < best_value:
            best, best_value = way.words, value
    if not best:
        return (
            "One change is not enough: take a camera out of a pass, or leave more time between them"
        )
    return f"{best}: then {best_value[0]} of {charging.value[0]} still do not last"


def _ways(brief: Brief, case: Case, uses: Sequence[Use], charging: Charging) -> Iterator[_Way]:
    short = short_uses(case, charging)
    item_of = {unit.id: unit.item for unit in brief.kit.units}
    label = {f"{each.id}": each.label for each in brief.shoot.passes}
    for number in short:
        use = uses[number]
        if use.could_be_on_mains:
            dropped = [
                n for n, u in enumerate(uses) if (u.pass_id, u.letter) == (use.pass_id, use.letter)
            ]
            where = label[use.pass_id.partition("/")[2]]
            yield _Way(f"Mains for {use.letter} in {where}", _without(case, dropped))
    yield _Way("One more socket for chargers", replace(case, sockets=case.sockets + 1))
    for item in dict.fromkeys(item_of[uses[number].unit] for number in short):
        name = brief.kit.items_by_id[item].name
        for number in short:
            if item_of[uses[number].unit] == item:
                yield _Way(f"One more {name}", _with_battery(case, number))
        for charger in brief.kit.of_kind(Charger):
            if item in charger.batteries:
                yield _Way(f"One more {charger.name}", _with_charger(brief, case, charger))


def short_uses(case: Case, charging: Charging) -> list[int]:
    """Return the numbers of the uses that do not last."""
    return [
        number
        for number, (before, _, _) in enumerate(states(case, charging.charges))
        if before < case.draws[number].grains
    ]


def _without(case: Case, dropped: Sequence[int]) -> Case:
    gone = set(dropped)
    return replace(case, draws=tuple(d for n, d in enumerate(case.draws) if n not in gone))


def _with_battery(case: Case, number: int) -> Case:
    """Return the case with a fresh battery for a use and what comes after it."""
    unit, fresh = case.draws[number].unit, f"{case.draws[number].unit}+"
    draws = tuple(
        replace(draw, unit=fresh) if n >= number and draw.unit == unit else draw
        for n, draw in enumerate(case.draws)
    )
    chargers = tuple(
        replace(c, units=c.units | {fresh}) if unit in c.units else c for c in case.chargers
    )
    return replace(case, draws=draws, chargers=chargers)


def _with_charger(brief: Brief, case: Case, charger: Charger) -> Case:
    kit = brief.kit
    fits = frozenset(u.id for item in charger.batteries for u in kit.units_by_item.get(item, ()))
    days = frozenset(range(len(brief.shoot.passes)))
    more = ChargerUnit(
        f"{charger.id}+", charger.bays, charger_minutes(charger.charge_min), fits, days
    )
    return replace(case, chargers=(*case.chargers, more))


# -- the answer on the clock -----------------------------------------------------------------------


def states(case: Case, charges: Sequence[Charged]) -> list[tuple[int, int, int]]:
    """Return for each use the charge before it, after it, and before the charge that it was given:
    thousandths of a full pack. A charge brings what its minutes bring.
    """
    by_draw = {charge.draw: charge for charge in charges}
    minutes = {charger.id: charger.minutes for charger in case.chargers}
    left: dict[str, int] = {}
    found = []
    for number, draw in enumerate(case.draws):
        held = before = left.get(draw.unit, FULL)
        charge = by_draw.get(number)
        if charge is not None:
            length = charge.end - charge.start
            before = case.curve.after(minutes[charge.charger], held, length)
        left[draw.unit] = max(0, before - draw.grains)
        found.append((before, left[draw.unit], held))
    return found


class _Telling:
    """The answer as records."""

    def __init__(
        self, brief: Brief, shoot_id: str, case: Case, uses: Sequence[Use], charging: Charging
    ) -> None:
        self.brief, self.shoot_id = brief, shoot_id
        self.case, self.found = case, uses
        self.states = states(case, charging.charges)
        self.minutes = Minutes(brief.shoot)
        self.uses = tuple(
            PackUse(
                pass_id=use.pass_id,
                letter=use.letter,
                unit=use.unit,
                minutes=use.run_min,
                full_min=use.full_min,
                before=share(before),
                after=share(after),
            )
            for use, (before, after, _) in zip(uses, self.states, strict=True)
        )
        self.charges = tuple(map(self._charge, charging.charges))
        lacking = [
            draw.grains - before
            for draw, (before, _, _) in zip(case.draws, self.states, strict=True)
            if before < draw.grains
        ]
        ends = sum(charge.end for charge in charging.charges)
        self.value = (len(lacking), sum(lacking), len(self.charges), ends)
        """What the goals come to; whole minutes may bring more than a search without proof knew."""

    def _charge(self, charge: Charged) -> Charge:
        use, (before, _, held) = self.found[charge.draw], self.states[charge.draw]
        return Charge(
            unit=use.unit,
            bay=f"{charge.charger}/{charge.bay}",
            start=self.minutes.at(charge.start),
            end=self.minutes.at(charge.end),
            from_share=share(held),
            to_share=share(before),
            for_pass=use.pass_id,
            needed_by=self.minutes.at(use.due_at),
        )

    def spares(self) -> Iterator[Spare]:
        """Yield what is left over of each battery that a pass uses."""
        held = {unit.id: FULL for unit in self.brief.kit.units}
        for index, each in enumerate(self.brief.shoot.passes):
            here = [n for n, use in enumerate(self.found) if use.index == index]
            held.update({self.found[n].unit: self.states[n][0] for n in here})
            for battery in self.brief.kit.of_kind(Battery):
                units = {unit.id for unit in self.brief.shared_units(battery.id, each)}
                taken = [self.case.draws[n].grains for n in here if self.found[n].unit in units]
                if taken:
                    yield Spare(
                        pass_id=f"{self.shoot_id}/{each.id}",
                        item=battery.id,
                        units=len(units),
                        held=share(sum(held[unit] for unit in units)),
                        needed=share(sum(taken)),
                    )
            held.update({self.found[n].unit: self.states[n][1] for n in here})
