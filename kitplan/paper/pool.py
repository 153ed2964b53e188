"""What two shoots have of one pool, beside what each could have alone, and how sure that is."""

from __future__ import annotations

from typing import Any

from kitplan.gear.days import in_words
from kitplan.paper.goals import GOALS, RAW_SCALE
from kitplan.paper.layout import blocks, bullets, heading, joined, table_text
from kitplan.plan.pool import FIRST, SECOND, Shared
from kitplan.plan.records import Plan

AS_GOOD = tuple(GOALS)[:5]
"""Goals that decide how units are divided: those before picture quality."""


def pool_text(shared: Shared) -> str:
    """Return how two shoots share their kit as a page."""
    way = "in the order given" if shared.way == "in-order" else "balanced"
    headers = ["goal, in order"]
    for letter in "AB":
        headers += [f"{letter} alone", f"{letter} now"]
    rows = [_row(shared, goal) for goal in GOALS]
    first, second = (plan.title for plan in shared.plans)
    return blocks(
        heading(f"Two shoots from one pool, {way}"),
        bullets([f"A: {first}", f"B: {second}"]),
        table_text(headers, rows),
        bullets([*_verdict(shared), *_crew(shared)]),
    )


def pool_record(shared: Shared) -> dict[str, Any]:
    """Return the same as plain data."""
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
        if shared.steps is None
        else [
            {"goal": s.goal, "shoot": s.shoot, "value": s.value, "bound": s.bound}
            for s in shared.steps
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
    """What each has, and what is proven of it."""
    if shared.steps is None:
        return ["Nothing to divide: each has all that it could have alone.", *_open_alone(shared)]
    first, second = (plan.title for plan in shared.plans)
    if shared.way == "in-order":
        alone = {goal: shared.alone[FIRST].value_of(goal) for goal in AS_GOOD}
        is_as_good = _reaches(shared.plans[FIRST], alone)
        end = "" if is_as_good else ", as the work between its passes would not fit"
        verb = "is" if is_as_good else "is not"
        down = GOALS[AS_GOOD[-1]].name
        lines = [f"{first} {verb} as good as alone, down to {down}{end}."]
        bound = _bound_words(shared, SECOND, f"what {second} has beside it")
    else:
        lines = ["Musts and wants of both count together; then the smaller share of the two does."]
        bound = _bound_words(shared, None, "how the pool is divided")
    return [*lines, bound, *_open_alone(shared)]


def _reaches(plan: Plan, values: dict[str, float]) -> bool:
    """Whether a plan is as good as some values, in strict order."""
    return [plan.value_of(goal) for goal in values] >= list(values.values())


def _open_alone(shared: Shared) -> list[str]:
    return [
        f"Not proven what {plan.title} could have alone: {joined(open_goals)} may be better."
        for plan in shared.alone
        if (open_goals := _open_goals(plan))
    ]


def _bound_words(shared: Shared, shoot: int | None, what: str) -> str:
    """Say of the goals that decide how to divide whether they are proven."""
    own = [step for step in shared.steps or () if step.shoot == shoot]
    steps = [step for step in own if step.goal.partition(" ")[0] in AS_GOOD]
    open_step = next((step for step in steps if step.value < step.bound), None)
    if open_step is None:
        is_complete = AS_GOOD[-1] in [step.goal for step in steps]
        return f"{'Proven best' if is_complete else 'Not proven, the search was stopped'}: {what}."
    goal, _, is_share = open_step.goal.partition(" ")
    words = GOALS[goal]
    if is_share:
        most = f"at most {open_step.bound / 10:.0f}% of what each could have alone"
    else:
        side = "as few as" if words.is_lost else "at most"
        most = f"{side} {words.figure(open_step.bound / RAW_SCALE.get(goal, 1.0))}"
    return f"Not proven best: {what}; it could come to {most} ({words.name})."


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
