"""What a thing is worth: what the best plan loses without it, what it gains with one more.

A thing is an item of the kit, somebody of the crew, a position, a pass, or something that could be
borrowed. Each is taken away, or added, alone and the shoot planned anew.

Every plan found serves all of them: the best one is what is compared with, and a plan that does not
use a thing shows how much is left without it. So nothing is ever worth less than nothing, however
short the search. What is not used in the best plan, or could be used nowhere, needs no search: that
plan stands without the thing as it is, so nothing is lost. (With a body the shutter of all cameras
may go, and the plan with it: such a body is searched for in any case.)
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

from kitplan.shoot.brief import Brief
from kitplan.whatif.changed import dropped, lost_roles
from kitplan.whatif.figures import Figures
from kitplan.whatif.sweep import Result

BEST_SINGLES = 5
"""Pairs are made of so many: ten pairs."""
NOT_USED, TO_SPARE, NOWHERE = "not used", "one to spare", "possible nowhere"
Kind = Literal["item", "person", "position", "pass", "more"]
Sweep = Callable[[Sequence["Variant"]], dict[str, Result]]
"""Plans what each change leaves or makes, by key."""


@dataclass(frozen=True)
class Variant:
    """One thing less, or one or two more, and the brief that is left or made."""

    kind: Kind
    id: str
    label: str
    what: str
    """What sort of thing it is: body, person, position ..."""
    brief: Brief
    units: frozenset[str] = frozenset()
    """Of an item: all its units, of which one is taken away."""
    price: float | None = None
    settled: str = ""
    """Why nothing can be lost or gained, where that is known without a search."""
    notes: tuple[str, ...] = ()
    """What else has gone with it: locks and roles that name it."""
    lost_musts: tuple[str, ...] = ()
    """Must roles among these."""

    @property
    def key(self) -> str:
        """Its name in a sweep."""
        return f"{self.kind} {self.id}"

    def leaves(self, result: Result) -> bool:
        """Whether a plan stands as it is without the thing."""
        if self.kind == "item":
            return not self.units <= set(result.units)
        return self.kind == "position" and self.id not in result.positions


@dataclass(frozen=True)
class Difference:
    """How much more one plan has than another; goals in strict order, figures beside them."""

    musts: int
    wants: int
    thinnest: int
    points: float
    variety: float
    """0 where it is not proven best in both: the search breaks off at any."""
    viewpoints: int
    """Distinct ones."""

    @property
    def order(self) -> tuple[float, ...]:
        """What it is sorted by."""
        return (self.musts, self.wants, self.thinnest, self.points, self.variety)

    @property
    def is_more(self) -> bool:
        """Whether it comes to more, in the strict order of the goals."""
        return self.order > NOTHING.order


@dataclass(frozen=True)
class Worth:
    """What a change costs or brings; nothing is known where there is no difference."""

    change: Variant
    difference: Difference | None
    musts: tuple[str, ...] = ()
    """Musts that are lost or gained, in words."""
    roles: tuple[str, ...] = ()
    """Names of the want roles that are lost or gained."""
    instead: tuple[str, ...] = ()
    """Names of want roles that go the other way."""
    reason: str = ""
    """Why nothing is known."""
    is_proven: bool = False
    """Whether both plans are proven best in every goal that counts here but variety."""

    @property
    def price_per_viewpoint(self) -> float | None:
        """Price by further distinct viewpoints; None without a price or any of them."""
        price, by = self.change.price, self.difference
        return price / by.viewpoints if price is not None and by and by.viewpoints > 0 else None


NOTHING = Difference(0, 0, 0, 0.0, 0.0, 0)


def rank(result: Result, more_missed: int = 0) -> tuple[float, ...]:
    """Return what plans are compared by, in order; one that was not found is the worst."""
    found = result.figures
    if found is None:
        return (float("-inf"),)
    missed = len(result.missed) + more_missed
    return (-missed, found.wants_weight, found.thinnest, found.points, result.variety)


# -- losses ----------------------------------------------------------------------------------------


def losses(
    brief: Brief, base: Result, things: Sequence[Variant], sweep: Sweep
) -> tuple[Result, tuple[Worth, ...]]:
    """Return the best plan known in the end, and what it loses without each thing, most first."""
    things = tuple(_settled(base, thing) for thing in things)
    found = sweep([thing for thing in things if not thing.settled])
    plain = (each for each in things if _leaves_the_rest(each, brief))
    known = [base, *(found[each.key] for each in plain if each.key in found)]
    known = [each for each in known if each.figures is not None]
    best = max(known, key=rank)  # the first of equals: the base
    rows = (_loss(brief, best, thing, found.get(thing.key), known) for thing in things)
    return best, tuple(sorted(rows, key=_importance))


def _leaves_the_rest(thing: Variant, brief: Brief) -> bool:
    """Whether a plan without a thing is one with it as well."""
    return not thing.notes and thing.kind != "pass" and thing.brief.shutter == brief.shutter


def _settled(base: Result, thing: Variant) -> Variant:
    if not thing.leaves(base):
        return thing
    is_used = thing.kind == "item" and thing.units & set(base.units)
    return replace(thing, settled=TO_SPARE if is_used else NOT_USED)


def _loss(
    brief: Brief, best: Result, thing: Variant, own: Result | None, known: Iterable[Result]
) -> Worth:
    if thing.leaves(best):
        return Worth(thing, NOTHING, is_proven=True)
    others = [each for each in known if thing.leaves(each)]
    left = max([*([own] if own else []), *others], key=rank)
    if left.figures is None:
        return Worth(thing, None, reason=left.reason)
    extra = thing.lost_musts if left is own else ()
    left = replace(left, missed=(*left.missed, *extra))
    return _worth(brief, thing, best, left)


def _importance(row: Worth) -> tuple[float, ...]:
    """Most first; what is not known last."""
    if row.difference is None:
        return (1.0,)
    return (0.0, *(-value for value in row.difference.order))


def _worth(brief: Brief, change: Variant, more: Result, less: Result) -> Worth:
    """Return what one plan has and the other has not."""
    assert more.figures is not None
    assert less.figures is not None
    wants = {role.id: role.label for role in brief.roles if role.priority == "want"}
    return Worth(
        change,
        _difference(more, less, more.figures, less.figures),
        musts=tuple(words for words in less.missed if words not in more.missed),
        roles=tuple(wants[i] for i in more.roles if i in wants and i not in less.roles),
        instead=tuple(wants[i] for i in less.roles if i in wants and i not in more.roles),
        is_proven=more.figures.is_proven and less.figures.is_proven,
    )


def difference(more: Result, less: Result) -> Difference | None:
    """Return how much more one result has than another; None where one has no plan."""
    if more.figures is None or less.figures is None:
        return None
    return _difference(more, less, more.figures, less.figures)


def _difference(more: Result, less: Result, high: Figures, low: Figures) -> Difference:
    are_proven = more.is_proven and less.is_proven
    return Difference(
        musts=len(less.missed) - len(more.missed),
        wants=high.wants_weight - low.wants_weight,
        thinnest=high.thinnest - low.thinnest,
        points=round(high.points - low.points, 6),
        variety=more.variety - less.variety if are_proven else 0.0,
        viewpoints=high.viewpoints - low.viewpoints,
    )


def lost_with(brief: Brief, change: Variant) -> Variant:
    """Return a change with what else it has taken away."""
    musts = (role for role in lost_roles(brief, change.brief) if role.priority == "must")
    return replace(
        change,
        notes=dropped(brief, change.brief),
        lost_musts=tuple(f"role '{role.label}'" for role in musts),
    )


# -- gains -----------------------------------------------------------------------------------------


def gains(
    brief: Brief,
    base: Result,
    things: Sequence[Variant],
    both: Callable[[Variant, Variant], Variant],
    sweep: Sweep,
) -> tuple[tuple[Worth, ...], tuple[Worth, ...]]:
    """Return what each thing adds, and each pair of the best ones that adds more than either.

    Args:
        both: Makes one change of two.
    """
    found = sweep([thing for thing in things if not thing.settled])
    singles = [_gain(brief, base, thing, [found.get(thing.key)]) for thing in things]
    singles.sort(key=_importance)
    first = [row.change for row in singles if not row.change.settled and row.difference]
    parts = {
        pair.key: (one, other, pair)
        for one, other in combinations(first[:BEST_SINGLES], 2)
        for pair in [both(one, other)]
    }
    made = sweep([pair for _, _, pair in parts.values()])
    pairs = _pairs(brief, base, parts.values(), found, made)
    return tuple(singles), tuple(sorted(pairs, key=_importance))


def _gain(brief: Brief, base: Result, thing: Variant, found: Iterable[Result | None]) -> Worth:
    """Return what a thing adds by the best of the plans with it; the one without it stands too."""
    plans = [each for each in found if each is not None]
    if thing.settled:
        return Worth(thing, NOTHING, is_proven=True)
    if all(each.figures is None for each in plans):
        return Worth(thing, None, reason=plans[0].reason if plans else "not worked out")
    return _worth(brief, thing, max([*plans, base], key=rank), base)


def _pairs(
    brief: Brief,
    base: Result,
    parts: Iterable[tuple[Variant, Variant, Variant]],
    found: dict[str, Result],
    made: dict[str, Result],
) -> Iterator[Worth]:
    for one, other, pair in parts:
        own = made[pair.key]
        if rank(own) > max(rank(found[one.key]), rank(found[other.key]), rank(base)):
            yield _gain(brief, base, pair, [own])
