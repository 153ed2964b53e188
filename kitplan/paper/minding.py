"""Who looks at which locked-off camera while a pass runs, and when."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from math import dist

from kitplan.plan.day.rolls import RollPlan, Touch
from kitplan.plan.records import Placement
from kitplan.plan.verify.day.clocked import Clocked, PassClock

CHECK_EVERY_S = 15 * 60
"""A locked-off camera is looked at about so often. Common practice, no source."""


def minders(clock: PassClock, rolls: RollPlan | None) -> dict[str, str | None]:
    """Return who looks at each locked-off camera of a pass, by letter: whoever touches it most in
    the roll plan, else an operator near by who has none yet, else somebody who is free. None where
    nobody gets to it, or nobody is left.
    """
    found: dict[str, str | None] = {}
    for letter, placement in clock.placements.items():
        if placement.operator is None:
            found[letter] = (
                None if clock.is_alone(placement) else _most(touches_of(clock, rolls, letter))
            )
    for letter, placement in clock.placements.items():
        if letter in found and found[letter] is None and not clock.is_alone(placement):
            found[letter] = _near(clock, placement, set(found.values()))
    return found


def touches_of(clock: PassClock, rolls: RollPlan | None, letter: str) -> tuple[Touch, ...]:
    """Return the touches of a camera in a pass, in order; none without a roll plan."""
    found = rolls.touches if rolls else ()
    mine = (t for t in found if (t.pass_id, t.letter) == (clock.pass_id, letter))
    return tuple(sorted(mine, key=lambda touch: touch.start_s))


def checks_after(clock: PassClock, touches: tuple[Touch, ...]) -> tuple[Clocked, ...]:
    """Return the songs after which somebody looks at a camera besides its touches: so many that it
    is not left alone for longer than the usual time where the songs allow it.
    """
    touched = [row for row in clock.songs if any(_lies_after(row, touch) for touch in touches)]
    found: list[Clocked] = []
    last_s = 0
    for row, following in pairwise(clock.songs):
        if row in touched:
            last_s = row.end
        elif following.end - last_s > CHECK_EVERY_S:
            found.append(row)
            last_s = row.end
    return tuple(found)


def _lies_after(row: Clocked, touch: Touch) -> bool:
    return row.end <= touch.start_s <= row.gap_end


def _most(touches: tuple[Touch, ...]) -> str | None:
    numbers = Counter(touch.person for touch in touches if touch.person is not None)
    return max(numbers, key=lambda who: numbers[who]) if numbers else None


def _near(clock: PassClock, placement: Placement, taken: set[str | None]) -> str | None:
    """Return the nearest operator who may go there, has none yet and is within reach; else a
    floater.
    """
    here = clock.position(placement).at_m
    reach_m = clock.scene.shoot.rules.mind_reach_m
    songs = {row.song.id for row in clock.songs}
    away = {
        p.operator: dist(here, clock.position(p).at_m)
        for p in clock.placements.values()
        if p.operator is not None and p.operator not in taken
    }
    people = clock.scene.shoot.crew_by_id
    near = [
        who
        for who in sorted(away, key=lambda one: away[one])
        if away[who] <= reach_m
        and not songs & set(people[who].performs_in)
        and clock.reach(placement, who) is not None
    ]
    free = [p.id for p in clock.floaters if clock.reach(placement, p.id) is not None]
    return next(iter((*near, *free)), None)
