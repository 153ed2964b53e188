"""What changes when something is lost: only what moves, and whom it matters to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.names import Names, settings
from kitplan.plan.difference import PlacementChange
from kitplan.plan.records import Placement, Plan

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
            goal: {"before": _value(before, goal), "after": _value(after, goal)}
            for goal in GOAL_WORDS
        },
        "changes": [
            {
                **{key: value for key, value in asdict(change).items() if key == "parts"},
                "pass_id": change.pass_id,
                "position": change.position,
                "what": change.what,
                "before": change.before and change.before.model_dump(mode="json"),
                "after": change.after and change.after.model_dump(mode="json"),
            }
            for change in changes
        ],
    }


def loss_text(
    lost: Sequence[str], before: Plan, after: Plan, changes: Sequence[PlacementChange]
) -> str:
    """Return the reply to a loss as a page.

    Args:
        lost: Names of what is lost.
    """
    gone = sum(change.before is not None for change in changes)
    stays = len(before.placements) - gone
    rigs = len(before.placements) - sum(change.is_rigging for change in changes if change.before)
    short = (
        f"{stays} of {counted(len(before.placements), 'placement')} stay exactly as they are, "
        f"{rigs} as they are rigged. "
        if changes
        else "Nothing has to change. "
    )
    return blocks(
        heading(f"Without {joined(list(lost))}: {before.title}"),
        paragraph(short + _musts(after)),
        table_text(("", "before", "after"), _goal_rows(before, after)),
        *(_pass_block(Names(before), Names(after), p, changes) for p in before.pass_ids()),
    )


def _musts(after: Plan) -> str:
    missed = [d.words for d in after.demands if d.priority == "must" and not d.is_met]
    return f"MISSED now: {'; '.join(missed)}." if missed else "Every must is still met."


def _goal_rows(before: Plan, after: Plan) -> list[tuple[str, str, str]]:
    counts = [sum(p.is_counted for p in plan.placements) for plan in (before, after)]
    rows = [("distinct viewpoints", str(counts[0]), str(counts[1]))]
    for goal, words in GOAL_WORDS.items():
        values = [_value(plan, goal) for plan in (before, after)]
        rows.append((words, f"{abs(values[0]):.4g}", f"{abs(values[1]):.4g}"))
    return rows


def _value(plan: Plan, goal: str) -> float:
    return next((each.value for each in plan.goals if each.goal == goal), 0.0)


def _pass_block(old: Names, new: Names, pass_id: str, changes: Sequence[PlacementChange]) -> str:
    own = [change for change in changes if change.pass_id == pass_id]
    if not own:
        return ""
    lines = [_words(old, new, change) for change in own]
    return f"{heading(old.pass_label(pass_id), '-')}\n{bullets(lines)}"


def _words(old: Names, new: Names, change: PlacementChange) -> str:
    if change.after is None:
        assert change.before is not None  # one of the two is there
        who = old.operator(change.before)
        freed = f"; {who} is free" if change.before.operator else ""
        return f"{old.place(change.before)}: camera {change.before.letter} goes{freed}."
    if change.before is None:
        return f"{new.place(change.after)}: new, {_whole(new, change.after)}."
    parts = [_part(old, new, change.before, change.after, part) for part in change.parts]
    letter = change.after.letter
    return f"{new.place(change.after)}, camera {letter}: {'; '.join(filter(None, parts))}."


def _whole(names: Names, placement: Placement) -> str:
    return (
        f"camera {placement.letter}, {names.camera(placement)} on {names.stand(placement)}, "
        f"{names.operator(placement)}, {names.framing(placement.pass_id, placement.shot)} "
        f"({settings(placement.shot)})"
    )


def _part(old: Names, new: Names, one: Placement, other: Placement, part: str) -> str:
    match part:
        case "camera":
            return f"{new.camera(other)} instead of {old.camera(one)}"
        case "stand":
            return f"on {new.stand(other)} instead of {old.stand(one)}"
        case "operator":
            return f"{new.operator(other)} instead of {old.operator(one)}"
        case "shot":
            was, now = (n.framing(p.pass_id, p.shot) for n, p in ((old, one), (new, other)))
            return f"frames {now} instead of {was} ({settings(other.shot)})"
        case "roles":
            return f"role now: {new.roles(other) or 'free choice'}"
        case _:
            framings = [new.framing(other.pass_id, each) for each in other.menu]
            return f"between songs also {joined(framings)}" if framings else "no further shots"
