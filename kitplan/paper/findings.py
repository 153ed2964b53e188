"""The answer of the checker as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitplan.paper.layout import bullets, counted, paragraph
from kitplan.plan.records import Plan

if TYPE_CHECKING:
    from kitplan.plan.verify import Finding

FAMILIES = (
    "position",
    "camera",
    "stand",
    "payload",
    "operator",
    "shot",
    "endurance",
    "slots",
    "units",
    "needs",
    "cards",
    "people",
    "minding",
    "batteries",
    "reset",
    "roles and musts",
    "distinct viewpoints",
    "letters",
    "figures and goals",
)
"""Families of rules that every plan is held to, in the order of docs/model.md."""


def findings_text(plan: Plan, findings: tuple[Finding, ...]) -> str:
    """Return that a plan holds, or everything that does not."""
    if not findings:
        return paragraph(
            f"{plan.title}: holds: {counted(len(plan.placements), 'placement')}, "
            f"{len(FAMILIES)} families of rules, nothing found"
        )
    head = f"{plan.title}: {counted(len(findings), 'finding')}; the plan does not hold"
    return f"{paragraph(head)}\n{bullets(map(str, findings))}"
