"""Alternatives to a plan as text: a line each on the trade-off, and a table of who stands where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from kitplan.paper.goals import GOALS, PART_SCALE
from kitplan.paper.layout import blocks, bullets, counted, heading, joined, paragraph, table_text
from kitplan.paper.marks import STEP_MIN
from kitplan.paper.names import Names
from kitplan.plan.alternatives import Alternatives, places_left, places_of
from kitplan.plan.records import Placement, Plan

MOST_PLACES = 4
"""So many places of a pass are named in the line on an alternative."""
AS_GOOD = ("musts", "wants", "thinnest", "viewpoints", "variety")
COSTS = (
    ("reset tenths", STEP_MIN, "person-minute of reset work", "person-minutes of reset work"),
    ("grams", 1, "kilogram to bring", "kilograms to bring"),
    ("lens changes", 1, "lens change", "lens changes"),
)
"""Parts of the goal economy, the step in which they are told, and words."""
NOTE = "* not as many cameras in each of the plans"
FOUND_NONE = {
    "all-found": "",
    "none-left": "There is none: proven, every plan as good has its cameras at these places.",
    "none-found": "No other plan as good was found; it is not proven that there is none.",
    "stopped": "Stopped before one was found.",
}
FOUND_FEWER = {
    "all-found": "",
    "none-left": "There is no other: proven, every further plan as good has its cameras at the "
    "places of one of these.",
    "none-found": "No other plan as good was found; it is not proven that there is none.",
    "stopped": "Stopped before another was found.",
}


def alternatives_text(alternatives: Alternatives, *, has_table: bool) -> str:
    """Return the alternatives on a page, each in a line."""
    lines = [_line(alternatives, number) for number in range(1, len(alternatives.plans))]
    ending = (FOUND_FEWER if lines else FOUND_NONE)[alternatives.ending]
    intro = "As good in musts, wants, viewpoints and variety, with cameras at other places:"
    return blocks(
        "\n".join(
            part
            for part in (
                heading("Alternatives", "-"),
                paragraph(intro) if lines else "",
                bullets(lines),
                paragraph(ending) if ending else "",
            )
            if part
        ),
        *(_tables(alternatives.plans) if has_table and lines else ()),
        NOTE if has_table and lines else "",
    )


def alternatives_records(alternatives: Alternatives, files: Sequence[Path]) -> dict[str, Any]:
    """Return the same as plain data.

    Args:
        files: Where each alternative was written.
    """
    plans = alternatives.plans
    return {
        "ending": alternatives.ending,
        "found": [
            {
                "file": str(path),
                "cameras": len(each.plan.placements),
                "left": [places_left(other, each.plan).total() for other in plans[:number]],
                "is_proven_most_different": each.is_proven,
                "goals": {
                    one.goal: {"plan": one.value, "alternative": other.value}
                    for one, other in zip(plans[0].goals, each.plan.goals, strict=True)
                },
                "trade_off": list(_trade_off(plans[0], each.plan)),
                "words": _line(alternatives, number),
            }
            for number, (each, path) in enumerate(zip(alternatives.found, files, strict=True), 1)
        ],
        "differences": [
            {
                "pass_id": pass_id,
                "position": position,
                "differs": _differs(plans, pass_id, position),
                "cameras": [
                    [
                        each.model_dump(include={"letter", "operator", "roles"})
                        | {"shot": {"subject": each.shot.subject, "size": each.shot.size}}
                        for each in _standing(plan, pass_id, position)
                    ]
                    for plan in plans
                ],
            }
            for pass_id, position in _places(plans)
        ],
    }


# -- the line --------------------------------------------------------------------------------------


def _line(alternatives: Alternatives, number: int) -> str:
    """How many cameras stand elsewhere, where, what it costs or gains, and how sure that is."""
    first, each = alternatives.first, alternatives.found[number - 1]
    moved = places_left(first, each.plan).total()
    all_cameras = len(first.placements)
    verb = "stands" if moved == 1 else "stand"
    where = "; ".join(_moves(first, each.plan))
    trade_off = list(_trade_off(first, each.plan))
    costs = joined(trade_off) if trade_off else "nothing else gained or lost"
    sure = "proven as different as possible" if each.is_proven else "the most different found"
    return (
        f"Alternative {number}: {moved} of {counted(all_cameras, 'camera')} {verb} elsewhere "
        f"({where}); {costs}; {sure}."
    )


def _moves(first: Plan, other: Plan) -> Iterator[str]:
    """Yield for each pass which places are used instead of which."""
    names = Names(other)
    left, new = places_left(first, other), places_left(other, first)
    for pass_id in first.pass_ids():
        sides = [
            _some(
                [
                    _short_label(names, *key) + (f" ({rigs} rigs)" if rigs > 1 else "")
                    for key, rigs in sorted(places.items())
                    if key[0] == pass_id
                ]
            )
            for places in (new, left)
        ]
        match sides:
            case ["", ""]:
                continue
            case ["", gone]:
                words = f"nobody at {gone}"
            case [come, ""]:
                words = f"also {come}"
            case [come, gone]:
                words = f"{come} instead of {gone}"
        yield f"{names.pass_label(pass_id)}: {words}"


def _some(labels: list[str]) -> str:
    if len(labels) <= MOST_PLACES:
        return joined(labels)
    return joined([*labels[: MOST_PLACES - 1], f"{len(labels) - MOST_PLACES + 1} more"])


def _trade_off(first: Plan, other: Plan) -> Iterator[str]:
    """Yield what is better or worse, the goals in order."""
    ours = {goal.goal: goal for goal in first.goals}
    theirs = {goal.goal: goal for goal in other.goals}
    for goal in AS_GOOD:
        now, was = (GOALS[goal].figure(side[goal].value) for side in (theirs, ours))
        if now != was:
            yield f"{GOALS[goal].name} {now} instead of {was}"
    lost = round(ours["quality"].value - theirs["quality"].value)
    if lost:
        yield f"picture quality {counted(abs(lost), 'mark')} {'worse' if lost > 0 else 'better'}"
    for part, step, one, many in COSTS:
        scale = step * PART_SCALE.get(part, 1.0)
        more = step * round((theirs["economy"].parts[part] - ours["economy"].parts[part]) / scale)
        if more:
            yield f"{abs(more)} {'more' if more > 0 else 'fewer'} {one if abs(more) == 1 else many}"


# -- the table -------------------------------------------------------------------------------------


def _tables(plans: Sequence[Plan]) -> Iterator[str]:
    """Yield a table of each pass: every position in use, and which camera stands there."""
    names = Names(plans[0])
    headers = ("", "position", "plan", *(f"alternative {n}" for n in range(1, len(plans))))
    for pass_id in plans[0].pass_ids():
        rows = [
            (
                "*" if _differs(plans, pass_id, position) else "",
                _label(names, pass_id, position),
                *(_cell(Names(plan), _standing(plan, pass_id, position)) for plan in plans),
            )
            for each, position in _places(plans)
            if each == pass_id
        ]
        if rows:
            title = heading(f"Where cameras stand, {names.pass_label(pass_id)}", "-")
            yield f"{title}\n{table_text(headers, rows, is_spaced=True)}"


def _places(plans: Sequence[Plan]) -> list[tuple[str, str]]:
    """Every place that one of the plans uses, by pass and the venue's order."""
    used = {key for plan in plans for key in places_of(plan)}
    return [
        (pass_id, position.id)
        for pass_id in plans[0].pass_ids()
        for position in plans[0].pass_of(pass_id)[0].venue.positions
        if (pass_id, position.id) in used
    ]


def _standing(plan: Plan, pass_id: str, position: str) -> list[Placement]:
    return [each for each in plan.placements_in(pass_id) if each.position == position]


def _differs(plans: Sequence[Plan], pass_id: str, position: str) -> bool:
    return len({len(_standing(plan, pass_id, position)) for plan in plans}) > 1


def _cell(names: Names, here: Sequence[Placement]) -> str:
    """The cameras at a place, a line each: letter, shot and roles."""
    return "\n".join(
        f"{each.letter}: {names.framing(each.pass_id, each.shot)}"
        + (f", {names.roles(each)}" if each.roles else "")
        for each in here
    )


def _label(names: Names, pass_id: str, position: str) -> str:
    shoot, _ = names.plan.pass_of(pass_id)
    return next(each.label for each in shoot.venue.positions if each.id == position)


def _short_label(names: Names, pass_id: str, position: str) -> str:
    """The name of a position up to its first comma, where no other one begins like that."""
    shoot, _ = names.plan.pass_of(pass_id)
    label = _label(names, pass_id, position)
    begins = label.partition(",")[0]
    alike = [each for each in shoot.venue.positions if each.label.partition(",")[0] == begins]
    return begins if len(alike) == 1 else label
