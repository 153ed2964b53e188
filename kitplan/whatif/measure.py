"""Which assumed facts to measure first: those whose true value could change the plan most.

All of them are screened; with the most promising ones the shoot is planned anew at both ends of
what may be expected, and compared with a plan made in the same way of the facts as assumed.
Each of these plans starts from the present one and moves as little of it as the goals allow. Where
the present plan stands with the fact otherwise, it is one of the answers: nothing is called a loss
for want of time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from kitplan.produce.solve import SCALE
from kitplan.shoot.brief import Brief
from kitplan.whatif.facts import Fact
from kitplan.whatif.screening import Look, Screened
from kitplan.whatif.sweep import Result
from kitplan.whatif.worth import Difference, difference, rank

BASE = "as assumed"
"""Key of the plan that all others are compared with."""
Solve = Callable[[Sequence[tuple[str, Brief]]], dict[str, Result]]
"""Plans briefs, by key."""


@dataclass(frozen=True)
class Effect:
    """What one value of a fact comes to."""

    value: float
    look: Look
    difference: Difference | None
    """How much more a new plan has than one with the fact as it is assumed; None if not known."""
    moved: int = 0
    """Placements of the new plan that are others than in the present one, where it is needed."""
    is_proven: bool = False
    """Whether both plans are proven best in every goal that counts here but variety."""
    reason: str = ""
    """Why there is no difference known."""

    @property
    def size(self) -> tuple[float, ...]:
        """How much it changes, in the strict order of the goals, whichever way."""
        if self.difference is None:
            return ()
        return (*(abs(each) for each in self.difference.order), self.moved)


@dataclass(frozen=True)
class Candidate:
    """A fact that may be worth measuring."""

    fact: Fact
    effects: tuple[Effect, ...]
    is_settled: bool
    """Known without a search to change nothing."""

    @property
    def is_solved(self) -> bool:
        """Whether it has been planned with at every value."""
        return all(effect.difference is not None for effect in self.effects)

    @property
    def size(self) -> tuple[float, ...]:
        """What it is ranked by."""
        return max(effect.size for effect in self.effects)


@dataclass(frozen=True)
class MeasureFirst:
    """All facts that were looked at."""

    title: str
    first: tuple[Candidate, ...]
    """Those planned with that change something, most first."""
    rest: tuple[Candidate, ...]
    """All others: planned with and without effect, settled, or only screened."""


def planned_anew(
    title: str,
    brief: Brief,
    standing: Result,
    screened: Sequence[Screened],
    most: int,
    solve: Solve,
) -> MeasureFirst:
    """Return what the most promising facts change, most first, and all others.

    Args:
        standing: What the present plan comes to.
        most: How many facts to plan anew with.
        solve: Also plans the brief itself, under the key BASE.
    """
    by_promise = sorted(screened, key=lambda each: each.promise, reverse=True)
    tried = [each for each in by_promise if not each.is_settled][:most]
    briefs = [(_key(each.fact, end.value), end.brief) for each in tried for end in each.fact.ends]
    found = solve([(BASE, brief), *briefs])
    base = max(found[BASE], standing, key=rank)
    candidates = [_candidate(each, found, base, standing) for each in by_promise]
    first = [each for each in candidates if any(effect.difference for effect in each.effects)]
    first = [each for each in first if any(each.size)]
    first.sort(key=lambda each: each.size, reverse=True)
    return MeasureFirst(title, tuple(first), tuple(c for c in candidates if c not in first))


def label_of(key: str, facts: Sequence[Fact]) -> str:
    """Return the words for what is planned under a key."""
    for fact in facts:
        for end in fact.ends:
            if _key(fact, end.value) == key:
                return f"{fact.label} {end.value:g} {fact.unit}"
    return "everything as it is assumed"


def _key(fact: Fact, value: float) -> str:
    return f"{fact.key} at {value:g}"


def _candidate(
    screened: Screened, found: dict[str, Result], base: Result, standing: Result
) -> Candidate:
    fact = screened.fact
    effects = tuple(
        _effect(end.value, look, found.get(_key(fact, end.value)), base, standing)
        for end, look in zip(fact.ends, screened.looks, strict=True)
    )
    return Candidate(fact, effects, screened.is_settled)


def _effect(
    value: float, look: Look, result: Result | None, base: Result, standing: Result
) -> Effect:
    if result is None:
        return Effect(value, look, None, reason="only screened")
    if result.figures is not None:
        result = max(_as_it_stands(standing, look), result, key=rank)
    by = difference(result, base)
    if by is None:
        return Effect(value, look, None, reason=result.reason or base.reason)
    assert result.figures is not None
    assert base.figures is not None
    is_proven = result.figures.is_proven and base.figures.is_proven
    is_needed = look.broken > 0 or any(by.order)  # else the present plan is as good an answer
    return Effect(value, look, by, result.moved if is_needed else 0, is_proven)


def _as_it_stands(standing: Result, look: Look) -> Result:
    """Return what the present plan comes to with a fact otherwise; nothing where it breaks."""
    if look.values is None or standing.figures is None:
        return Result(None, "the plan breaks")
    if -look.values["musts"] != len(standing.missed):
        return Result(None, "other musts are missed")
    figures = replace(
        standing.figures,
        wants_weight=look.values["wants"],
        thinnest=look.values["thinnest"],
        points=look.values["viewpoints"] / SCALE["viewpoints"],
        is_proven=standing.figures.is_proven and not look.is_other and not look.changed,
    )
    return replace(standing, figures=figures, variety=float(look.values["variety"]))
