"""What does not fit, and the smallest change that makes it fit, found by packing again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from kitplan.day.cases.pack import Packed, pack
from kitplan.day.cases.things import Bin, Cargo, Kind, bin_of
from kitplan.gear.kit import Unit
from kitplan.gear.records import Case
from kitplan.plan.day.cases import GOALS, Remedy
from kitplan.plan.records import Plan

EFFORT = 1.0
FIT_ONLY, FEW_CASES = GOALS.index("left") + 1, GOALS.index("opened") + 1
"""Goals up to how much is left, and up to how many cases are opened."""


def left_of(cargo: Cargo, packed: Packed) -> tuple[str, ...]:
    """Return the units that are neither in a case nor carried to the vehicle."""
    rest = [
        unit
        for index, kind in enumerate(cargo.kinds)
        for unit in kind.units[_number(packed, index) :]
    ]
    return (*rest, *(each.unit for each in cargo.loose if each.unit not in packed.loaded))


def _number(packed: Packed, index: int) -> int:
    return sum(number for (k, _), number in packed.packing.items() if k == index)


def remedy_of(plan: Plan, shoot_id: str, cargo: Cargo, packed: Packed) -> Remedy | None:
    """Return the first single change after which nothing is left; None where all fits already or
    no change was found.

    In this order: a bag for what no owned case takes, however empty; one more of a case that is
    owned, the smallest that helps; a larger vehicle or a second trip; a camera less that no must
    depends on, the lightest first.
    """
    if packed.fits:
        return None
    models = _case_models(plan, shoot_id)
    homeless = [kind for kind in cargo.kinds if not _fits_some(kind, [*cargo.bins, *models])]
    if homeless:
        return _bag(homeless)
    for model in models:
        if _fits(replace(cargo, bins=(*cargo.bins, model))):
            return Remedy(add=model.item)
    if cargo.vehicle_cl is not None or cargo.vehicle_g is not None:
        roomy = pack(
            replace(cargo, vehicle_cl=None, vehicle_g=None), goals=FEW_CASES, effort=EFFORT
        )
        if roomy.fits:
            bulk, mass = travelling(cargo, roomy)
            return Remedy(vehicle_l=bulk / 100, vehicle_kg=mass / 1000)
    for letter in _letters_without_must(plan, shoot_id, cargo):
        if _fits(_without(cargo, letter)):
            return Remedy(without=letter)
    return None


def travelling(cargo: Cargo, packed: Packed) -> tuple[int, int]:
    """Return the centilitres and grams that cases and loose things take in a vehicle."""
    bins = [cargo.bins_by_unit[unit] for unit in {unit for _, unit in packed.packing}]
    loose = [each for each in cargo.loose if each.unit in packed.loaded]
    bulk = sum(each.outside_cl for each in bins) + sum(each.outside_cl for each in loose)
    mass = sum(each.own_g for each in bins) + sum(each.mass_g for each in loose)
    return bulk, mass + sum(cargo.kinds[k].mass_g * n for (k, _), n in packed.packing.items())


def _fits(cargo: Cargo) -> bool:
    return pack(cargo, goals=FIT_ONLY, effort=EFFORT).fits


def _fits_some(kind: Kind, bins: list[Bin]) -> bool:
    return any(each.takes(kind) for each in bins)


def _case_models(plan: Plan, shoot_id: str) -> list[Bin]:
    """Return one more of each case of the kit, the smallest first."""
    factor = plan.shoots[shoot_id].rules.outside_factor
    owned = {unit.item: unit.owner for unit in reversed(plan.kit.units)}
    models = [
        bin_of(item, Unit(id=f"{item.id[:55]}-more", item=item.id, owner=owned[item.id]), factor)
        for item in plan.kit.of_kind(Case)
        if item.id in owned
    ]
    return sorted(models, key=lambda each: (each.room_cl, each.item))


def _bag(kinds: list[Kind]) -> Remedy:
    return Remedy(
        bag_l=sum(kind.bulk_cl * kind.count for kind in kinds) / 100,
        bag_is_long=any(kind.is_long for kind in kinds),
    )


def _letters_without_must(plan: Plan, shoot_id: str, cargo: Cargo) -> Iterator[str]:
    """Yield the cameras that no must role depends on in any pass, the lightest first."""
    shoot = plan.shoots[shoot_id]
    musts = {role.id for role in shoot.roles if role.priority == "must"}
    here = [p for p in plan.placements if p.pass_id.partition("/")[0] == shoot_id]
    bound = {p.letter for p in here if musts & set(p.roles) or "safety" in p.roles}
    masses: dict[str, int] = {p.letter: 0 for p in here if p.letter not in bound}
    for kind in cargo.kinds:
        for letter in {letter for _, letter in kind.users} & masses.keys():
            masses[letter] += kind.mass_g * kind.count
    yield from sorted(masses, key=lambda letter: (masses[letter], letter))


def _without(cargo: Cargo, letter: str) -> Cargo:
    """Return the cargo without what only one camera uses."""
    kinds = tuple(k for k in cargo.kinds if {one for _, one in k.users} != {letter})
    return replace(cargo, kinds=kinds)
