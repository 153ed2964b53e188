"""What the work between passes has taught: moves of stands that do not fit into a gap together.

It holds as long as the gap is no longer and nobody else has come to help. A move of stands of some
kinds (those that take at least as long) at a position: one of them is struck where more stand there
in the pass before than in the pass after, built where fewer do.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from kitplan.allocate.variables import Variables, total
from kitplan.shoot.nogoods import NoGood, StandMove
from kitplan.shoot.records import Shoot


def add_no_goods(x: Variables) -> None:
    """Every no-good of the shoot that still holds."""
    shoot = x.options.brief.shoot
    for number, no_good in enumerate(shoot.no_goods):
        if not still_holds(shoot, no_good) or no_good.most_work_min is not None:
            continue  # those on the amount of work are rows of the resets
        if no_good.moves:
            add_not_all_moves(x, no_good, number)
        else:
            add_not_the_same(x, no_good)


def still_holds(shoot: Shoot, no_good: NoGood) -> bool:
    """Whether the gap of a no-good is no longer than it was, and nobody has come to help."""
    pairs = {
        (this.id, following.id): index
        for index, (this, following) in enumerate(pairwise(shoot.passes))
    }
    index = pairs.get((no_good.after, no_good.before))
    return (
        index is not None
        and shoot.gap_min(index) <= no_good.gap_min
        and {person.id for person in shoot.crew} <= set(no_good.crew)
    )


def add_not_all_moves(x: Variables, no_good: NoGood, number: int) -> None:
    """sum(done[move]) <= moves - 1; rigs x done >= stands of a kind that come, or go."""
    done = []
    for move in no_good.moves:
        name = f"done[{number},{move.kind},{move.position}]"
        is_done = x.model.new_bool_var(name)
        rigs = next(p.rigs for p in x.options.brief.shoot.venue.positions if p.id == move.position)
        for items in move.stands:
            x.model.add(rigs * is_done >= _moved(x, no_good, move, items))
        done.append(is_done)
    x.model.add(total(done) <= len(done) - 1)


def _moved(x: Variables, no_good: NoGood, move: StandMove, items: tuple[str, ...]) -> Any:
    before = _standing(x, no_good.after, move.position, items)
    after = _standing(x, no_good.before, move.position, items)
    return before - after if move.kind == "strike" else after - before


def _standing(x: Variables, pass_id: str, position: str, items: tuple[str, ...]) -> Any:
    """How many stands of these items are at a position in a pass."""
    return total(
        var
        for slot in x.slots_in(pass_id)
        if slot.spot.position.id == position
        for stand, var in slot.stand_items()
        if stand.items == items
    )


def add_not_the_same(x: Variables, no_good: NoGood) -> None:
    """Stands where they stood - stands elsewhere, over both passes, <= stands - 1."""
    same = total(_standing(x, *place) for place in dict.fromkeys(no_good.same))
    both = (no_good.after, no_good.before)
    used = total(slot.is_used for pass_id in both for slot in x.slots_in(pass_id))
    x.model.add(2 * same - used <= len(no_good.same) - 1)
