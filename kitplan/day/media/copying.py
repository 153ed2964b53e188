"""The copying of a shoot as a model: which reel on which laptop when.

Every reel is copied so many times, one copy after the other, each from the card itself; a copy is
begun while hands are free. Goals in order: fewest cards that are not ready when they are used
again, fewest reels without all their copies at the next downbeat, the last copy as early as can be.
Among answers as good each copy begins as early as its turn allows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

from kitplan.day.goals import least_in_order
from kitplan.day.minutes import Span


@dataclass(frozen=True)
class ReelToCopy:
    """A reel and its times in minutes from the first downbeat."""

    minutes: int
    """Of each copy."""
    free_at: int
    """The card is out of the camera."""
    next_begin: int | None
    """The downbeat of the next pass."""
    needed_by: int | None
    """When it has to be copied so that it can be formatted and used again."""


@dataclass(frozen=True)
class CopyCase:
    """All that the copying of a shoot depends on."""

    reels: tuple[ReelToCopy, ...]
    copies: int
    laptops: int
    hands: tuple[Span, ...]
    """When a copy can be begun; long enough for all of them."""


@dataclass(frozen=True)
class Copied:
    """A copy that is made."""

    reel: int
    number: int
    """From 1."""
    laptop: int
    start: int
    end: int


@dataclass(frozen=True)
class Copying:
    """The answer."""

    copied: tuple[Copied, ...]
    value: tuple[int, ...]
    bound: tuple[int, ...]


def copying_of(case: CopyCase) -> Copying:
    """Return the best order of copies; without a laptop none is made."""
    if not case.laptops or not case.reels:
        never = (
            sum(reel.needed_by is not None for reel in case.reels),
            sum(reel.next_begin is not None for reel in case.reels),
            0,
        )
        return Copying((), never, never)
    model = cp_model.CpModel()
    starts = _starts(model, case)
    last = model.new_int_var(0, case.hands[-1][1] + _total(case), "last copy")
    late: list[cp_model.IntVar] = []
    unprotected: list[cp_model.IntVar] = []
    for number, reel in enumerate(case.reels):
        end = starts[number][-1] + reel.minutes
        model.add(last >= end)
        if reel.needed_by is not None:
            late.append(_is_after(model, end, reel.needed_by, f"late {number}"))
        if reel.next_begin is not None:
            unprotected.append(_is_after(model, end, reel.next_begin, f"open {number}"))
    _add_work_bound(model, case, last)
    answer = least_in_order(model, (sum(late), sum(unprotected), last))
    order = sorted(
        (answer.solver.value(start), number, copy)
        for number, row in enumerate(starts)
        for copy, start in enumerate(row)
    )
    in_turn = [(number, copy) for _, number, copy in order]
    ways = [_early(case, way) for way in (_card_by_card(in_turn), in_turn)]
    copied = min(ways, key=lambda way: _value(case, way))
    value = _value(case, copied)
    return Copying(copied, value, tuple(map(min, answer.bound, value)))


def _card_by_card(order: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return the copies of each card one after the other, where its last one stood: fewer cards
    change hands, and each is safe as early.
    """
    last = {number: place for place, (number, _) in enumerate(order)}
    return sorted(order, key=lambda each: (last[each[0]], each[1]))


def _value(case: CopyCase, copied: Sequence[Copied]) -> tuple[int, ...]:
    """Return what the goals come to; each copy begun early may better what was not proven."""
    done: dict[int, int] = {}
    for one in copied:
        done[one.reel] = max(done.get(one.reel, 0), one.end)
    late = sum(r.needed_by is not None and done[n] > r.needed_by for n, r in enumerate(case.reels))
    open_ = sum(
        r.next_begin is not None and done[n] > r.next_begin for n, r in enumerate(case.reels)
    )
    return late, open_, max(done.values())


def _total(case: CopyCase) -> int:
    return sum(reel.minutes for reel in case.reels) * case.copies


def _starts(model: cp_model.CpModel, case: CopyCase) -> list[list[cp_model.IntVar]]:
    """Return the start of each copy of each reel: in order, on laptops that are free."""
    starts, spans = [], []
    for number, reel in enumerate(case.reels):
        row: list[cp_model.IntVar] = []
        windows = [[max(a, reel.free_at), b] for a, b in case.hands if b >= reel.free_at]
        for copy in range(case.copies):
            name = f"copy {copy + 1} of {number}"
            start = model.new_int_var_from_domain(cp_model.Domain.from_intervals(windows), name)
            if row:
                model.add(start >= row[-1] + reel.minutes)
            row.append(start)
            spans.append(model.new_fixed_size_interval_var(start, reel.minutes, name))
        starts.append(row)
    if case.laptops == 1:
        model.add_no_overlap(spans)
    else:
        model.add_cumulative(spans, [1] * len(spans), case.laptops)
    return starts


def _is_after(model: cp_model.CpModel, end: Any, limit: int, name: str) -> cp_model.IntVar:
    is_after = model.new_bool_var(name)
    model.add(end <= limit).only_enforce_if(~is_after)
    return is_after


def _add_work_bound(model: cp_model.CpModel, case: CopyCase, last: cp_model.IntVar) -> None:
    """What only becomes free at a time has to be copied after it: follows, but helps to prove."""
    for free_at in {reel.free_at for reel in case.reels}:
        work = sum(r.minutes for r in case.reels if r.free_at >= free_at) * case.copies
        model.add(case.laptops * (last - free_at) >= work)


def _early(case: CopyCase, order: Sequence[tuple[int, int]]) -> tuple[Copied, ...]:
    """Return the copies in an order, each begun as early as can be."""
    laptops = [0] * case.laptops
    done: dict[int, int] = {}
    found = []
    for number, copy in order:
        reel = case.reels[number]
        ready = max(reel.free_at, done.get(number, 0))
        starts = [_in_hands(case.hands, max(ready, free)) for free in laptops]
        laptop = starts.index(min(starts))
        start, end = starts[laptop], starts[laptop] + reel.minutes
        laptops[laptop] = done[number] = end
        found.append(Copied(number, copy + 1, laptop + 1, start, end))
    return tuple(found)


def _in_hands(hands: Sequence[Span], at: int) -> int:
    """Return the first minute from one on in which a copy can be begun."""
    return next(max(at, begin) for begin, end in hands if max(at, begin) <= end)
