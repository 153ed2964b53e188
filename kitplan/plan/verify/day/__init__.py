"""The check of the day: every part of a plan's clock, re-derived from plan and input alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from kitplan.plan.records import Plan
from kitplan.plan.verify.day.cases import case_findings
from kitplan.plan.verify.day.cover import cover_findings
from kitplan.plan.verify.day.media import media_findings
from kitplan.plan.verify.day.power import power_findings
from kitplan.plan.verify.day.rolls import rolls_findings
from kitplan.plan.verify.day.shots import shots_findings
from kitplan.plan.verify.day.sound import sound_findings
from kitplan.plan.verify.day.work import no_good_findings, work_findings
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.scene import Scene


def day_findings(plan: Plan, scenes: Mapping[str, Scene]) -> Iterator[Finding]:
    """Yield what does not hold in the day of a plan; scenes by shoot id."""
    yield from no_good_findings(plan, scenes)
    if plan.day is None:
        return
    yield from shots_findings(plan, scenes)
    yield from rolls_findings(plan, scenes)
    yield from cover_findings(plan, scenes)
    yield from work_findings(plan, scenes)
    yield from sound_findings(plan, scenes)
    yield from power_findings(plan, scenes)
    yield from media_findings(plan, scenes)
    yield from case_findings(plan, scenes)
