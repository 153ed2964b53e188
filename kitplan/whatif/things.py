"""The things of a brief that can be taken away, and those that can be added."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kitplan.gear.kit import Kit, Unit
from kitplan.options.spots import Options, find_options
from kitplan.shoot.brief import Brief
from kitplan.whatif.changed import (
    with_lent,
    with_one_more,
    without_pass,
    without_person,
    without_position,
    without_unit,
)
from kitplan.whatif.sweep import Result
from kitplan.whatif.worth import NOWHERE, Variant, lost_with

RIG_KINDS = ("body", "lens", "adapter", "head", "support")
SMALL_KINDS = ("battery", "media", "accessory")
"""Worth a question only where a plan uses all there are."""
SEVERAL = " and "

# -- what can be taken away ------------------------------------------------------------------------


def things_of(brief: Brief, base: Result) -> tuple[Variant, ...]:
    """Return what a plan could have to do without: items, people, positions, passes."""
    found = (*_items(brief, base), *_people(brief), *_positions(brief, base), *_passes(brief))
    return tuple(lost_with(brief, thing) for thing in found)


def _items(brief: Brief, base: Result) -> Iterator[Variant]:
    """One unit of each item: of rigs, of small things that are all used, of chargers."""
    for item in brief.kit.items:
        units = _usable(brief, item.id)
        ids = frozenset(unit.id for unit in units)
        is_small = item.kind in SMALL_KINDS and ids <= set(base.units)
        is_charger = item.kind == "charger" and len(brief.shoot.passes) > 1
        if units and (item.kind in RIG_KINDS or is_small or is_charger):
            last = units[-1].id
            label = item.name if len(units) == 1 else f"one of {len(units)} {item.name}"
            changed = without_unit(brief, last)
            # No placement shows its charger, and with another shutter none of them is possible.
            is_shown = not is_charger and changed.shutter == brief.shutter
            held = ids if is_shown else frozenset()
            yield Variant("item", item.id, label, item.kind, changed, units=held)


def _usable(brief: Brief, item_id: str) -> list[Unit]:
    """Units of an item that are free on the day of some pass."""
    units = brief.kit.units_by_item.get(item_id, ())
    passes = brief.shoot.passes
    return [unit for unit in units if any(brief.is_free(unit, each) for each in passes)]


def _people(brief: Brief) -> Iterator[Variant]:
    """Everybody who is there for some pass: whoever does not operate minds, helps and carries."""
    there = {person.id for each in brief.shoot.passes for person in brief.people(each)}
    for person in brief.shoot.crew:
        if person.id in there:
            changed = without_person(brief, person.id)
            yield Variant("person", person.id, person.label, "person", changed)


def _positions(brief: Brief, base: Result) -> Iterator[Variant]:
    for position in brief.shoot.venue.positions:
        if position.id in base.positions:
            changed = without_position(brief, position.id)
            yield Variant("position", position.id, position.label, "position", changed)


def _passes(brief: Brief) -> Iterator[Variant]:
    if len(brief.shoot.passes) > 1:
        for each in brief.shoot.passes:
            yield Variant("pass", each.id, each.label, "pass", without_pass(brief, each.id))


# -- what can be added -----------------------------------------------------------------------------


def one_more_of_each(brief: Brief) -> tuple[Variant, ...]:
    """Return one more unit of each body, lens, adapter, head and support that is owned."""
    possible = possible_items(find_options(brief))
    return tuple(
        Variant(
            "more",
            item.id,
            f"one more {item.name}",
            item.kind,
            with_one_more(brief, item.id),
            settled="" if item.id in possible else NOWHERE,
        )
        for item in brief.kit.items
        if item.kind in RIG_KINDS and _usable(brief, item.id)
    )


def both_more(brief: Brief, one: Variant, other: Variant) -> Variant:
    """Return one more of two items."""
    return _together(one, other, with_one_more(with_one_more(brief, one.id), other.id))


def hired(brief: Brief, lent: Kit) -> tuple[str, ...]:
    """Return in words the units of another kit that would have to be hired."""
    items = {**lent.items_by_id, **brief.kit.items_by_id}
    return tuple(f"{items[u.item].name} ({u.id})" for u in lent.units if u.hire is not None)


def without_hired(lent: Kit) -> Kit:
    """Return a kit with only the units that need not be hired."""
    return Kit(items=lent.items, units=tuple(unit for unit in lent.units if unit.hire is None))


def lent_things(brief: Brief, lent: Kit) -> tuple[Variant, ...]:
    """Return each unit of another kit that some camera could use.

    Its price is what it costs to hire, if it has to be, otherwise its value.
    """
    whole = with_lent(brief, lent, (unit.id for unit in lent.units))
    possible = possible_items(find_options(whole))
    is_bound = whole.shutter == brief.shutter  # another shutter would change what is possible
    found = []
    for unit in lent.units:
        item = whole.kit.items_by_id[unit.item]
        cannot = is_bound and item.kind in RIG_KINDS and item.id not in possible
        settled = NOWHERE if cannot or item.kind in ("case", "sound") else ""
        changed = with_lent(brief, lent, [unit.id])
        price = unit.value if unit.hire is None else unit.hire
        found.append(
            Variant("more", unit.id, item.name, item.kind, changed, price=price, settled=settled)
        )
    return tuple(found)


def both_lent(brief: Brief, lent: Kit, one: Variant, other: Variant) -> Variant:
    """Return two units of another kit together."""
    return _together(one, other, with_lent(brief, lent, [one.id, other.id]))


def _together(one: Variant, other: Variant, brief: Brief) -> Variant:
    prices = [each.price for each in (one, other) if each.price is not None]
    return Variant(
        "more",
        f"{one.id}{SEVERAL}{other.id}",
        f"{one.label}{SEVERAL}{other.label}",
        "pair",
        brief,
        price=sum(prices) if len(prices) == 2 else None,
    )


def possible_items(options: Options) -> frozenset[str]:
    """Return the items that are in some camera or stand that can work somewhere."""
    return frozenset(_in_use(options))


def _in_use(options: Options) -> Iterator[str]:
    for spot in options.spots:
        works = spot.shots.possible("operated") | spot.shots.possible("locked-off")
        for column, camera in enumerate(spot.cameras):
            if works[:, column].any():
                yield from camera.items
        yield from _items_of(stand.items for stand in spot.stands)


def _items_of(groups: Iterable[tuple[str, ...]]) -> Iterator[str]:
    for group in groups:
        yield from group
