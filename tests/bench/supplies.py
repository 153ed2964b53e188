"""How long the charging and the copying of a day take to prove: `python -m tests.bench.supplies`.

Families: S about a dozen batteries in two passes, M two dozen in three, L four dozen in four; as
many cards. Chargers come by kind of battery, as in the bundled kits.
"""

from __future__ import annotations

import itertools
import time
from random import Random

from kitplan.day.media.copying import CopyCase, ReelToCopy, copying_of
from kitplan.day.power.curve import Curve
from kitplan.day.power.model import Case, ChargerUnit, Draw, charging_of

FAMILIES = {"S": (12, 2), "M": (24, 3), "L": (48, 4)}
"""Batteries (and cards in all), passes."""
KINDS = 4


def charging_case(seed: int, packs: int, passes: int) -> Case:
    """Return a day of passes with gaps of one to four hours."""
    draw = Random(seed)
    spans = _spans(draw, passes)
    draws = tuple(
        Draw(f"p{pack}", draw.randint(300, 1000), begin - 1, end + 1, index)
        for index, (begin, end) in enumerate(spans)
        for pack in range(packs)
        if draw.random() < 0.6
    )
    chargers = tuple(
        ChargerUnit(
            f"c{number}",
            draw.choice((1, 2, 2)),
            draw.choice((90, 110, 130, 200)),
            frozenset(f"p{pack}" for pack in range(packs) if pack % KINDS == number % KINDS),
            frozenset(range(passes)),
        )
        for number in range(packs // 4)
    )
    begins = tuple(begin for begin, _ in spans[1:])
    return Case(draws, chargers, Curve(700, 500), _hands(spans), begins, len(chargers))


def copying_case(seed: int, cards: int, passes: int) -> CopyCase:
    """Return so many cards over all passes, two copies on one laptop."""
    draw = Random(seed)
    spans = _spans(draw, passes)
    reels = []
    for number in range(cards):
        index = number % passes
        following = spans[index + 1][0] if index + 1 < passes else None
        needed = following - 1 if following and draw.random() < 0.2 else None
        reels.append(ReelToCopy(draw.randint(3, 12), spans[index][1] + 1, following, needed))
    hands = list(_hands(spans))
    hands[-1] = (hands[-1][0], hands[-1][1] + 24 * cards)
    return CopyCase(tuple(reels), 2, 1, tuple(hands))


def _spans(draw: Random, passes: int) -> list[tuple[int, int]]:
    now, spans = 0, []
    for _ in range(passes):
        length = draw.randint(50, 100)
        spans.append((now, now + length))
        now += length + draw.choice((60, 90, 180, 240))
    return spans


def _hands(spans: list[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    between = [(one[1], other[0]) for one, other in itertools.pairwise(spans)]
    return (*between, (spans[-1][1], spans[-1][1] + 1))


def main() -> None:
    """Print a row for each instance."""
    for name, (number, passes) in FAMILIES.items():
        for seed in (1, 2, 3):
            begin = time.perf_counter()
            found = charging_of(charging_case(seed, number, passes))
            middle = time.perf_counter()
            copied = copying_of(copying_case(seed, number, passes))
            end = time.perf_counter()
            print(
                f"{name} {seed}  charging {middle - begin:6.2f} s {found.value} "
                f"bound {found.bound}  copying {end - middle:6.2f} s {copied.value} "
                f"bound {copied.bound}",
                flush=True,
            )


if __name__ == "__main__":
    main()
