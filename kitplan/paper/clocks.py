"""Times of day for people: '16:01', with the weekday where a shoot runs over several days."""

from __future__ import annotations

from datetime import datetime, timedelta

from kitplan.plan.records import Plan


def has_days(plan: Plan) -> bool:
    """Whether the passes of a plan lie on more than one day."""
    return len({each.start.date() for s in plan.shoots.values() for each in s.passes}) > 1


def clock_time(plan: Plan, moment: datetime) -> str:
    """Return a time of day: '16:01', or 'Sat 16:01'."""
    return f"{moment:%a %H:%M}" if has_days(plan) else f"{moment:%H:%M}"


def wall(moment: datetime) -> datetime:
    """Return a time as the clock on the wall shows it, so that any two can be put in order."""
    return moment.replace(tzinfo=None)


def to_minute(moment: datetime) -> datetime:
    """Return a time to the nearest minute."""
    return (moment + timedelta(seconds=30)).replace(second=0, microsecond=0)


def percent(share: float) -> str:
    """Return a share: '28 %'."""
    return f"{share * 100:.0f} %"
