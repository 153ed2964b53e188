"""The goals of a plan explained."""

from __future__ import annotations

from kitplan.whatif.trades import explain_goals
from kitplan.whatif.why import Inquiry
from tests.small import position, role, small_brief, small_kit, solve

NICE = role("spare", priority="nice", manner="locked-off", positions=("front",))


def inquiry() -> Inquiry:
    """Return a plan that leaves a nice role for the sake of viewpoints."""
    kit = small_kit(counts={"cam": 1})
    return Inquiry(solve(small_brief(kit, roles=(NICE,), positions=(position("front"),))))


def test_what_is_promised_is_what_a_plan_then_has() -> None:
    """Asked for as a must, the nice role costs just the points that its trade says."""
    asked = inquiry()
    (found,) = explain_goals(asked, ("variety",), 10)
    assert found.trade is not None
    assert found.trade.most == 12 * 300
    must = NICE.model_copy(update={"priority": "must"})
    kit = small_kit(counts={"cam": 1})
    again = solve(small_brief(kit, roles=(must,), positions=(position("front"),)))
    before, after = (
        next(goal.value for goal in plan.goals if goal.goal == "viewpoints")
        for plan in (asked.plan, again)
    )
    assert before - after == 12


def test_without_time_there_are_values_only() -> None:
    """In the order of the goals."""
    found = explain_goals(inquiry(), ("economy", "wants"), 0)
    assert [each.goal.goal for each in found] == ["wants", "economy"]
    assert all(each.trade is None for each in found)
