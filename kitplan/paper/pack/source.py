"""What papers are filled from: one plan, how it is printed, and what was worked out beside it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from typing import Any

from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Sheet
from kitplan.paper.pack.setting import Setting
from kitplan.plan.records import Day, Plan


@dataclass(frozen=True)
class Source:
    """A plan with its day, and how its papers are printed."""

    plan: Plan
    setting: Setting
    schedules: dict[str, Any] | None = None
    """What `kitplan compare --json` said of the same shoot; None where nobody asked it."""
    fallback: dict[str, Any] | None = None
    """What `kitplan fallback --json` said of this plan."""
    gains: dict[str, Any] | None = None
    """What `kitplan gains --json` said of the same shoot."""

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

    @cached_property
    def mark(self) -> str:
        """A mark that changes with the plan and stands on every sheet: old papers are told by it.

        Six signs of a digest of the whole plan.
        """
        digest = sha256(self.plan.model_dump_json().encode()).hexdigest().upper()
        return f"{digest[:3]}-{digest[3:6]}"
