"""What goes back to the allocation where the work of a gap does not fit: no-goods.

A no-good has to hold whatever else a plan does. So it is proven on less than the plan asks for:
only stands that are struck or built, each with its camera, one a position and side; nothing is
carried, nobody's own things count. What does not fit even so is a smallest set of such moves; any
stand that takes at least as long, with as many people and as rare a skill, is in the same case.
Where it is the carrying or the order of things that is too much, the same is ruled out without that
proof; where no stand moves at all, the same stands at the same places are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal, TypeAlias

from kitplan.day.work.book import usual_effort
from kitplan.day.work.core import Move, moves_of, separate_cores
from kitplan.day.work.engine import Effort, is_too_short
from kitplan.day.work.gaps import More, gap_with, turn_of
from kitplan.day.work.turn import Turn
from kitplan.day.work.why import words_of
from kitplan.options.stands import Stand, list_stands
from kitplan.plan.day.work import GapWork
from kitplan.plan.records import Placement
from kitplan.shoot.brief import Brief
from kitplan.shoot.gaps import Stretch, stretches
from kitplan.shoot.nogoods import NoGood, StandMove

WHAT = {"strike": "strike_min", "build": "setup_min"}


def no_goods_of(
    brief: Brief,
    shoot_id: str,
    placements: Sequence[Placement],
    work: Sequence[GapWork],
    number: int = 1,
    effort: Effort | None = None,
) -> Iterator[NoGood]:
    """Yield no-goods for every gap between passes that is proven too short.

    Args:
        number: The round in which this is found out.
    """
    failed = {(gap.after, gap.before): gap.reason for gap in work if gap.is_too_short}
    for stretch in stretches(brief.shoot):
        if stretch.after is None or stretch.before is None:
            continue
        key = (f"{shoot_id}/{stretch.after.id}", f"{shoot_id}/{stretch.before.id}")
        if key in failed:
            turn = turn_of(brief, placements, stretch)
            effort = effort or usual_effort(brief)
            found = list(_whatever_else(turn, stretch, effort))
            found = found or list(_with_all_else(turn, stretch, effort))
            yield from (
                _no_good(turn, stretch, each, number)
                for each in found or [((), False, failed[key])]
            )


def proven_no_goods(
    brief: Brief, placements: Sequence[Placement], number: int, effort: Effort
) -> Iterator[NoGood]:
    """Yield the no-goods of placements that hold whatever else a plan does: gap by gap, without a
    look at what else there is to do.
    """
    for stretch in stretches(brief.shoot):
        if stretch.after is not None and stretch.before is not None:
            turn = turn_of(brief, placements, stretch)
            for each in _whatever_else(turn, stretch, effort):
                yield _no_good(turn, stretch, each, number)


def fits_between(brief: Brief, placements: Sequence[Placement], effort: Effort) -> bool:
    """Return whether no gap between passes is proven too short for its cameras alone."""
    return not any(
        is_too_short(gap_with(brief.shoot, stretch, turn, turn.tasks(), More()), effort)
        for stretch in stretches(brief.shoot)
        if stretch.after is not None and stretch.before is not None
        for turn in [turn_of(brief, placements, stretch)]
    )


_Learnt: TypeAlias = tuple[tuple[StandMove, ...], bool, str]
"""Moves, whether they are proven to be too much, and why they are."""


def _no_good(turn: Turn, stretch: Stretch, learnt: _Learnt, number: int) -> NoGood:
    moves, is_proven, words = learnt
    assert stretch.after is not None
    assert stretch.before is not None
    return NoGood(
        after=stretch.after.id,
        before=stretch.before.id,
        moves=moves,
        is_proven=is_proven,
        same=() if moves else _same(turn),
        words=words,
        gap_min=(stretch.gate_s or 0) / 60,
        crew=tuple(person.id for person in turn.brief.shoot.crew),
        round=number,
    )


def _whatever_else(turn: Turn, stretch: Stretch, effort: Effort) -> Iterator[_Learnt]:
    """Yield moves that are too much whatever else is done."""
    loose = replace(turn, is_loose=True)
    least = [task for move in _longest_moves(loose) for task in move.tasks]
    gap = gap_with(turn.brief.shoot, stretch, loose, least, More())
    for core in separate_cores(gap, effort):
        if moves := tuple(_stand_moves(turn, core)):
            yield moves, True, words_of(turn.brief, stretch, gap, core)


def _with_all_else(turn: Turn, stretch: Stretch, effort: Effort) -> Iterator[_Learnt]:
    """Yield moves that are too much with what had to be carried for them."""
    gap = gap_with(turn.brief.shoot, stretch, turn, turn.tasks(), More())
    for core in separate_cores(gap, effort):
        if moves := tuple(_stand_moves(turn, core)):
            yield moves, False, words_of(turn.brief, stretch, gap, core)


def _stand_moves(turn: Turn, core: Sequence[Move]) -> Iterator[StandMove]:
    """Yield what a core does to stands; one a position and side."""
    seen = set()
    for move in core:
        if move.what not in WHAT:
            continue
        side = turn.before if move.what == "strike" else turn.after
        one = next(p for p in side if p.letter == move.letter)
        if not turn.stand_stays(one) and (move.what, one.position) not in seen:
            seen.add((move.what, one.position))
            yield _stand_move(turn, one, "strike" if move.what == "strike" else "build")


def _longest_moves(turn: Turn) -> list[Move]:
    """One move a position and side: several of one kind could not be told apart."""
    longest: dict[tuple[str, str | None], Move] = {}
    for move in moves_of(turn.stand_tasks()):
        key = (move.what, move.tasks[0].position)
        if key not in longest or longest[key].work_s < move.work_s:
            longest[key] = move
    return list(longest.values())


def _stand_move(turn: Turn, one: Placement, kind: Literal["strike", "build"]) -> StandMove:
    own = turn.stand(one)
    return StandMove(
        kind=kind,
        position=one.position,
        stands=tuple(
            other.items
            for other in list_stands(turn.brief)[0]
            if _takes_as_long(turn, one, own, other, kind)
        ),
    )


def _takes_as_long(turn: Turn, one: Placement, own: Stand, other: Stand, kind: str) -> bool:
    """As many people, as many minutes, at most those who have the skill, in as many pieces."""
    position, what = turn.at(one), WHAT[kind]
    people, as_many = turn.hands(one, own.support.people), turn.hands(one, other.support.people)
    alone = turn.hands(one, 1)
    return (
        as_many >= people
        and (kind == "build" or (as_many == alone) == (people == alone))
        and other.minutes(position, what) >= own.minutes(position, what)
        and turn.skilled_for(other) <= turn.skilled_for(own)
    )


def _same(turn: Turn) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    return tuple(
        (one.pass_id.partition("/")[2], one.position, turn.stand(one).items)
        for one in (*turn.before, *turn.after)
    )
