"""Who starts each recorder before the downbeat and stops it after the last song."""

from __future__ import annotations

from dataclasses import dataclass

from kitplan.day.rolls.hands import Crew, Hand
from kitplan.day.rolls.timeline import whole_up


@dataclass(frozen=True)
class Start:
    """The first touch of a recorder, and how long after the last song the last one begins."""

    roll_s: int
    """When it rolls."""
    person: str | None
    walk_s: int
    late_s: int


def starts(crew: Crew) -> dict[str, Start]:
    """Return the start of every recorder by letter.

    Operators start their own camera last; before that those beside them, one after the other with
    the way back to their place between. A camera that nobody can reach runs before the doors open.
    """
    rules = crew.brief.shoot.rules
    early, late = whole_up(rules.roll_early_s), whole_up(rules.roll_late_s)
    touch = whole_up(rules.restart_s)
    found: dict[str, Start] = {}
    taken: dict[str, int] = {}
    for placement in sorted(crew.placements, key=lambda p: (p.operator is None, p.letter)):
        alone = crew.is_alone(placement)
        hand = None if alone else _nearest(crew.hands(placement), taken)
        if hand is None:
            before = _doors_s(crew) if alone else 0
            found[placement.letter] = Start(-before - early, None, 0, late)
            continue
        busy = taken.get(hand.person, 0)
        found[placement.letter] = Start(
            -early - busy - hand.walk_s, hand.person, hand.walk_s, late + busy + hand.walk_s
        )
        taken[hand.person] = busy + touch + 2 * hand.walk_s
    return found


def _nearest(hands: tuple[Hand, ...], taken: dict[str, int]) -> Hand | None:
    own = [hand for hand in hands if hand.is_own]
    return min(
        own or hands,
        key=lambda hand: (taken.get(hand.person, 0) + hand.walk_s, hand.person),
        default=None,
    )


def _doors_s(crew: Crew) -> int:
    each = crew.each
    if each.doors is None:
        return 0
    return whole_up((each.start - each.doors).total_seconds())
