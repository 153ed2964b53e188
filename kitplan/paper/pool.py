"""What two shoots have of one pool, beside what each could have alone, and how sure that is."""

from __future__ import annotations

from typing import Any

from kitplan.allocate.pool import FIRST, SECOND
from kitplan.allocate.solver import GOAL_IDS
from kitplan.gear.records import in_words
from kitplan.paper.goals import GOALS, RAW_SCALE
from kitplan.paper.layout import blocks, bullets, heading, joined, table_text
from kitplan.plan.records import Plan
from kitplan.produce.pool import Shared

AS_GOOD = GOAL_IDS[:5]


def pool_text(shared: Shared) -> str:
    """Return how two shoots share their kit as a page."""
    way = "in the order given" if shared.way == "in-order" else "balanced"
    headers = ["goal, in order"]
    for letter in "AB":
        headers += [f"{letter} alone", f"{letter} now"]
    rows = [_row(shared, goal) for goal in GOAL_IDS]
    first, second = (plan.title for plan in shared.plans)
    return blocks(
        heading(f"Two shoots from one pool, {way}"),
        bullets([f"A: {first}", f"B: {second}"]),
        table_text(headers, rows),
        bullets([*_verdict(shared), *_crew(shared)]),
    )


def pool_record(shared: Shared) -> dict[str, Any]:
    """Return the same as plain data."""
    divided = shared.divided
    return {
        "way": shared.way,
        "shoots": [
            {
                "title": plan.title,
                "alone": {goal.goal: goal.value for goal in alone.goals},
                "now": {goal.goal: goal.value for goal in plan.goals},
            }
            for plan, alone in zip(shared.plans, shared.alone, strict=True)
        ],
        "divided": None
        if divided is None
        else [
            {"goal": s.goal, "shoot": s.shoot, "value": s.value, "bound": s.bound}
            for s in divided.steps
        ],
        "in_both_crews": [
            {"person": each.person, "days": [day.isoformat() for day in each.days]}
            for each in shared.apart
        ],
    }


def _row(shared: Shared, goal: str) -> tuple[str, ...]:
    words, row = GOALS[goal], [GOALS[goal].name]
    for alone, now in zip(shared.alone, shared.plans, strict=True):
        row += [words.figure(alone.value_of(goal)), words.figure(now.value_of(goal))]
    return tuple(row)


def _verdict(shared: Shared) -> list[str]:
    """What is proven of it, and what is not."""
    lines = [
        f"Not proven what {plan.title} could have alone: {joined(open_goals)} may be better."
        for plan in shared.alone
        if (open_goals := _open_goals(plan))
    ]
    if shared.divided is None:
        return ["Nothing to divide: each has all that it could have alone.", *lines]
    if shared.way == "in-order":
        first, second = (plan.title for plan in shared.plans)
        lines.insert(0, f"{first} is as good as alone down to {GOALS[AS_GOOD[-1]].name}.")
        return [*lines, _bound_words(shared, SECOND, f"what {second} has beside it")]
    lines.insert(0, "Musts and wants of both count together, then the smaller of the two shares.")
    return [*lines, _bound_words(shared, None, "how the pool is divided")]


def _bound_words(shared: Shared, shoot: int | None, what: str) -> str:
    """Say of the goals that decide how to divide whether they are proven."""
    assert shared.divided is not None
    steps = [s for s in shared.divided.steps if s.shoot == shoot and s.goal not in GOAL_IDS[5:]]
    first_open = next((step for step in steps if step.value < step.bound), None)
    if first_open is None and steps:
        return f"Proven best: {what}."
    if first_open is None:
        return f"Not proven at all: {what}; the search was stopped."
    words = GOALS[first_open.goal.partition(" ")[0]]
    scale = RAW_SCALE.get(first_open.goal, 1.0)
    if " " in first_open.goal:
        most = f"{first_open.bound / 10:.0f}% of what each could have alone"
    else:
        most = words.figure(first_open.bound / scale)
    return f"Not proven best: {what}. {words.name[0].upper()}{words.name[1:]}: at most {most}."


def _open_goals(plan: Plan) -> list[str]:
    return [GOALS[g.goal].name for g in plan.goals if g.goal in AS_GOOD and not g.is_proven]


def _crew(shared: Shared) -> list[str]:
    first = shared.plans[FIRST]
    names = {p.id: p.label for shoot in first.shoots.values() for p in shoot.crew}
    return [
        f"{names.get(each.person, each.person)} is in both crews and films for {first.title} on "
        f"{joined([in_words(day) for day in each.days])}."
        for each in shared.apart
    ]
