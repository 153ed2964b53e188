"""Small random days of charging, and the best of each by trying everything.

Shares are fractions here and each charge is followed minute by minute of its own curve, so that
nothing is shared with the model but the records.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise, product
from math import floor
from random import Random

from kitplan.day.power.curve import Curve
from kitplan.day.power.model import Case, ChargerUnit, Draw

Made = tuple[str, int, int] | None
"""Charger, start and end; None where no charge is made."""


def random_case(seed: int) -> Case:
    """Return a day of two to four passes with one to three packs, at most three charges."""
    draw = Random(seed)
    passes, now = [], 0
    for _ in range(draw.choice((2, 2, 3))):
        length = draw.randint(2, 4)
        passes.append((now, now + length))
        now += length + draw.randint(3, 6)
    packs = [f"p{n}" for n in range(draw.choice((1, 2, 3)))]
    draws: list[Draw] = []
    charges, seen = 0, set()
    for index, (begin, end) in enumerate(passes):
        for pack in packs:
            if draw.random() < 0.85 and (pack not in seen or charges < 3):
                charges += pack in seen
                seen.add(pack)
                grains = draw.choice((300, 500, 700, 850, 1000, 1100))
                draws.append(Draw(pack, grains, begin - draw.choice((0, 0, 1)), end, index))
    chargers = tuple(
        _charger(draw, f"c{n}", packs, len(passes)) for n in range(draw.choice((1, 2)))
    )
    hands = [(one[1], other[0]) for one, other in pairwise(passes)]
    if draw.random() < 0.3:
        hands = [(begin + 1, end) for begin, end in hands]
    return Case(
        draws=tuple(draws),
        chargers=chargers,
        curve=Curve(*draw.choice(((700, 500), (800, 600), (500, 500)))),
        hands=(*hands, (passes[-1][1], passes[-1][1] + 5)),
        begins=tuple(begin for begin, _ in passes[1:]),
        sockets=draw.choice((1, 2, 2)),
    )


def _charger(draw: Random, name: str, packs: list[str], passes: int) -> ChargerUnit:
    fits = frozenset(pack for pack in packs if draw.random() < 0.8)
    days = frozenset(n for n in range(passes) if draw.random() < 0.9)
    return ChargerUnit(name, draw.choice((1, 1, 2)), draw.choice((3, 5, 8)), fits, days)


def best_value(case: Case) -> tuple[int, ...]:
    """Return the best that the goals can come to."""
    options = [list(_options(case, number)) for number in range(len(case.draws))]
    values = (_value(case, made) for made in product(*options) if _fits_bays(case, made))
    return min(values)


def _previous(case: Case, number: int) -> Draw | None:
    earlier = [d for d in case.draws[:number] if d.unit == case.draws[number].unit]
    return earlier[-1] if earlier else None


def _options(case: Case, number: int) -> Iterator[Made]:
    yield None
    draw, before = case.draws[number], _previous(case, number)
    if before is None:
        return
    for charger in case.chargers:
        days = {before.day_index, draw.day_index}
        if draw.unit not in charger.units or not days <= charger.passes:
            continue
        for start in range(before.end, draw.begin + 1):
            if any(begin <= start <= end for begin, end in case.hands):
                longest = min(draw.begin, start + charger.minutes)
                yield from ((charger.id, start, end) for end in range(start + 1, longest + 1))


def _fits_bays(case: Case, made: tuple[Made, ...]) -> bool:
    """Whether bays and sockets suffice, minute by minute."""
    charges = [one for one in made if one is not None]
    last = max((end for _, _, end in charges), default=0)
    for charger in case.chargers:
        for minute in range(last):
            busy = sum(c == charger.id and a <= minute < b for c, a, b in charges)
            if busy > charger.bays:
                return False
    bounds = [-1, *case.begins, last + 1]
    for begin, end in pairwise(bounds):
        used = {c for c, a, b in charges if any(begin <= m < end for m in range(a, b))}
        if len(used) > case.sockets:
            return False
    return True


def _value(case: Case, made: tuple[Made, ...]) -> tuple[int, ...]:
    minutes = {charger.id: charger.minutes for charger in case.chargers}
    held: dict[str, int] = {}
    short = lacking = 0
    for draw, one in zip(case.draws, made, strict=True):
        charge = held.get(draw.unit, 1000)
        if one is not None:
            charge = _charged(case.curve, charge, Fraction(one[2] - one[1], minutes[one[0]]))
        missing = max(0, draw.grains - charge)
        short += missing > 0
        lacking += missing
        held[draw.unit] = max(0, charge - draw.grains)
    ends = [one[2] for one in made if one is not None]
    return short, lacking, len(ends), sum(ends)


def _charged(curve: Curve, grains: int, time: Fraction) -> int:
    """Return the charge after a share of the time from flat to full."""
    quick, bend = Fraction(curve.quick, 1000), Fraction(curve.quick_time, 1000)
    share = Fraction(grains, 1000)
    passed = (
        share * bend / quick
        if share <= quick
        else bend + (share - quick) * (1 - bend) / (1 - quick)
    )
    reached = min(Fraction(1), passed + time)
    after = (
        reached * quick / bend
        if reached <= bend
        else quick + (reached - bend) * (1 - quick) / (1 - bend)
    )
    return floor(after * 1000)
