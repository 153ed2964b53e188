"""What changes when something is lost: only what moves, and whom it matters to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.whom import to_whom, whom_text
from kitplan.plan.difference import PlacementChange
from kitplan.plan.records import Plan
from kitplan.shoot.past import Past
from kitplan.shoot.records import Song

GOAL_WORDS = {
    "musts": "musts missed",
    "wants": "wants filled, by weight",
    "thinnest": "viewpoints in the thinnest song",
    "viewpoints": "points of distinct viewpoints",
    "variety": "variety of subjects, sizes, angles of view",
}


def loss_records(before: Plan, after: Plan, changes: Sequence[PlacementChange]) -> dict[str, Any]:
    """Return the reply to a loss as plain data."""
    return {
        "goals": {
            goal: {"before": before.value_of(goal), "after": after.value_of(goal)}
            for goal in GOAL_WORDS
        },
        "changes": [
            {
                "parts": change.parts,
                "pass_id": change.pass_id,
                "position": change.position,
                "what": change.what,
                "before": change.before and change.before.model_dump(mode="json"),
                "after": change.after and change.after.model_dump(mode="json"),
            }
            for change in changes
        ],
        "past": past_of(after).model_dump(mode="json"),
        "to_whom": [asdict(told) for told in to_whom(before, after, changes)],
    }


def loss_text(
    lost: Sequence[str], before: Plan, after: Plan, changes: Sequence[PlacementChange]
) -> str:
    """Return the reply to a loss, or to what was not got, as a page.

    Args:
        lost: Names of what is lost.
    """
    over = past_of(after).passes
    coming = [p for p in before.placements if p.pass_id.partition("/")[2] not in over]
    gone = sum(change.before is not None for change in changes)
    rigs = len(coming) - sum(change.is_rigging for change in changes if change.before)
    short = (
        f"{len(coming) - gone} of {counted(len(coming), 'placement')} stay exactly as they are, "
        f"{rigs} as they are rigged. "
        if changes
        else "Nothing has to change. "
    )
    return blocks(
        heading(f"{_occasion(lost, after)}: {before.title}"),
        paragraph(short + _musts(after)),
        _not_got(after),
        table_text(("", "before", "after"), _goal_rows(before, after)),
        whom_text(before, to_whom(before, after, changes)),
    )


def past_of(plan: Plan) -> Past:
    """Return what is over of a plan of one shoot."""
    (shoot,) = plan.shoots.values()
    return shoot.past


def _occasion(lost: Sequence[str], after: Plan) -> str:
    """What the plan is about: 'After Closed run, without Senna'."""
    (shoot,) = after.shoots.values()
    over = [shoot.passes_by_id[each].label for each in shoot.past.passes]
    words = [f"after {joined(over)}"] if over else []
    words += [f"without {joined(list(lost))}"] if lost else []
    first = ", ".join(words) or "as it was"
    return first[:1].upper() + first[1:]


def _not_got(after: Plan) -> str:
    """Say what each camera of a pass that is over has not got."""
    (shoot,) = after.shoots.values()
    lines = []
    for each in shoot.past.passes:
        label, run = shoot.passes_by_id[each].label, shoot.run_songs(shoot.passes_by_id[each])
        lost = [song for song in run if shoot.past.lacks(each, song.id)]
        if lost:
            lines.append(f"{label}: no camera has got {_songs(lost, run)}.")
        for stood in shoot.past.stood_in(each):
            own = [song for song in run if song.id in stood.missed and song not in lost]
            if own:
                left = [song for song in run if song not in lost]
                lines.append(f"{label}: camera {stood.letter} has not got {_songs(own, left)}.")
    return bullets(lines)


def _songs(missed: Sequence[Song], of: Sequence[Song]) -> str:
    return "any song" if len(missed) == len(of) else joined([song.label for song in missed])


def _musts(after: Plan) -> str:
    missed = [d.words for d in after.demands if d.priority == "must" and not d.is_met]
    return f"MISSED now: {'; '.join(missed)}." if missed else "Every must is still met."


def _goal_rows(before: Plan, after: Plan) -> list[tuple[str, str, str]]:
    counts = [sum(p.is_counted for p in plan.placements) for plan in (before, after)]
    rows = [("distinct viewpoints", str(counts[0]), str(counts[1]))]
    for goal, words in GOAL_WORDS.items():
        values = [plan.value_of(goal) for plan in (before, after)]
        rows.append((words, f"{abs(values[0]):.4g}", f"{abs(values[1]):.4g}"))
    return rows
