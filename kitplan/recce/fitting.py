"""What the owned kit asks of a new shoot: how high its stands reach, how fast its bodies record."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from kitplan.gear.kit import Kit
from kitplan.gear.records import Body, Support
from kitplan.recce.answers import Answers

USUAL_FPS = {50: 25.0, 60: 30.0}
"""Frames a second by mains frequency."""
TALLEST_M = 2.3
"""Wished for where no stand is owned."""


@dataclass(frozen=True)
class Fitting:
    """What fits the kit."""

    tallest_m: float
    """Highest lens over the floor on any stand."""
    rate_fps: float
    frame_px: tuple[int, int]


def fitting(kit: Kit, answers: Answers) -> Fitting:
    """Return what fits a kit: the usual frame rate of the mains if any body has it."""
    owned = kit.units_by_item
    stands = [
        stand.height_max_m
        for stand in kit.of_kind(Support)
        if stand.id in owned and "floor" in stand.stands_on and stand.can_stand_alone
    ]
    modes = [mode for body in kit.of_kind(Body) if body.id in owned for mode in body.modes]
    usual = USUAL_FPS[answers.mains_hz]
    rates = Counter(mode.frame_rate_fps for mode in modes)
    rate = usual if usual in rates or not rates else rates.most_common(1)[0][0]
    widths = [(m.frame_width_px, m.frame_height_px) for m in modes if m.frame_rate_fps == rate]
    least = min(widths, default=(1920, 1080))
    frame = (1920, 1080) if least[0] >= 1920 else least
    return Fitting(max(stands, default=TALLEST_M), rate, frame)
