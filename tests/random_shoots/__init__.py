"""Random small shoots: at most four slots, yet every rule has its turn.

A plain shoot is drafted, then some twists make rules bind. Each seed takes `TWISTS_PER_SHOOT`
twists, going round the list, and up to three more at random.
"""

from __future__ import annotations

from kitplan.shoot.brief import Brief
from tests.random_shoots.draft import MOST_SLOTS, Draft, brief_of, plain_draft, settle
from tests.random_shoots.gear_twists import GEAR_TWISTS, Twist
from tests.random_shoots.picture_twists import PICTURE_TWISTS
from tests.random_shoots.shoot_twists import SHOOT_TWISTS

__all__ = ["MOST_SLOTS", "TWISTS", "draft_of", "random_brief", "turns_of"]

TWISTS = (*GEAR_TWISTS, *SHOOT_TWISTS, *PICTURE_TWISTS)
TWISTS_PER_SHOOT = 4


def random_brief(seed: int) -> Brief:
    """Return the random shoot of a seed, always the same one."""
    return brief_of(draft_of(seed))


def draft_of(seed: int) -> Draft:
    """Return the facts of the random shoot of a seed."""
    draft = plain_draft(seed)
    for twist in (*turns_of(seed), *draft.chance.sample(TWISTS, draft.chance.randint(0, 3))):
        twist(draft)
    settle(draft)
    return draft


def turns_of(seed: int) -> tuple[Twist, ...]:
    """Return the twists whose turn it is; which of them come together changes round by round."""
    stride = len(TWISTS) // TWISTS_PER_SHOOT + seed // len(TWISTS)
    return tuple(TWISTS[(seed + turn * stride) % len(TWISTS)] for turn in range(TWISTS_PER_SHOOT))
