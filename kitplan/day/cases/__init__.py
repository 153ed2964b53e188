"""Packing: everything of a shoot into the cases that are owned, and in which order it is loaded."""

from __future__ import annotations

from collections.abc import Mapping

from kitplan.day.cases.pack import Packed, pack
from kitplan.day.cases.remedy import left_of, remedy_of, travelling
from kitplan.day.cases.things import OTHER_RANK, RANKS, Cargo, cargo_of
from kitplan.plan.brought import brought, cases_around
from kitplan.plan.day.cases import CasePlan, Hands, Load, PackedCase
from kitplan.plan.records import Plan

__all__ = ["packed_cases"]


def packed_cases(plan: Plan) -> CasePlan:
    """Return the packing of each shoot of a plan: the best one, with proof or bounds."""
    return CasePlan(loads=tuple(_load(plan, shoot_id) for shoot_id in plan.shoots))


def _load(plan: Plan, shoot_id: str) -> Load:
    cargo = cargo_of(plan, shoot_id)
    packed = pack(cargo)
    units = _units_by_case(cargo, packed)
    cases = tuple(_case(cargo, case, inside) for case, inside in units.items())
    by_hand = tuple(each.unit for each in cargo.loose if each.unit in packed.loaded)
    bulk, mass = travelling(cargo, packed)
    first = _first_needed(plan, shoot_id)
    masses = {each.case: round(each.gross_kg * 1000) for each in cases}
    masses |= {each.unit: each.mass_g for each in cargo.loose if each.unit in by_hand}
    needed = {unit: first[unit] for unit in by_hand}
    needed |= {case: min(first[unit] for unit in inside) for case, inside in units.items()}
    return Load(
        shoot=shoot_id,
        cases=cases,
        by_hand=by_hand,
        at_venue=cargo.at_venue,
        left=left_of(cargo, packed),
        remedy=remedy_of(plan, shoot_id, cargo, packed),
        order=loading_order(needed, masses),
        volume_l=bulk / 100,
        mass_kg=mass / 1000,
        value=packed.value,
        bound=packed.bound,
        is_proven=packed.is_proven,
    )


def _units_by_case(cargo: Cargo, packed: Packed) -> dict[str, tuple[str, ...]]:
    """Return what is in each case; of a kind the first ones go into the first cases."""
    waiting = {index: list(kind.units) for index, kind in enumerate(cargo.kinds)}
    found: dict[str, list[str]] = {each.unit: [] for each in cargo.bins}
    for case, inside in found.items():
        for index in waiting:
            for _ in range(packed.packing.get((index, case), 0)):
                inside.append(waiting[index].pop(0))
    return {case: tuple(inside) for case, inside in found.items() if inside}


def _case(cargo: Cargo, case: str, units: tuple[str, ...]) -> PackedCase:
    each = cargo.bins_by_unit[case]
    kinds = {unit: kind for kind in cargo.kinds for unit in kind.units}
    gross_g = each.own_g + sum(kinds[unit].mass_g for unit in units)
    hands: tuple[Hands, Hands, Hands] = (1, 2, 3)
    return PackedCase(
        case=case,
        units=units,
        wrapped=tuple(u for u in units if kinds[u].is_fragile and not each.is_padded),
        used_l=sum(each.bulk_cl(kinds[unit]) for unit in units) / 100,
        gross_kg=gross_g / 1000,
        hands=hands[(gross_g > cargo.lift_g) + (gross_g > cargo.lift_two_g)],
    )


def _first_needed(plan: Plan, shoot_id: str) -> dict[str, tuple[int, int]]:
    """Return when each unit is needed first: the pass, then its place in the building of a camera.

    What lies in a pouch of its own is needed when the pouch is.
    """
    items = plan.kit.items_by_id
    units_by_id = {unit.id: unit for unit in plan.kit.units}
    found: dict[str, tuple[int, int]] = {}
    own = (each for each in plan.pass_ids() if each.partition("/")[0] == shoot_id)
    for number, pass_id in enumerate(own):
        for unit_id in brought(plan, pass_id):
            need = number, RANKS.get(items[units_by_id[unit_id].item].kind, OTHER_RANK)
            for each in (unit_id, *cases_around(units_by_id, unit_id)):
                found[each] = min(found.get(each, need), need)
    return found


def loading_order(
    needed: Mapping[str, tuple[int, int]], mass_g: Mapping[str, int]
) -> tuple[str, ...]:
    """Return in which order things are loaded: what is needed first comes last, the heavy first."""

    def rank(unit: str) -> tuple[int, int, int, str]:
        number, place = needed[unit]
        return -number, -place, -mass_g[unit], unit

    return tuple(sorted(needed, key=rank))
