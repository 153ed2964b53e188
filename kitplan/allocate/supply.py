"""Rules of the stock: items, what rigs depend on, batteries with the gaps' charging, cards."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from typing import Any

from ortools.sat.python.cp_model import IntVar

from kitplan.allocate.variables import CardChoice, Slot, Variables, total
from kitplan.gear.kit import Unit
from kitplan.gear.records import Battery, Charger
from kitplan.options.endurance import is_on_mains
from kitplan.options.needs import Need, binding_needs, units_serving
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass


def add_items_in_stock(x: Variables) -> None:
    """No pass uses more of an item than there are units that day; a unit that only its owner may
    operate counts only where the owner operates: uses - sum(owner's uses) <= units for all.
    """
    for each in x.options.brief.shoot.passes:
        slots = x.slots_in(each.id)
        for item, uses in _uses_by_item(slots).items():
            _add_stock(x, item, uses, each)


def _uses_by_item(slots: tuple[Slot, ...]) -> dict[str, list[tuple[Slot, list[IntVar]]]]:
    uses: dict[str, dict[int, list[IntVar]]] = defaultdict(lambda: defaultdict(list))
    for number, slot in enumerate(slots):
        for camera, var in slot.camera_items():
            for item in camera.items:
                uses[item][number].append(var)
        for stand, var in slot.stand_items():
            for item in stand.items:
                uses[item][number].append(var)
    return {
        item: [(slots[number], found) for number, found in by_slot.items()]
        for item, by_slot in uses.items()
    }


def _add_stock(x: Variables, item: str, uses: list[tuple[Slot, list[IntVar]]], each: Pass) -> None:
    brief, day = x.options.brief, x.options.brief.day_of(each)
    used = total(total(found) for _, found in uses)
    for_all: list[Unit] = []
    bound: dict[str, list[Unit]] = defaultdict(list)
    for unit in brief.free_units(item, each):
        (bound[unit.owner] if unit.owner_only else for_all).append(unit)
    owned: list[IntVar] = []
    for owner, units in bound.items():
        by_owner = []
        for slot, found in uses:
            if owner in slot.operators:
                var = x.model.new_bool_var(f"own {item}[{slot.name},{owner}]")
                x.model.add(var <= total(found))
                x.model.add(var <= slot.operators[owner])
                by_owner.append(var)
        x.model.add(total(by_owner) <= x.there(units, day))
        owned.extend(by_owner)
    x.model.add(used - total(owned) <= x.there(for_all, day))


def add_needs_in_stock(x: Variables) -> None:
    """Plates, bonds, sandbags, leads: for each kind and pass, sum(needed) <= units."""
    brief = x.options.brief
    by_kind: dict[tuple[str, str | None], list[Need]] = defaultdict(list)
    for need in binding_needs(brief):
        by_kind[need.serves, need.plate].append(need)
    for each in brief.shoot.passes:
        for needs in by_kind.values():
            needed = total(_needed(s, need) for need in needs for s in x.slots_in(each.id))
            units = units_serving(brief, needs[0], each)
            x.model.add(needed <= x.there(units, brief.day_of(each)))


def _needed(slot: Slot, need: Need) -> Any:
    """How many of a need's things a slot takes, as an expression."""
    position = slot.spot.position
    stands = total(
        need.count * var for stand, var in slot.stand_items() if need.is_for_stand(stand, position)
    )
    cameras = total(
        need.count * var
        for camera, var in slot.camera_items()
        if need.when == "on-mains" and is_on_mains(camera.body, position)
    )
    locked = need.count * slot.locked_off if need.is_for_unattended(position) else 0
    return stands + cameras + locked


def add_batteries_last(x: Variables) -> None:
    """Charged batteries suffice in every pass: used(t) <= stock(t), where
    stock(t+1) <= stock(t) - used(t) + charged in the gap, and stock <= units owned.
    """
    brief = x.options.brief
    for battery in brief.kit.of_kind(Battery):
        stock: Any = None
        used: Any = 0
        for index, each in enumerate(brief.shoot.passes):
            units = brief.shared_units(battery.id, each)
            level = x.model.new_int_var(0, len(units), f"charged {battery.id}[{each.id}]")
            if x.given:
                x.model.add(level <= x.there(units, brief.day_of(each)))
            if index:
                x.model.add(level <= stock - used + charged_in_gap(x, battery.id, index - 1))
            used = _batteries_used(x, battery.id, each)
            x.model.add(used <= level)
            stock = level


def _batteries_used(x: Variables, battery: str, each: Pass) -> Any:
    return total(
        lasting.batteries * var
        for slot in x.slots_in(each.id)
        for (camera, var), lasting in zip(slot.camera_items(), slot.spot.endurance, strict=True)
        if camera.body.battery == battery and lasting.batteries
    )


def charged_in_gap(x: Variables, battery: str, index: int) -> Any:
    """Batteries that all chargers bring from flat to full in the gap after pass number `index`."""
    brief = x.options.brief
    this, following = brief.shoot.passes[index], brief.shoot.passes[index + 1]
    minutes = max(0.0, (following.start - brief.shoot.end_of(this)).total_seconds() / 60)
    return sum(
        x.there(_charging(brief, charger, this, following), brief.day_of(this))
        * charger.bays
        * int(minutes // charger.charge_min)
        for charger in brief.kit.of_kind(Charger)
        if battery in charger.batteries
    )


def _charging(brief: Brief, charger: Charger, this: Pass, following: Pass) -> list[Unit]:
    """Units of a charger that work in the gap between two passes."""
    units = brief.free_units(charger.id, this)
    return [unit for unit in units if not brief.is_lost(unit, following)]


def add_cards_in_stock(x: Variables) -> None:
    """Every camera writes to cards of one kind that hold its pass; a card that is full is not used
    again that day (it is formatted only after two copies): sum(cards) <= units per day, less those
    that passes which are over have filled.
    """
    brief = x.options.brief
    by_day: dict[tuple[str, date], list[Any]] = defaultdict(list)
    for each in brief.shoot.passes:
        if brief.shoot.past.is_over(each.id):
            continue  # those cards are full
        for choice, uses in _card_demands(x, each).items():
            chosen = [x.cards[each.id, choice, item] for item, _ in choice]
            x.model.add(total(uses) == total(chosen))
            for item, number in choice:
                by_day[item, brief.day_of(each)].append(number * x.cards[each.id, choice, item])
    for (item, day), terms in by_day.items():
        x.model.add(total(terms) <= x.there(brief.fresh_cards(item, day), day))


def _card_demands(x: Variables, each: Pass) -> dict[CardChoice, list[IntVar]]:
    """Camera decisions grouped by what cards would do for them."""
    demands: dict[CardChoice, list[IntVar]] = defaultdict(list)
    for slot in x.slots_in(each.id):
        for var, lasting in zip(slot.cameras, slot.spot.endurance, strict=True):
            demands[lasting.card_choice].append(var)
    return demands


RULES = (
    add_items_in_stock,
    add_needs_in_stock,
    add_batteries_last,
    add_cards_in_stock,
)
