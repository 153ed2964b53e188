"""What is packed, and into what: things grouped by kind, and the cases that are at hand."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from kitplan.gear.kit import Kit, Unit
from kitplan.gear.records import Accessory, AnyItem, Case, Sound, Support
from kitplan.plan.brought import brought, cases_around, given_by_the_day
from kitplan.plan.records import Plan
from kitplan.shoot.records import Shoot
from kitplan.tables import table
from kitplan.units import bulk_cl, limit_g, load_g, room_cl

User = tuple[str, str]
"""Pass id and camera letter."""
RANKS = {"support": 0, "head": 1, "body": 2, "lens": 2, "adapter": 2}
OTHER_RANK = 3
"""Parts of a rig, and in which order they are needed when it is built."""


@dataclass(frozen=True)
class Nature:
    """How a thing travels."""

    volume_l: float
    is_fragile: bool
    is_long: bool
    is_loose: bool


@dataclass(frozen=True)
class Kind:
    """Units that it makes no difference to tell apart: the same item, owner, home and users."""

    units: tuple[str, ...]
    owner: str
    home: str | None
    users: frozenset[User]
    bulk_cl: int
    wrapped_cl: int
    """The same, wrapped; as much where nothing is fragile."""
    mass_g: int
    is_fragile: bool = False
    is_long: bool = False
    is_part: bool = False
    """A part of a rig: a body, its glass, its stand."""

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.units)


@dataclass(frozen=True)
class Bin:
    """A case at hand."""

    unit: str
    item: str
    owner: str
    room_cl: int
    limit_g: int
    own_g: int
    outside_cl: int
    is_padded: bool = False
    takes_long: bool = False
    is_home: bool = False
    """Something that is packed lives in it."""

    def bulk_cl(self, kind: Kind) -> int:
        """Return the centilitres that one of a kind takes up in it."""
        return kind.wrapped_cl if kind.is_fragile and not self.is_padded else kind.bulk_cl

    def takes(self, kind: Kind) -> bool:
        """Return whether one of a kind fits, alone; length is no question at home."""
        return (
            (not kind.is_long or self.takes_long or kind.home == self.unit)
            and self.bulk_cl(kind) <= self.room_cl
            and kind.mass_g <= self.limit_g
        )


@dataclass(frozen=True)
class Loose:
    """A thing that is carried by hand."""

    unit: str
    mass_g: int
    outside_cl: int
    is_part: bool = False


@dataclass(frozen=True)
class Cargo:
    """Everything of one shoot that has to be packed, and what it is packed into."""

    kinds: tuple[Kind, ...]
    bins: tuple[Bin, ...]
    loose: tuple[Loose, ...] = ()
    at_venue: tuple[str, ...] = ()
    lift_g: int = 10**9
    """What one person lifts by the guideline, and two."""
    lift_two_g: int = 10**9
    vehicle_cl: int | None = None
    vehicle_g: int | None = None

    @cached_property
    def bins_by_unit(self) -> dict[str, Bin]:
        """Cases by unit id."""
        return {each.unit: each for each in self.bins}


def nature_of(item: AnyItem) -> Nature:
    """Return how an item travels: its own facts, else those of the table."""
    row = table("volumes")[_row(item)]
    fragile, long = row.get("is_fragile", False), row.get("is_long", False)
    return Nature(
        row["litres"] if item.volume_l is None else item.volume_l,
        fragile if item.is_fragile is None else item.is_fragile,
        long if item.is_long is None else item.is_long,
        row.get("is_loose", False),
    )


def _row(item: AnyItem) -> str:
    """Return the row of the table that an item stands in."""
    match item:
        case Accessory():
            return item.serves if item.serves in table("volumes") else "other"
        case Sound():
            return item.what
        case Support():
            return _support_row(item)
    return item.kind


def _support_row(item: Support) -> str:
    if item.is_arm:
        return "arm"
    if "floor" not in item.stands_on:
        return "clamp"
    for move in ("track", "walk"):
        if move in item.moves:
            return move
    return "legs" if item.can_stand_alone else "hand"


def cargo_of(plan: Plan, shoot_id: str) -> Cargo:
    """Return what a shoot brings, and the cases that are there for all of its passes."""
    shoot = plan.shoots[shoot_id]
    pass_ids = [each for each in plan.pass_ids() if each.partition("/")[0] == shoot_id]
    units_by_id = {unit.id: unit for unit in plan.kit.units}
    at_hand = {unit.id: unit for unit in _cases_at_hand(plan.kit, shoot)}
    brings = dict.fromkeys(unit for each in pass_ids for unit in brought(plan, each))
    brings |= dict.fromkeys(_inner_cases(brings, units_by_id, at_hand))
    users = _users(plan, pass_ids)
    rules, items = shoot.rules, plan.kit.items_by_id
    kinds: dict[tuple[str, str, str | None, frozenset[User]], list[str]] = {}
    loose: list[Loose] = []
    at_venue: list[str] = []
    for unit_id in brings:
        unit, home = units_by_id[unit_id], _home(unit_id, units_by_id, at_hand)
        item = items[unit.item]
        if home is None and isinstance(item, Sound) and item.what == "desk-feed":
            at_venue.append(unit_id)
        elif home is None and nature_of(item).is_loose:
            litres = nature_of(item).volume_l * rules.outside_factor
            part = item.kind in RANKS
            loose.append(Loose(unit_id, load_g(item.mass_kg), bulk_cl(litres), part))
        else:
            key = (unit.item, unit.owner, home, users.get(unit_id, frozenset()))
            kinds.setdefault(key, []).append(unit_id)
    homes = {home for _, _, home, _ in kinds}
    two_kg = 2 * rules.lift_kg * rules.lift_two_share
    return Cargo(
        tuple(
            _kind(items[item], tuple(units), owner, home, used, rules.wrap_factor)
            for (item, owner, home, used), units in kinds.items()
        ),
        tuple(
            bin_of(items[unit.item], unit, rules.outside_factor, is_home=unit.id in homes)
            for unit in at_hand.values()
        ),
        tuple(loose),
        tuple(at_venue),
        limit_g(rules.lift_kg),
        limit_g(two_kg),
        None if shoot.vehicle.volume_l is None else room_cl(shoot.vehicle.volume_l),
        None if shoot.vehicle.most_load_kg is None else limit_g(shoot.vehicle.most_load_kg),
    )


def _kind(
    item: AnyItem,
    units: tuple[str, ...],
    owner: str,
    home: str | None,
    users: frozenset[User],
    wrap_factor: float,
) -> Kind:
    if isinstance(item, Case):  # what is in an inner case counts its own litres
        return Kind(units, owner, home, users, 0, 0, load_g(item.mass_kg))
    nature = nature_of(item)
    wrapped_l = nature.volume_l * (wrap_factor if nature.is_fragile else 1)
    return Kind(
        units,
        owner,
        home,
        users,
        bulk_cl(nature.volume_l),
        bulk_cl(wrapped_l),
        load_g(item.mass_kg),
        nature.is_fragile,
        nature.is_long,
        item.kind in RANKS,
    )


def bin_of(item: AnyItem, unit: Unit, outside_factor: float, *, is_home: bool = False) -> Bin:
    """Return a case as the packer sees it."""
    assert isinstance(item, Case)  # the kit has been checked: a home is a case
    return Bin(
        unit.id,
        item.id,
        unit.owner,
        room_cl(item.volume_l),
        limit_g(item.most_load_kg),
        load_g(item.mass_kg),
        bulk_cl(item.volume_l * outside_factor),
        item.is_padded,
        item.takes_long,
        is_home,
    )


def _cases_at_hand(kit: Kit, shoot: Shoot) -> Iterator[Unit]:
    """Yield the outermost cases that can be had on the days of all passes."""
    days = {each.start.date() for each in shoot.passes}
    for unit in kit.units:
        if (
            isinstance(kit.items_by_id[unit.item], Case)
            and unit.case is None
            and unit.id not in shoot.past.lost_units
            and all(unit.is_free_on(day, shoot.travel_days) for day in days)
        ):
            yield unit


def _home(unit_id: str, units: dict[str, Unit], at_hand: dict[str, Unit]) -> str | None:
    """Return the outermost case that a unit lives in, if it is at hand."""
    around = cases_around(units, unit_id)
    return around[-1] if around and around[-1] in at_hand else None


def _inner_cases(
    brings: Iterable[str], units: dict[str, Unit], at_hand: dict[str, Unit]
) -> Iterator[str]:
    """Yield the cases within cases that hold something."""
    for unit_id in brings:
        if _home(unit_id, units, at_hand) is not None:
            yield from cases_around(units, unit_id)[:-1]


def _users(plan: Plan, pass_ids: Iterable[str]) -> dict[str, frozenset[User]]:
    found: dict[str, set[User]] = {}
    for pass_id in pass_ids:
        for placement in plan.placements_in(pass_id):
            given = given_by_the_day(plan, pass_id, placement.letter)
            for unit in (*placement.units, *given):
                found.setdefault(unit, set()).add((pass_id, placement.letter))
    return {unit: frozenset(users) for unit, users in found.items()}
