"""The smallest change that makes room for what a plan misses, in words: what it costs and gives."""

from __future__ import annotations

from typing import Any

from kitplan.paper.goals import GOALS
from kitplan.paper.layout import blocks, counted, joined, paragraph, table_text
from kitplan.plan.records import Plan
from kitplan.whatif.changes import Repair


def repair_text(plan: Plan, repair: Repair) -> str:
    """Return the smallest change, with what it costs, or what was tried in vain."""
    if repair.change is None:
        return paragraph(f"Smallest change: {_none_found(repair)}")
    what = joined([f"'{words}'" if " " not in words else words for words in repair.wanted])
    met = "uses it" if repair.is_of_use else f"meets {what}"
    start = f"Smallest change: {repair.change.words}. A new plan then {met}"
    text = f"{start} and keeps {_kept(repair)}."
    is_proven = repair.is_proven and all(goal.is_proven for goal in plan.goals)
    ending = "" if is_proven else " Not all of these are proven: some of it may be due to the time."
    return blocks(
        paragraph(text),
        table_text(("goal", "before", "after"), _goal_rows(repair)),
        paragraph((_tried(repair) + ending).strip()),
        paragraph(_others(repair)),
    )


def _kept(repair: Repair) -> str:
    if repair.change is not None and repair.change.given_up:
        return "all else that is met"
    return "every must and want" if repair.keeps_wants else "every must"


def repair_record(repair: Repair | None) -> dict[str, Any] | None:
    """Return what was tried as plain data."""
    if repair is None:
        return None
    change = repair.change
    return {
        "wanted": list(repair.wanted),
        "change": {"kind": change.kind, "words": change.words} if change else None,
        "before": repair.before,
        "after": repair.after,
        "is_proven": repair.is_proven,
        "cannot": repair.cannot,
        "open": list(repair.open),
        "possible": list(repair.possible),
        "others": list(repair.others),
        "is_out_of_time": repair.is_out_of_time,
    }


def _goal_rows(repair: Repair) -> list[tuple[str, str, str]]:
    """Return each goal without and with the change."""
    both = (repair.before, repair.after)
    return [
        (words.name, *(words.figure(each[goal]) if goal in each else "" for each in both))  # type: ignore[misc]
        for goal, words in GOALS.items()
    ]


def _none_found(repair: Repair) -> str:
    tried = repair.cannot + len(repair.open) + len(repair.possible)
    if repair.is_out_of_time:
        start = "none was found in the time; not every change was tried. Give it more --seconds."
    elif not tried:
        start = "none of the changes that are known here could help."
    elif repair.open:
        start = "none was found in the time. Give it more --seconds."
    else:
        start = "no single one of those tried is enough."
    return f"{start} {_tried(repair)}".strip()


def _others(repair: Repair) -> str:
    if not repair.others:
        return ""
    return f"The next that would do, each by itself: {joined(repair.others)}."


def _tried(repair: Repair) -> str:
    """Return what else was asked about, and how that ended."""
    parts = []
    if repair.cannot:
        number = counted(repair.cannot, "cheaper change" if repair.change else "change")
        parts.append(f"{number}: proven not to help alone.")
    if repair.open:
        parts.append(f"Not settled in the time: {joined(repair.open)}.")
    if repair.possible:
        parts.append(f"Possible, but the plan found makes no use of it: {joined(repair.possible)}.")
    return " ".join(parts)
