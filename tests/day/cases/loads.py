"""Small random loads, and the best packing of one by trying every single one.

The exhaustive search tells every unit apart and counts by words of its own; it shares only the
records of a load with the packer.
"""

from __future__ import annotations

from itertools import product
from math import ceil
from random import Random

from kitplan.day.cases.model import STEP_G
from kitplan.day.cases.things import Bin, Cargo, Kind, Loose

OWNERS = ("ann", "ben")
USERS = (("run", "A"), ("show", "A"), ("show", "B"))


def kind(*units: str, **facts: object) -> Kind:
    """Return things of 1 litre and 1 kg that Ann owns, without a home; nobody uses them."""
    given: dict[str, object] = {
        "owner": "ann",
        "home": None,
        "users": frozenset(),
        "bulk_cl": 100,
        "mass_g": 1000,
    }
    given |= facts
    given.setdefault("wrapped_cl", given["bulk_cl"])
    return Kind(units=units, **given)  # type: ignore[arg-type]


def case(unit: str, **facts: object) -> Bin:
    """Return a crate of Ann's of 10 litres that carries 10 kg and weighs 1 kg."""
    given: dict[str, object] = {
        "item": "crate",
        "owner": "ann",
        "room_cl": 1000,
        "limit_g": 10_000,
        "own_g": 1000,
        "outside_cl": 1300,
    }
    return Bin(unit=unit, **{**given, **facts})  # type: ignore[arg-type]


def random_load(seed: int) -> Cargo:
    """Return up to six things and three cases in which every rule binds now and then."""
    random = Random(seed)
    bins: list[Bin] = []
    for number in range(random.randint(1, 3)):
        alike = bins and random.random() < 0.4
        bins.append(
            case(
                f"case-{number}",
                item=bins[0].item if alike else f"item-{number}",
                owner=bins[0].owner if alike else random.choice(OWNERS),
                room_cl=bins[0].room_cl if alike else random.randint(3, 12) * 100,
                limit_g=bins[0].limit_g if alike else random.randint(3, 14) * 1000,
                own_g=bins[0].own_g if alike else random.randint(1, 4) * 700,
                outside_cl=bins[0].outside_cl if alike else random.randint(5, 15) * 100,
                is_padded=bins[0].is_padded if alike else random.random() < 0.5,
                takes_long=bins[0].takes_long if alike else random.random() < 0.4,
            )
        )
    kinds: list[Kind] = []
    while sum(each.count for each in kinds) < random.randint(2, 6):
        count = random.choice((1, 1, 2))
        bulk, fragile = random.randint(1, 6) * 100, random.random() < 0.4
        kinds.append(
            kind(
                *(f"thing-{len(kinds)}-{n}" for n in range(count)),
                owner=random.choice(OWNERS),
                home=random.choice(bins).unit if random.random() < 0.3 else None,
                users=frozenset(random.sample(USERS, random.randint(0, 2))),
                bulk_cl=bulk,
                wrapped_cl=bulk * 3 // 2 if fragile else bulk,
                mass_g=random.randint(1, 60) * 100,
                is_fragile=fragile,
                is_long=random.random() < 0.2,
                is_part=random.random() < 0.4,
            )
        )
    homes = {each.home for each in kinds}
    facts = {each.unit: {**vars(each), "is_home": each.unit in homes} for each in bins}
    loose = [Loose("loose", random.randint(1, 5) * 1000, 400, random.random() < 0.5)]
    is_tight = random.random() < 0.3
    return Cargo(
        tuple(kinds),
        tuple(Bin(**each) for each in facts.values()),
        tuple(loose[: random.randint(0, 1)]),
        lift_g=random.randint(4, 10) * 1000,
        lift_two_g=random.randint(10, 13) * 1000,
        vehicle_cl=random.randint(10, 40) * 100 if is_tight else None,
        vehicle_g=random.randint(5, 25) * 1000 if is_tight else None,
    )


def best_values(cargo: Cargo) -> tuple[int, ...]:
    """Return what the goals come to at best, over all ways to put each thing anywhere."""
    things = [each for each in cargo.kinds for _ in each.units]
    places = [None, *cargo.bins]
    return min(
        value
        for where in product(places, repeat=len(things))
        for loaded in product((False, True), repeat=len(cargo.loose))
        if (value := _value(cargo, list(zip(things, where, strict=True)), loaded)) is not None
    )


def _value(
    cargo: Cargo, rows: list[tuple[Kind, Bin | None]], loaded: tuple[bool, ...]
) -> tuple[int, ...] | None:
    """Return the goals of one packing; None where a rule forbids it."""
    inside: dict[str, list[Kind]] = {}
    for thing, where in rows:
        if where is not None:
            if thing.is_long and not where.takes_long and thing.home != where.unit:
                return None
            inside.setdefault(where.unit, []).append(thing)
    used = [each for each in cargo.bins if each.unit in inside]
    gross, spread, foreign, heaviest, wrapped, hands = 0, set(), set(), 0, 0, 0
    for each in used:
        held = inside[each.unit]
        wraps = [thing.is_fragile and not each.is_padded for thing in held]
        bulk = sum(t.wrapped_cl if w else t.bulk_cl for t, w in zip(held, wraps, strict=True))
        mass = sum(thing.mass_g for thing in held)
        if bulk > each.room_cl or mass > each.limit_g:
            return None
        gross += mass + each.own_g
        wrapped += sum(wraps)
        hands += (mass + each.own_g > cargo.lift_g) + (mass + each.own_g > cargo.lift_two_g)
        spread |= {(each.unit, user) for thing in held for user in thing.users}
        foreign |= {(each.unit, thing.owner) for thing in held if thing.owner != each.owner}
        if any(thing.home != each.unit for thing in held):
            heaviest = max(heaviest, ceil((mass + each.own_g) / STEP_G))
    carried = [one for one, is_in in zip(cargo.loose, loaded, strict=True) if is_in]
    bulk = sum(each.outside_cl for each in used) + sum(one.outside_cl for one in carried)
    gross += sum(one.mass_g for one in carried)
    if cargo.vehicle_cl is not None and bulk > cargo.vehicle_cl:
        return None
    if cargo.vehicle_g is not None and gross > cargo.vehicle_g:
        return None
    rest = [thing.is_part for thing, where in rows if where is None]
    rest += [one.is_part for one in cargo.loose if one not in carried]
    away = sum(t.home is not None and w is not None and t.home != w.unit for t, w in rows)
    opened = sum(not each.is_home for each in used)
    return (sum(rest), len(rest), away, opened, hands, wrapped, len(spread), len(foreign), heaviest)
