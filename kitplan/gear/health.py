"""How much of its minutes a battery still gives, from what it gave on real shoots.

Health is the state of health of a battery: minutes to flat over the minutes that a new one gives in
the same body. One run says little (cold, a body left on, a slip of the pen), so that health is the
greatest share which more runs lasted than went flat before it. A run that was still going when it
was noted counts as one that lasted, and never as one that went flat: it is a lower bound. Where all
runs went to flat, that is their median (of an even number the lower one of the middle two).
Common practice, no source; that a pack is worn out at 80 % is what IEEE Std 450 says of standby
batteries, and the usual figure for packs of lithium cells.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor

WINDOW = 5
"""So many runs to flat count, the latest ones, with what was still going since the first of them.
Common practice, no source."""
LEAST = 3
"""Fewer runs to flat change nothing: one of two may be odd. Common practice, no source."""
OLD = 0.8
"""Below this share a pack is old."""
_SMALLEST = 0.01


@dataclass(frozen=True)
class Lasted:
    """One run, as a share of what a new battery gives in the same body."""

    share: float
    is_to_flat: bool


def health_from(runs: Sequence[Lasted]) -> float | None:
    """Return the health of a battery, in whole hundredths, rounded down, at most 1; None while too
    few of its runs went to flat.

    Args:
        runs: The oldest first.
    """
    flat = [place for place, run in enumerate(runs) if run.is_to_flat]
    if len(flat) < LEAST:
        return None
    latest = runs[flat[-WINDOW] :] if len(flat) > WINDOW else runs
    shares = sorted({run.share for run in latest}, reverse=True)
    lasting = next(share for share in shares if _lasts(latest, share))
    return min(1.0, max(_SMALLEST, floor(round(lasting * 100, 6)) / 100))


def _lasts(runs: Sequence[Lasted], share: float) -> bool:
    """Whether more runs lasted so long than went flat before; of the shortest that is always so."""
    reached = sum(run.share >= share for run in runs)
    return reached > sum(run.is_to_flat and run.share < share for run in runs)


def new_minutes(measured_min: float | None, seen_min: Sequence[float]) -> float | None:
    """Return the minutes that a new battery gives in a body; None where nobody can know yet.

    Args:
        measured_min: What was measured of it; None where its minutes are from a nameplate.
        seen_min: Every run of any such battery in that body. Without a measurement the second
            longest stands in: the longest may be a slip of the pen.
    """
    if measured_min is not None:
        return measured_min
    return sorted(seen_min)[-2] if len(seen_min) >= LEAST else None
