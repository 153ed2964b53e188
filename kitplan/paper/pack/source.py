"""What papers are filled from: one plan, how it is printed, and what was worked out beside it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from hashlib import sha256
from typing import TYPE_CHECKING

from kitplan.paper.clocks import has_days, to_minute
from kitplan.paper.names import Names, when
from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.setting import Setting
from kitplan.plan.records import Day, Plan

if TYPE_CHECKING:
    from kitplan.paper.pack.answers import FallbackAnswer, GainsAnswer, SchedulesAnswer


@dataclass(frozen=True)
class Source:
    """A plan with its day, and how its papers are printed."""

    plan: Plan
    setting: Setting
    schedules: SchedulesAnswer | None = None
    """What `kitplan compare --out` said of the same shoot; None where nobody asked it."""
    fallback: FallbackAnswer | None = None
    """What `kitplan fallback --out` said of this plan."""
    gains: GainsAnswer | None = None
    """What `kitplan gains --out` said of the same shoot."""

    @cached_property
    def names(self) -> Names:
        """Names for people."""
        return Names(self.plan)

    @cached_property
    def made(self) -> dict[str, tuple[Sheet, ...]]:
        """Sheets that were made already, by paper: the glossary reads all others."""
        return {}

    @property
    def day(self) -> Day:
        """The day; parts that were left out are None, and papers say so or leave them out."""
        return self.plan.day or Day()

    def clock(self, moment: datetime) -> str:
        """Return a time of day to the nearest minute, with the weekday where there are several."""
        minute = to_minute(moment)
        time = self.setting.time(minute)
        return f"{minute:%a} {time}" if has_days(self.plan) else time

    def hours(self, pass_id: str) -> str:
        """Return day and hours of a pass: 'Sat 15 May 2027, 14:30 to 16:00, no audience'."""
        return when(*self.plan.pass_of(pass_id), self.setting)

    @cached_property
    def mark(self) -> str:
        """A mark that changes with the plan and stands on every sheet: old papers are told by it.

        Six signs of a digest of the whole plan.
        """
        digest = (
            sha256(self.plan.model_dump_json(exclude_defaults=True).encode()).hexdigest().upper()
        )
        return f"{digest[:3]}-{digest[3:6]}"
