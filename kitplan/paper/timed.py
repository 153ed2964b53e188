"""Times of a pass for people: time of day, and stretches of a song."""

from __future__ import annotations

from datetime import timedelta

from kitplan.plan.records import Plan
from kitplan.plan.verify.day.clocked import PassClock
from kitplan.plan.verify.scene import Scene


def clocks(plan: Plan, pass_ids: tuple[str, ...]) -> tuple[PassClock, ...]:
    """Return passes of a plan on their clocks."""
    scenes = {shoot_id: Scene(shoot, plan.kit) for shoot_id, shoot in plan.shoots.items()}
    return tuple(
        PassClock(plan, scenes[pass_id.partition("/")[0]], plan.pass_of(pass_id)[1], pass_id)
        for pass_id in pass_ids
    )


def time_of_day(clock: PassClock, at_s: float) -> str:
    """Return a second of a pass as time of day: '19:42:05'."""
    return f"{clock.each.start + timedelta(seconds=at_s):%H:%M:%S}"


def minutes(seconds: float) -> str:
    """Return a place in a song: '4:05'; hours where there are any."""
    whole = round(seconds)
    hours, rest = divmod(abs(whole), 3600)
    sign = "-" if whole < 0 else ""
    return f"{sign}{hours}:{rest // 60:02}:{rest % 60:02}" if hours else (
        f"{sign}{rest // 60}:{rest % 60:02}"
    )  # fmt: skip
