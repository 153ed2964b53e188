"""When passes run and hands are free, for the checks of power and media: minutes from the first
downbeat of a shoot.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from kitplan.plan.verify.hours import minutes_between
from kitplan.plan.verify.scene import Scene
from kitplan.shoot.records import Pass

SLACK_MIN = 1e-6


def minute(scene: Scene, moment: datetime) -> float:
    """Return the minutes from the first downbeat to a moment."""
    return minutes_between(scene.shoot.passes[0].start, moment)


def begin_of(scene: Scene, each: Pass) -> float:
    """Return when a pass begins."""
    return minute(scene, each.start)


def end_of(scene: Scene, each: Pass) -> float:
    """Return when a pass ends."""
    return minute(scene, scene.end_of(each))


def hand_fault(scene: Scene, moment: datetime) -> str | None:
    """Return why nobody has a hand free at a moment, in words; None where somebody has."""
    at = minute(scene, moment)
    if at < end_of(scene, scene.shoot.passes[0]) - SLACK_MIN:
        return "before the end of the first pass"
    for each in scene.shoot.passes:
        if begin_of(scene, each) + SLACK_MIN < at < end_of(scene, each) - SLACK_MIN:
            return f"while {each.id} runs"
    if at >= end_of(scene, scene.shoot.passes[-1]) - SLACK_MIN:
        return None
    if any(begin + SLACK_MIN < at < end - SLACK_MIN for begin, end in _nights(scene, moment)):
        return "at night"
    return None


def _nights(scene: Scene, moment: datetime) -> Iterator[tuple[float, float]]:
    """Yield the nights around a moment, from `hands_until_h` to `hands_from_h`."""
    rules = scene.shoot.rules
    hours = (rules.hands_from_h - rules.hands_until_h) % 24
    for shift in (-1, 0):
        day = moment.replace(hour=0, minute=0, second=0, microsecond=0)
        begin = minute(scene, day + timedelta(days=shift, hours=rules.hands_until_h))
        if hours:
            yield begin, begin + hours * 60
