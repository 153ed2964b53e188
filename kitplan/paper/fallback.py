"""If this is lost, do that: a table for the show pack, by kind of thing, the worst loss first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kitplan.paper.layout import blocks, counted, heading, paragraph, table_text
from kitplan.paper.losses import loss_records
from kitplan.paper.names import Names
from kitplan.paper.whom import Detail, to_whom
from kitplan.plan.records import Plan
from kitplan.whatif.fallback import DECIDING, Fallback

HEADINGS = {
    "item": "A thing",
    "person": "A person",
    "position": "A position",
    "pass": "A pass",
}
SHORT = Detail(has_menus=False)
BRIEF = Detail(has_menus=False, has_settings=False, has_before=False)
"""For a sheet of paper: whoever moves a camera lines it up anew."""
COSTS = {
    "wants": "wants by weight",
    "thinnest": "thinnest song",
}


def fallback_records(plan: Plan, found: Sequence[Fallback]) -> list[dict[str, Any]]:
    """Return every loss and its reply as plain data, in the order given."""
    return [
        {
            "kind": each.kind,
            "id": each.loss.id,
            "label": each.loss.label,
            "reason": each.result.reason,
            "missed": each.result.missed,
            "is_proven": each.result.is_proven,
            "do": [{"label": label, "lines": lines} for label, lines in _reply(plan, each, BRIEF)],
            "costs": _costs(plan, each, has_points=False),
            **(
                loss_records(plan, each.result.reply, each.result.changes)
                if each.result.reply is not None
                else {}
            ),
        }
        for each in found
    ]


def fallback_text(plan: Plan, found: Sequence[Fallback]) -> str:
    """Return what to do if one thing is lost, as a page."""
    done = [each for each in found if each.result.reply is not None]
    free = sum(_costs(plan, each) == [NOTHING] for each in done)
    short = (
        f"{counted(len(done), 'loss', 'losses')} looked at, each by itself; {free} of them cost no "
        f"role and no viewpoint. Each reply is checked, keeps what stands, and leaves the rest of "
        f"the plan as it is."
    )
    return blocks(
        heading(f"If something is lost: {plan.title}"),
        paragraph(short),
        *(_table(plan, kind, [each for each in found if each.kind == kind]) for kind in HEADINGS),
    )


NOTHING = "nothing"


def _table(plan: Plan, kind: str, found: Sequence[Fallback]) -> str:
    if not found:
        return ""
    rows = [
        (each.loss.label, _reply_text(plan, each), "\n".join(_costs(plan, each))) for each in found
    ]
    headers = ("if this is lost", "do this", "it costs")
    return f"{heading(HEADINGS[kind], '-')}\n{table_text(headers, rows, is_spaced=True)}"


def _reply_text(plan: Plan, each: Fallback) -> str:
    lines = []
    for label, words in _reply(plan, each, SHORT):
        lines += [label.upper(), *words] if label else words
    return "\n".join(lines)


def _reply(plan: Plan, each: Fallback, detail: Detail) -> list[tuple[str, list[str]]]:
    """Return what moves, by the name of the pass; without one what holds for all of them."""
    reply = each.result.reply
    if reply is None:
        return [("", [f"No reply: {each.result.reason}."])]
    names = Names(plan)
    by_pass: dict[str, list[str]] = {}
    for told in to_whom(plan, reply, each.result.changes, detail):
        lines = by_pass.setdefault(names.pass_label(told.pass_id), [])
        lines += [f"{told.name}: {words}" for words in told.words]
    if by_pass:
        return list(by_pass.items())
    other = "; other shots between songs" if each.result.changes else ""
    return [("", [f"Nothing moves{other}."])]


def _costs(plan: Plan, each: Fallback, *, has_points: bool = True) -> list[str]:
    """Return what is lost of the goals that decide, as before and after.

    Args:
        has_points: Say also what the points of viewpoints come to; else where nothing else is lost.
    """
    reply = each.result.reply
    if reply is None:
        return ["not known"]
    if [reply.value_of(g) for g in DECIDING] >= [plan.value_of(g) for g in DECIDING]:
        return [NOTHING]
    lines = [f"MISSED: {words}" for words in each.result.missed if words not in _missed(plan)]
    for goal, words in COSTS.items():
        was, now = plan.value_of(goal), reply.value_of(goal)
        if now != was:
            lines.append(f"{words} {was:g} to {now:g}")
    counts = [sum(p.is_counted for p in one.placements) for one in (plan, reply)]
    if counts[0] != counts[1]:
        lines.append(f"viewpoints {counts[0]} to {counts[1]}")
    points = [one.value_of("viewpoints") for one in (plan, reply)]
    if abs(points[0] - points[1]) > 1e-6 and (has_points or not lines):
        lines.append(f"points {points[0]:.4g} to {points[1]:.4g}")
    return lines


def _missed(plan: Plan) -> set[str]:
    return {d.words for d in plan.demands if d.priority == "must" and not d.is_met}
