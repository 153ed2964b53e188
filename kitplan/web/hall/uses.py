"""Which thing the plan takes where: its pass, its camera, its place."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from kitplan.paper.lists import pass_lists
from kitplan.paper.names import Names, when
from kitplan.plan.records import Plan
from kitplan.shoot.records import Pass, Shoot


@dataclass(frozen=True)
class Use:
    """A unit in one pass."""

    list_name: str
    """What it is signed out with: the shoot and the pass, `depot-brass/show`."""
    own_id: str
    """The pass."""
    label: str
    when: str
    what: str
    """'Camera A', 'Chargers'."""
    letter: str
    """Of its camera; empty for anything else."""
    is_operated: bool
    place: str
    who: str
    ends: datetime

    def is_over(self, now: datetime) -> bool:
        """Whether the pass has ended.

        Args:
            now: With a time zone.
        """
        return self.ends < now


def uses_of(plan: Plan) -> dict[str, tuple[Use, ...]]:
    """Return the uses of every unit that a plan takes, in the order of its passes."""
    names = Names(plan)
    found: dict[str, list[Use]] = {}
    for listed in pass_lists(names, plan.pass_ids()):
        shoot, each = plan.pass_of(listed.pass_id)
        operated = {p.letter: p.manner == "operated" for p in plan.placements_in(listed.pass_id)}
        for group in listed.groups:
            letter = group.name.removeprefix("Camera ") if group.position else ""
            use = Use(
                listed.pass_id,
                each.id,
                names.pass_label(listed.pass_id),
                when(shoot, each),
                group.name,
                letter,
                operated.get(letter, False),
                group.position,
                group.who,
                _ends(shoot, each),
            )
            for entry in group.entries:
                found.setdefault(entry.unit, []).append(use)
    return {unit: tuple(uses) for unit, uses in found.items()}


def next_use(uses: tuple[Use, ...], now: datetime) -> Use | None:
    """Return the first use that is not over; None where all are."""
    return next((use for use in uses if not use.is_over(now)), None)


def _ends(shoot: Shoot, each: Pass) -> datetime:
    """Return when a pass ends, with the time zone of the shoot where its file names none."""
    ends = shoot.end_of(each)
    return ends if ends.tzinfo is not None else ends.replace(tzinfo=ZoneInfo(shoot.time_zone))
