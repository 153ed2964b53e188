"""What a search begins with: placements of a plan before as far as they hold, or a plan by hand."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from kitplan.allocate.answer import Answer
from kitplan.allocate.first import first_plan
from kitplan.allocate.keep import Kept, slots_as_before
from kitplan.allocate.model import Allocation
from kitplan.allocate.settle import decisions, settle, with_placements
from kitplan.allocate.solver import Limits
from kitplan.allocate.variables import Slot, total
from kitplan.shoot.records import Shoot


def first_answer(allocation: Allocation, start: tuple[Kept, ...], limits: Limits) -> Answer | None:
    """Return an answer to better: the placements given; those of them that no no-good speaks of,
    and as much of the rest as goes; a plan by hand; nothing in the passes to come; whatever holds,
    for what stood in a pass that is over may have to go on standing. None where nothing is found.
    """
    known = slots_as_before(allocation.variables.slots, start)
    chosen = {var.index for own in known.values() for var in own}
    if chosen:
        for free in _freed(allocation.variables.slots, allocation.variables.options.brief.shoot):
            answer = _settled(allocation, chosen, free, limits)
            if answer is not None:
                return answer
    answer = _settled(allocation, first_plan(allocation), frozenset(), limits)
    return answer or _nothing(allocation, limits) or settle(allocation.model.clone(), limits)


def _freed(slots: Collection[Slot], shoot: Shoot) -> Iterator[frozenset[tuple[str, str]]]:
    """Yield which spots are left open: none; those that no-goods name; all of their passes."""
    yield frozenset()
    places = {
        (side, move.position)
        for each in shoot.no_goods
        for move in each.moves
        for side in (each.after, each.before)
    }
    passes = {side for each in shoot.no_goods for side in (each.after, each.before)}
    if places:
        yield frozenset(places)
    if passes:
        yield frozenset(slot.spot.key for slot in slots if slot.spot.key[0] in passes)


def _settled(
    allocation: Allocation,
    chosen: Collection[int],
    free: Collection[tuple[str, str]],
    limits: Limits,
) -> Answer | None:
    slots = allocation.variables.slots
    fixed = [slot for slot in slots if slot.spot.key not in free]
    model = with_placements(allocation.model, fixed, lambda var: int(var.index in chosen))
    kept = [v for s in slots if s.spot.key in free for v in decisions(s) if v.index in chosen]
    if kept:
        model.maximize(total(kept))
    return settle(model, limits)


def _nothing(allocation: Allocation, limits: Limits) -> Answer | None:
    """Nothing in the passes to come: that only misses every must."""
    over = allocation.variables.options.brief.shoot.past.is_over
    coming = [slot for slot in allocation.variables.slots if not over(slot.spot.each.id)]
    return settle(with_placements(allocation.model, coming, lambda _: 0), limits)
