"""What is over stays as it was: every decision about it has one value left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from kitplan.allocate.keep import Kept, as_it_was
from kitplan.allocate.settle import decisions, fix
from kitplan.allocate.variables import Slot, Variables
from kitplan.errors import KitplanError
from kitplan.shoot.past import Stood


class PastError(KitplanError):
    """What stood in a pass that is over is not possible by the rules of today."""


def kept_of(stood: Stood, item_of: Mapping[str, str]) -> Kept:
    """Return what stood, in items."""

    def items(*units: str | None) -> tuple[str, ...]:
        return tuple(item_of[unit] for unit in units if unit is not None)

    return Kept(
        pass_id=stood.in_pass,
        position=stood.position,
        camera=items(stood.body, stood.lens, stood.adapter),
        mode=stood.mode,
        stand=items(stood.support, stood.head),
        operator=stood.operator,
        subject=stood.subject,
        size=stood.size,
        roles=stood.roles,
        menu=stood.menu,
    )


def add_past_is_as_it_was(x: Variables) -> None:
    """Slots of a pass that is over hold what stood there and no more; a placement keeps its roles,
    and may have done others besides, if it has brought home what it was there for. What got no song
    is no viewpoint.

    Raises:
        PastError: If something of it is not possible any more.
    """
    brief = x.options.brief
    item_of = {unit.id: unit.item for unit in brief.kit.units}
    cards: Counter[object] = Counter()
    for slot in x.slots:
        if not brief.shoot.past.is_over(slot.spot.each.id):
            continue
        chosen: set[int] = set()
        if slot.stood is not None:
            chosen = {var.index for var in as_it_was(slot, kept_of(slot.stood, item_of))}
            cards[_card_key(x, slot, slot.stood, chosen, item_of)] += 1
        for var in decisions(slot):
            fix(x.model, var, int(var.index in chosen))
        _fix_words(x, slot)
    for key, var in x.cards.items():
        if brief.shoot.past.is_over(key[0]):
            fix(x.model, var, cards[key])


def _card_key(
    x: Variables, slot: Slot, stood: Stood, chosen: set[int], item_of: Mapping[str, str]
) -> object:
    """Return which decision counts the cards of what stood."""
    column = next((n for n, var in enumerate(slot.cameras) if var.index in chosen), None)
    item = item_of.get(stood.cards[0]) if stood.cards else None
    key = None
    if column is not None and item is not None:
        key = (slot.spot.each.id, slot.spot.endurance[column].card_choice, item)
    if key not in x.cards:
        raise PastError(
            f"camera {stood.letter} cannot have stood at {slot.spot.position.label} as it did",
            where=slot.spot.each.label,
            fix="Was the plan made by another version? Plan again with `kitplan plan SHOOT`",
        )
    return key


def _fix_words(x: Variables, slot: Slot) -> None:
    stood = slot.stood
    for role, var in slot.roles.items():
        if stood is not None and role in stood.roles:
            fix(x.model, var, 1)
        elif not slot.brings:
            fix(x.model, var, 0)
    for framing, var in slot.menu.items():
        fix(x.model, var, int(stood is not None and framing in stood.menu))
    if stood is None or not x.options.brief.thirds(slot.spot.each, stood.missed):
        for var in slot.counted.values():
            fix(x.model, var, 0)


RULES = (add_past_is_as_it_was,)
