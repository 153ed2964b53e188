"""No-goods: moves that do not fit into a gap together, which no plan may ask for again.

A plan keeps them in its shoot once the work between its passes has turned out to be too much;
nobody writes them by hand. They hold as long as the gap is no longer and nobody else has come to
help.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from kitplan.gear.records import Id, NotNegative, Record


class StandMove(Record):
    """A stand that is struck after one pass, or built for the next."""

    kind: Literal["strike", "build"]
    position: Id
    stands: tuple[tuple[Id, ...], ...] = Field(min_length=1)
    """Item ids (support, head) of every stand that takes at least as long there."""


class NoGood(Record):
    """Moves that cannot all be done in one gap."""

    after: Id
    """Pass ids."""
    before: Id
    moves: tuple[StandMove, ...] = ()
    """Empty where only the same stands at the same places are ruled out."""
    is_proven: bool
    """These moves are too much whatever else is done. Otherwise they were too much with what had to
    be carried for them then, and are ruled out all the same."""
    same: tuple[tuple[Id, Id, tuple[Id, ...]], ...] = ()
    """Those: pass id, position, items."""
    most_work_min: NotNegative | None = None
    """Or the work between the passes, in person-minutes as the allocation counts it, may be no more
    than this."""
    words: str
    """Why, with minutes."""
    gap_min: NotNegative
    """Minutes that were there."""
    crew: tuple[Id, ...]
    """Who was there."""
    round: Annotated[int, Field(ge=1)] = 1
    """In which round it was found."""
