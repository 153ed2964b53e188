"""A cut, made the same way every time: which angle each shot of a song shows.

Every shot goes to the allowed angle not seen for longest, if some next shot is allowed after it.
Allowed means (thresholds come from shared/rules.yaml):

- no jump cut: the shot before shows another angle that it can be cut with;
- a speciality or insert stands a few times at most, and never next to another one; they wait until
  their share of the song has run, so that they spread over it, unless nothing else is allowed;
- the safety shot opens the song and is back after so many shots, neither sooner nor later.

Where nothing is allowed, the shot is taken that breaks least: rather something once too often than
a jump cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor
from typing import Literal

from kitplan.stage.angles import Flags

Use = Literal["safety", "free", "speciality", "insert"]
"""The safety shot; an operated angle; a locked-off one; one that keeps in step for a moment."""
SPARING = ("speciality", "insert")
MOST_SHOTS = 5_000
"""A longer song (seven hours at 5 s a shot) is cut no further than this: it goes on likewise."""
_FAULTLESS = (False, 0)


@dataclass(frozen=True)
class Pace:
    """How a song is to be cut."""

    length_s: float
    shot_s: float
    """Wanted length of a shot; what is left at the end, up to half of it, goes to the last."""
    speciality_most: int
    safety_every: tuple[int, int]
    """The safety shot is back no sooner and no later than after so many shots."""

    @property
    def shots(self) -> int:
        """Shots that the song needs at that length."""
        return max(1, floor(min(self.length_s / self.shot_s, MOST_SHOTS) + 0.5))


@dataclass(frozen=True)
class Slot:
    """One shot of a cut."""

    angle: int
    """Number of the angle that it shows."""
    start_s: float
    is_jump: bool
    """A jump cut from the shot before."""
    is_overuse: bool
    """An angle once too often, or the safety shot out of its interval."""


def make_cut(
    uses: Sequence[Use], holds_s: Sequence[float], cuttable: Flags, pace: Pace
) -> tuple[Slot, ...]:
    """Return the cut of a song; empty where there is no angle.

    Args:
        uses: What each angle is good for; at most one is the safety shot. In doubt earlier ones
            come first.
        holds_s: How long each may hold, at most; infinite where nothing limits it.
        cuttable: For each pair of angles whether one may follow the other, shape (n, n).
    """
    if not uses:
        return ()
    table = _Table(uses, cuttable.tolist(), pace)
    slots: list[Slot] = []
    start_s = 0.0
    while not slots or (pace.length_s - start_s > pace.shot_s / 2 and len(slots) < MOST_SHOTS):
        angle = table.next_angle()
        is_jump, overuse = table.breaks(angle)
        slots.append(Slot(angle, start_s, is_jump, overuse > 0))
        table.show(angle)
        start_s += min(holds_s[angle], pace.shot_s)
    return tuple(slots)


class _Table:
    """The cutting table: what has been shown so far, and what may come next."""

    def __init__(self, uses: Sequence[Use], cuttable: list[list[bool]], pace: Pace) -> None:
        self.uses, self.cuttable, self.pace = uses, cuttable, pace
        self.safety = uses.index("safety") if "safety" in uses else None
        self.budget = pace.speciality_most * sum(use in SPARING for use in uses)
        """Shots that specialities and inserts may fill together."""
        self.spent = 0
        """Shots that they have filled."""
        self.shown: list[int] = []
        """The angle of each shot so far."""
        self.times = [0] * len(uses)
        self.last_seen = [-1] * len(uses)

    def show(self, angle: int) -> None:
        """Put an angle into the cut."""
        self.last_seen[angle] = len(self.shown)
        self.shown.append(angle)
        self.times[angle] += 1
        self.spent += self.uses[angle] in SPARING

    def next_angle(self) -> int:
        """Return the angle of the next shot."""
        order = sorted(range(len(self.uses)), key=lambda n: (self._waits(n), self.last_seen[n]))
        allowed = [angle for angle in order if self.breaks(angle) == _FAULTLESS]
        for angle in allowed:
            if self._leads_on(angle):
                return angle
        return allowed[0] if allowed else min(order, key=self.breaks)

    def breaks(self, angle: int) -> tuple[bool, int]:
        """Return whether an angle would make a jump cut, and how many other rules it breaks."""
        before = self.shown[-1] if self.shown else None
        is_jump = before is not None and not self.cuttable[before][angle]
        is_sparing = self.uses[angle] in SPARING
        is_beside = is_sparing and before is not None and self.uses[before] in SPARING
        is_often = is_sparing and self.times[angle] >= self.pace.speciality_most
        return is_jump, is_beside + is_often + self._puts_safety_off(angle)

    def _puts_safety_off(self, angle: int) -> bool:
        """Whether the safety shot comes too soon, or is due and another angle comes."""
        if self.safety is None:
            return False
        if self.times[self.safety] == 0:
            return angle != self.safety
        soonest, latest = self.pace.safety_every
        since = len(self.shown) - self.last_seen[self.safety]
        return since < soonest if angle == self.safety else since >= latest

    def _waits(self, angle: int) -> bool:
        """Whether specialities and inserts have had their share of the song so far."""
        if self.uses[angle] not in SPARING:
            return False
        return (self.spent + 1) * self.pace.shots > self.budget * (len(self.shown) + 1)

    def _leads_on(self, angle: int) -> bool:
        """Whether some shot is allowed after this one."""
        seen = self.last_seen[angle]
        self.show(angle)
        found = any(self.breaks(other) == _FAULTLESS for other in range(len(self.uses)))
        self.shown.pop()
        self.times[angle] -= 1
        self.spent -= self.uses[angle] in SPARING
        self.last_seen[angle] = seen
        return found
