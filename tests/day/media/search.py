"""Small random evenings of copying, and the best of each by trying every start of every copy."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from kitplan.day.media.copying import CopyCase, ReelToCopy

Placed = tuple[tuple[int, int, int], ...]
"""Reel, start and end of each copy that has its place."""


def random_case(seed: int) -> CopyCase:
    """Return two or three reels of two passes, one or two laptops, at most four copies."""
    draw = Random(seed)
    copies = draw.choice((1, 2))
    number = draw.choice((2, 3, 4)) if copies == 1 else 2
    end, gap, length = draw.randint(1, 2), draw.randint(2, 6), draw.randint(1, 3)
    begin = end + gap
    reels = []
    for _ in range(number):
        is_first = draw.random() < 0.7
        needed = begin - draw.choice((0, 1)) if is_first and draw.random() < 0.6 else None
        free = end if is_first else begin + length
        reels.append(ReelToCopy(draw.randint(1, 3), free, begin if is_first else None, needed))
    work = sum(reel.minutes for reel in reels) * copies
    hands = ((end, begin), (begin + length, begin + length + work))
    if draw.random() < 0.3:
        hands = ((end, max(end, begin - 2)), hands[1])
    return CopyCase(tuple(reels), copies, draw.choice((1, 1, 2)), hands)


def best_value(case: CopyCase) -> tuple[int, ...]:
    """Return the best that the goals can come to."""
    return min(_value(case, placed) for placed in _placings(case, 0, ()))


def _placings(case: CopyCase, reel: int, placed: Placed) -> Iterator[Placed]:
    if reel == len(case.reels):
        yield placed
        return
    for more in _copies_of(case, reel, placed, case.copies):
        yield from _placings(case, reel + 1, more)


def _copies_of(case: CopyCase, reel: int, placed: Placed, left: int) -> Iterator[Placed]:
    if not left:
        yield placed
        return
    own = case.reels[reel]
    earliest = max([own.free_at, *(end for number, _, end in placed if number == reel)])
    for start in range(earliest, case.hands[-1][1] + 1):
        end = start + own.minutes
        can_begin = any(a <= start <= b for a, b in case.hands)
        busy = max(sum(a <= minute < b for _, a, b in placed) for minute in range(start, end))
        if can_begin and busy < case.laptops:
            yield from _copies_of(case, reel, (*placed, (reel, start, end)), left - 1)


def _value(case: CopyCase, placed: Placed) -> tuple[int, ...]:
    done = [max(end for n, _, end in placed if n == reel) for reel in range(len(case.reels))]
    pairs = list(zip(case.reels, done, strict=True))
    return (
        sum(reel.needed_by is not None and end > reel.needed_by for reel, end in pairs),
        sum(reel.next_begin is not None and end > reel.next_begin for reel, end in pairs),
        max(done),
    )
