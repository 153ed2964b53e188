"""The goals of a plan in words: what each came to, and what one more of it would have cost."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kitplan.paper.goals import GOALS, RAW_SCALE, certainty
from kitplan.paper.layout import blocks, bullets, heading, paragraph, table_text
from kitplan.plan.records import GoalReached, Plan
from kitplan.whatif.trades import Explained, Trade

ALL_GOALS = "goals"
"""Name of all of them together."""
ONE_MORE = {
    "musts": "One must fewer missed",
    "wants": "One more of want roles, by weight,",
    "thinnest": "One more viewpoint in the thinnest song",
    "viewpoints": "One more point of distinct viewpoints",
    "variety": "One more of variety",
    "quality": "One mark fewer lost",
    "economy": "One point less of work and weight",
}
LESS = {
    "musts": ("must missed", "musts missed"),
    "wants": ("of want roles, by weight", "of want roles, by weight"),
    "thinnest": ("viewpoint in the thinnest song", "viewpoints in the thinnest song"),
    "viewpoints": ("point of distinct viewpoints", "points of distinct viewpoints"),
    "variety": ("of variety", "of variety"),
    "quality": ("mark lost", "marks lost"),
}
"""What a goal pays with."""


def goals_named(name: str) -> tuple[str, ...]:
    """Return the goals that a name stands for, by id or by their words; none where it is no goal's.

    `goals` stands for all of them.
    """
    wanted = name.casefold()
    if wanted == ALL_GOALS:
        return tuple(GOALS)
    return tuple(goal for goal, words in GOALS.items() if wanted in (goal, words.name.casefold()))


def trades_text(plan: Plan, explained: Sequence[Explained]) -> str:
    """Return each goal with its value, and what one more of it would have cost."""
    rows = [
        (
            GOALS[each.goal.goal].name,
            GOALS[each.goal.goal].figure(each.goal.value),
            certainty(each.goal.goal, each.goal.value, each.goal.bound),
        )
        for each in explained
    ]
    costs = [_sentence(plan, each) for each in explained]
    return blocks(
        heading("Goals, in strict order"),
        paragraph(
            "None of an earlier goal is ever given for a later one. What one more would have cost "
            "is asked of the solver with all goals before that pair held as they are."
        ),
        table_text(("goal", "value", "how sure, given the goals before"), rows),
        bullets(cost for cost in costs if cost),
    )


def trades_records(explained: Sequence[Explained]) -> list[dict[str, Any]]:
    """Return the same as plain data; costs in the figures that plans show."""
    return [
        each.goal.model_dump(include={"goal", "value", "bound", "is_proven", "unit"})
        | {"one_more": _record(each.trade) if each.trade is not None else None}
        for each in explained
    ]


def _record(trade: Trade) -> dict[str, Any]:
    return {
        "paid_in": trade.payer,
        "is_impossible": trade.is_impossible,
        "cost": _shown(trade.payer, trade.most),
        "least_cost": _shown(trade.payer, trade.least),
        "is_proven": trade.is_proven,
    }


def _shown(goal_id: str, raw: int | None) -> float | None:
    return None if raw is None else raw / RAW_SCALE.get(goal_id, 1.0)


# -- sentences -------------------------------------------------------------------------------------


def _sentence(plan: Plan, each: Explained) -> str:
    goal, trade = each.goal, each.trade
    if trade is None:
        return ""
    start = ONE_MORE[goal.goal]
    payer = next(other for other in plan.goals if other.goal == trade.payer)
    if trade.is_impossible:
        ending = "" if goal.is_proven else " So this goal is the best there is as well."
        return f"{start} is impossible, {_whatever_it_costs(payer)}. Proven.{ending}"
    if trade.best is None:
        return f"{start}: no plan with it was found in the time.{_at_least(trade)} {MORE_SECONDS}"
    if trade.most == 0:
        return f"{start} would have cost nothing: {_why_nothing(plan)}"
    words = GOALS[trade.payer]
    left = words.figure(trade.best / RAW_SCALE.get(trade.payer, 1.0))
    cost = f"{_cost(trade.payer, trade.most)} ({left} in place of {words.figure(payer.value)})"
    if trade.is_proven:
        return f"{start} would have cost {cost}. Proven."
    return (
        f"{start} would have cost {cost} by the best plan found; not proven, it could be as "
        f"little as {_cost(trade.payer, trade.least)}. {MORE_SECONDS}"
    )


MORE_SECONDS = "More --seconds say more."


def _whatever_it_costs(payer: GoalReached) -> str:
    return f"whatever is given of {GOALS[payer.goal].name}"


def _at_least(trade: Trade) -> str:
    return f" It would cost at least {_cost(trade.payer, trade.least)}." if trade.least else ""


def _why_nothing(plan: Plan) -> str:
    if plan.keeps_letters:
        return "it was left for the sake of what was rigged already."
    return "a longer search would have found it. Plan again with more --seconds."


def _cost(goal_id: str, raw: int | None) -> str:
    value = (raw or 0) / RAW_SCALE.get(goal_id, 1.0)
    one, many = LESS[goal_id]
    figure = f"{value:.{GOALS[goal_id].digits}f}"
    return f"{figure} {one if figure in ('1', '1.0') else many}"
