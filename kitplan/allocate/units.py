"""Units and letters, given out after the solver has chosen items.

A unit stays with its position and rig from pass to pass where it can (fewest changes of hands), and
a unit that only its owner may operate goes to its owner. Each pass is an assignment problem per
item, solved exactly.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import count

from ortools.graph.python import linear_sum_assignment

from kitplan.allocate.readback import Chosen
from kitplan.gear.kit import Unit
from kitplan.gear.records import Accessory
from kitplan.options.endurance import is_on_mains
from kitplan.options.needs import Need, all_needs, units_serving
from kitplan.shoot.brief import Brief

AS_BEFORE, SAME_PLACE, SAME_HANDS, OTHER = 0, 1, 2, 3
"""Costs of giving a unit: the plan before had it there; it was there in the pass before; its
operator had it before, or owns it alone; anything else."""
Before = Mapping[tuple[str, str], frozenset[str]]
"""Units that a plan before had, by pass and position."""
FORBIDDEN = 10_000


@dataclass
class Given:
    """Units of one placement."""

    rig: dict[str, str] = field(default_factory=dict)
    """Unit by item."""
    batteries: list[str] = field(default_factory=list)
    cards: list[str] = field(default_factory=list)
    accessories: list[str] = field(default_factory=list)


def give_out(brief: Brief, chosen: tuple[Chosen, ...], before: Before | None = None) -> list[Given]:
    """Return the units of each placement, in the order of the placements; those of a pass that is
    over are what they were.

    Args:
        before: What stands already; it stays where it can.
    """
    given = [_as_it_stood(brief, placement) or Given() for placement in chosen]
    _give_rigs(brief, chosen, given, before or {})
    _give_batteries(brief, chosen, given)
    _give_cards(brief, chosen, given)
    _give_accessories(brief, chosen, given)
    return given


def _as_it_stood(brief: Brief, placement: Chosen) -> Given | None:
    stood = placement.stood
    if stood is None:
        return None
    item_of = {unit.id: unit.item for unit in brief.kit.units}
    return Given(
        rig={item_of[unit]: unit for unit in stood.rig},
        batteries=list(stood.batteries),
        cards=list(stood.cards),
        accessories=list(stood.accessories),
    )


def letters(
    brief: Brief,
    chosen: tuple[Chosen, ...],
    given: list[Given],
    known: Mapping[str, str] | None = None,
) -> list[str]:
    """Return the camera letter of each placement: the safety body is A, then by position.

    Args:
        known: Letters that bodies (by unit id) carry already: they are on tape and cards.
    """
    safety = {role.id for role in brief.roles if role.is_safety}
    order = sorted(range(len(chosen)), key=lambda n: (not safety & set(chosen[n].roles), n))
    by_body = dict(known or {})
    taken = set(by_body.values())
    free = (letter for letter in map(_letter, count()) if letter not in taken)
    for number in order:
        body = given[number].rig[chosen[number].camera.body.id]
        if body not in by_body:
            by_body[body] = next(free)
    return [by_body[g.rig[c.camera.body.id]] for c, g in zip(chosen, given, strict=True)]


def _letter(number: int) -> str:
    """A to Z, then AA, AB ..."""
    first, second = divmod(number, 26)
    return ("" if first == 0 else chr(64 + first)) + chr(65 + second)


# -- rigs ------------------------------------------------------------------------------------------


def _give_rigs(
    brief: Brief, chosen: tuple[Chosen, ...], given: list[Given], before: Before
) -> None:
    at_place: dict[tuple[str, str], list[str]] = {}
    in_hands: dict[tuple[str, str], str] = {}
    for each in brief.shoot.passes:
        users: dict[str, list[int]] = defaultdict(list)
        for number, placement in enumerate(chosen):
            if placement.spot.each.id == each.id:
                for item in placement.items:
                    users[item].append(number)
        now_at_place: dict[tuple[str, str], list[str]] = defaultdict(list)
        for item, numbers in users.items():
            units = brief.free_units(item, each)
            costs = [
                [_cost(chosen[n], item, unit, before, at_place, in_hands) for unit in units]
                for n in numbers
            ]
            for number, unit in zip(numbers, _assign(units, costs), strict=True):
                unit = given[number].rig.setdefault(item, unit)
                placement = chosen[number]
                now_at_place[item, placement.spot.position.id].append(unit)
                if placement.operator:
                    in_hands[item, placement.operator] = unit
        at_place = now_at_place


def _cost(
    placement: Chosen,
    item: str,
    unit: Unit,
    before: Before,
    at_place: dict[tuple[str, str], list[str]],
    in_hands: dict[tuple[str, str], str],
) -> int:
    if unit.owner_only and unit.owner != placement.operator:
        return FORBIDDEN
    if unit.id in before.get(placement.spot.key, ()):
        return AS_BEFORE
    if unit.id in at_place.get((item, placement.spot.position.id), ()):
        return SAME_PLACE
    if placement.operator and in_hands.get((item, placement.operator)) == unit.id:
        return SAME_HANDS
    # the owner's own unit goes to the owner, so that the others stay free for the others
    return SAME_HANDS if unit.owner_only else OTHER


def _assign(units: tuple[Unit, ...], costs: list[list[int]]) -> list[str]:
    """Return a unit for each row at the least total cost."""
    solver = linear_sum_assignment.SimpleLinearSumAssignment()
    size = len(units)
    for row in range(size):  # rows beyond the users take what is left over, at no cost
        for column in range(size):
            cost = costs[row][column] * size + column if row < len(costs) else 0
            solver.add_arc_with_cost(row, column, cost)
    if solver.solve() != solver.OPTIMAL:
        raise RuntimeError("no assignment of units; the stock rules should have seen to it")
    picked = [solver.right_mate(row) for row in range(len(costs))]
    if any(costs[row][column] >= FORBIDDEN for row, column in enumerate(picked)):
        raise RuntimeError("an owner's unit went to somebody else; the stock rules failed")
    return [units[column].id for column in picked]


# -- what rigs depend on ---------------------------------------------------------------------------


def _take(units: Iterable[Unit], taken: set[str], rank: dict[str, int], number: int) -> list[str]:
    """Take units that are not taken, the lowest rank first."""
    free = sorted((u for u in units if u.id not in taken), key=lambda u: rank[u.id])
    picked = [unit.id for unit in free[:number]]
    taken.update(picked)
    return picked


def _take_fresh(
    units: Iterable[Unit], taken: set[str], uses: dict[str, int], number: int
) -> list[str]:
    """Take the least used units: batteries and cards go round."""
    picked = _take(units, taken, uses, number)
    for unit in picked:
        uses[unit] += 1
    return picked


def _give_batteries(brief: Brief, chosen: tuple[Chosen, ...], given: list[Given]) -> None:
    uses: dict[str, int] = defaultdict(int)
    for each in brief.shoot.passes:
        taken: set[str] = set()
        for placement, own in zip(chosen, given, strict=True):
            battery = placement.camera.body.battery
            if placement.spot.each.id == each.id and battery:
                if own.batteries:
                    taken.update(own.batteries)
                    for unit in own.batteries:
                        uses[unit] += 1
                    continue
                number = placement.spot.endurance[placement.column].batteries
                own.batteries = _take_fresh(brief.shared_units(battery, each), taken, uses, number)


def _give_cards(brief: Brief, chosen: tuple[Chosen, ...], given: list[Given]) -> None:
    uses: dict[str, int] = defaultdict(int)
    taken_by_day: dict[object, set[str]] = defaultdict(set)
    for placement, own in zip(chosen, given, strict=True):
        each = placement.spot.each
        item, number = placement.cards
        taken = taken_by_day[brief.day_of(each)]
        if own.cards:
            taken.update(own.cards)
            continue
        own.cards = _take_fresh(brief.shared_units(item, each), taken, uses, number)


def _give_accessories(brief: Brief, chosen: tuple[Chosen, ...], given: list[Given]) -> None:
    """Plates and caps stay with their body, everything else with its position, and nobody else
    takes them first.
    """
    belongs_to: dict[str, str] = {}
    needs = tuple(all_needs(brief))
    for each in brief.shoot.passes:
        taken: set[str] = set()
        for placement, own in zip(chosen, given, strict=True):
            if placement.spot.each.id != each.id:
                continue
            if placement.stood is not None:
                belongs_to.update(_homes(brief, placement, own))
                continue
            for need in needs:
                goes_with_body = need.when in ("has-plate", "has-lens")
                home = placement.spot.position.id
                if goes_with_body:
                    home = own.rig[placement.camera.body.id]
                rank: dict[str, int] = defaultdict(lambda: 1)
                rank.update({unit: 0 if at == home else 2 for unit, at in belongs_to.items()})
                units = units_serving(brief, need, each)
                picked = _take(units, taken, rank, count_needed(placement, need))
                belongs_to.update(dict.fromkeys(picked, home))
                own.accessories += picked


def _homes(brief: Brief, placement: Chosen, own: Given) -> dict[str, str]:
    """Return where the accessories of what stood belong: with its body, or at its position."""
    item_of = {unit.id: brief.kit.items_by_id[unit.item] for unit in brief.kit.units}
    with_body = {n.serves for n in all_needs(brief) if n.when in ("has-plate", "has-lens")}
    body = own.rig[placement.camera.body.id]
    homes = {}
    for unit in own.accessories:
        accessory = item_of[unit]
        goes = isinstance(accessory, Accessory) and accessory.serves in with_body
        homes[unit] = body if goes else placement.spot.position.id
    return homes


def count_needed(placement: Chosen, need: Need) -> int:
    """Return how many of a need's things a placement takes."""
    position, camera = placement.spot.position, placement.camera
    number = 0
    if need.is_for_stand(placement.stand, position):
        number += need.count
    if need.when == "on-mains" and is_on_mains(camera.body, position):
        number += need.count
    if placement.operator is None and need.is_for_unattended(position):
        number += need.count
    if need.when == "has-lens" and camera.lens is not None:
        number += need.count
    return number
