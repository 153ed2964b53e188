"""The day in whole minutes from the first downbeat: when passes run, and when hands are free.

Times that something has to wait for are rounded up, times by which it has to be done down.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import pairwise
from math import ceil, floor

from kitplan.shoot.records import Pass, Shoot

DAY_MIN = 24 * 60
_SLACK = 1e-6
Span = tuple[int, int]


@dataclass(frozen=True)
class Minutes:
    """The passes of a shoot on one clock."""

    shoot: Shoot

    @property
    def origin(self) -> datetime:
        """The first downbeat."""
        return self.shoot.passes[0].start

    def until(self, moment: datetime) -> float:
        """Return the minutes from the first downbeat to a moment."""
        return (moment - self.origin).total_seconds() / 60

    def at(self, minute: int) -> datetime:
        """Return the moment of a minute."""
        return self.origin + timedelta(minutes=minute)

    @cached_property
    def spans(self) -> tuple[Span, ...]:
        """Begin (rounded down) and end (rounded up) of each pass."""
        return tuple(
            (floor(self.until(p.start) + _SLACK), ceil(self.until(self.shoot.end_of(p)) - _SLACK))
            for p in self.shoot.passes
        )

    def gate(self, each: Pass) -> int:
        """Return when a pass has to be ready: its doors, else its start."""
        return floor(self.until(each.doors or each.start) + _SLACK)

    def hands(self, horizon: int) -> list[Span]:
        """Return when somebody can change a pack or a card, both ends included: between passes, but
        not at night (from the rule `hands_until_h` to `hands_from_h`), and after the last one for
        as long as it takes.
        """
        between = [(one[1], other[0]) for one, other in pairwise(self.spans)]
        found = [span for begin, end in between for span in self._awake(begin, end)]
        return [*found, (self.spans[-1][1], horizon)]

    def _awake(self, begin: int, end: int) -> Iterator[Span]:
        at = begin
        for night_begin, night_end in self._nights(begin, end):
            if at < night_begin:
                yield at, min(end, night_begin)
            at = max(at, night_end)
        if at <= end:
            yield at, end

    def _nights(self, begin: int, end: int) -> Iterator[Span]:
        rules = self.shoot.rules
        length = (rules.hands_from_h - rules.hands_until_h) % 24 * 60
        midnight = self.origin.replace(hour=0, minute=0, second=0, microsecond=0)
        first = (
            ceil(self.until(midnight)) + rules.hands_until_h * 60 + (begin // DAY_MIN - 1) * DAY_MIN
        )
        for night in range(first, end + 1, DAY_MIN):
            if length and night + length > begin:
                yield night, night + length
