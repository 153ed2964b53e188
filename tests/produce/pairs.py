"""Tiny pairs of shoots that share a kit, and what is best for both by trying every division."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import product
from random import Random

from kitplan.allocate.pool import WHOLE
from kitplan.gear.kit import Away, Kit, Unit
from kitplan.plan.pool import Way
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role
from tests.oracle import Values, best_plan
from tests.small import at, body, optic, person, position, role, small_brief, small_kit

Pair = tuple[Brief, Brief]
Counts = tuple[int, ...]
SCARCE = ("cam", "long", "legs", "cell", "card")
MOST_RIGS = 2
"""Positions of a show; a rig takes one body, one stand, one cell and one card."""
ROLES = (
    role("close"),
    role("face", sizes=("CU", "MCU")),
    role("held", manner="operated"),
    role("want", priority="want", weight=2),
    role("face-want", sizes=("CU", "MCU"), priority="want", weight=3),
    role("nice", sizes=("CU",), priority="nice"),
)
"""Medium shots that either camera takes, and closer ones that only the long one does."""


def random_pair(seed: int) -> Pair:
    """Return two shows of the same evening, always the same ones for a seed."""
    chance = Random(seed)
    counts = {"cam": chance.randint(1, 2), "long": 1, "legs": 4, "cell": 4, "card": 4}
    short = chance.choice(("legs", "cell", "card", ""))
    if short:
        counts[short] = chance.randint(1, 2)
    long = body("long", built_in=optic(focal_max_mm=250), mass_kg=chance.choice((0.5, 2)))
    kit = small_kit(body("cam"), long, counts=counts)
    return (
        small_brief(kit, title="First", **_parts(chance, "ann")),
        small_brief(kit, title="Second", **_parts(chance, "cy")),
    )


def _parts(chance: Random, name: str) -> dict[str, object]:
    places = chance.choice((("front",), ("front", "left")))
    roles: list[Role] = chance.sample(ROLES, chance.randint(0, 2))
    crew = (person(name),) if chance.random() < 0.7 else ()
    return {"positions": tuple(map(position, places)), "roles": tuple(roles), "crew": crew}


# -- every division --------------------------------------------------------------------------------


def best_division(pair: Pair, way: Way) -> tuple[int, ...]:
    """Return the best that any division of the units gives, goal by goal as the way counts."""
    owned = tuple(len(pair[0].kit.units_by_item[item]) for item in SCARCE)
    value_of = cache(lambda side, counts: best_plan(with_units(pair[side], counts)).values)
    alone = (value_of(0, owned), value_of(1, owned))
    found = (
        judged(way, alone, (value_of(0, mine), value_of(1, yours)))
        for mine, yours in _divisions(owned)
    )
    return max(found)


def judged(way: Way, alone: tuple[Values, Values], now: tuple[Values, Values]) -> tuple[int, ...]:
    """Return what the pool maximises, in strict order.

    In order: all goals of the first before those of the second. Balanced: sums, and of thinnest
    song and viewpoints before the sum the smaller share of what each could have alone.
    """
    if way == "in-order":
        return (*now[0], *now[1])
    found: list[int] = []
    for goal in Values._fields:
        had, has = ([getattr(each, goal) for each in values] for values in (alone, now))
        if goal in ("thinnest", "viewpoints"):
            shares = [WHOLE * b // a for a, b in zip(had, has, strict=True) if a]
            found.append(min([WHOLE, *shares]))
        found.append(sum(has))
    return tuple(found)


def _divisions(owned: Counts) -> Iterator[tuple[Counts, Counts]]:
    """Yield the divisions that differ: two of a thing are all that either show can use."""
    some = (range(n + 1) if n < 2 * MOST_RIGS else (MOST_RIGS,) for n in owned)
    for mine in product(*some):
        yield mine, tuple(n - m for n, m in zip(owned, mine, strict=True))


def with_units(brief: Brief, counts: Counts) -> Brief:
    """Return a brief with so many units of each scarce item on the day of the show."""
    gone = Away(begins=at(9).date(), ends=at(9).date(), why="the other shoot")
    left = dict(zip(SCARCE, counts, strict=True))
    units: list[Unit] = []
    for unit in brief.kit.units:
        left[unit.item] -= 1
        away = (gone,) if left[unit.item] < 0 else ()
        units.append(unit.model_copy(update={"away": away}))
    return Brief(brief.shoot, Kit(items=brief.kit.items, units=tuple(units)))
