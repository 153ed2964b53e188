"""What one more of a goal would have cost, in words that never promise more than is known."""

from __future__ import annotations

import pytest

from kitplan.allocate.trade import Trade
from kitplan.paper.goals import GOALS
from kitplan.paper.trades import LESS, ONE_MORE, goals_named, trades_records, trades_text
from kitplan.plan.records import GoalReached
from kitplan.whatif.trades import Explained
from tests.plans import small_plan


def goal_of(goal: str) -> GoalReached:
    """Return a goal of the small plan."""
    return next(each for each in small_plan().goals if each.goal == goal)


def text_of(trade: Trade | None, goal: str = "variety") -> str:
    """Return the page about one goal, on one line."""
    page = trades_text(small_plan(), (Explained(goal_of(goal), trade),))
    return " ".join(page.split())


POINTS = 300
CASES = {
    "proven": (
        (6000, 2400, 2400),
        "One more of variety would have cost 12.0 points of distinct viewpoints (8.0 in place of",
    ),
    "not proven": ((6000, 2400, 5700), "it could be as little as 1.0 point of distinct viewpoints"),
    "nothing": ((6000, 6000, 6000), "would have cost nothing: a longer search would have found it"),
    "impossible": (
        (6000, None, None),
        "is impossible, whatever is given of points of distinct viewpoints. Proven.",
    ),
    "no plan": (
        (6000, None, 3000),
        "no plan with it was found in the time. It would cost at least 10.0 points of distinct",
    ),
}


@pytest.mark.parametrize(("figures", "words"), CASES.values(), ids=CASES)
def test_a_cost_in_words(figures: tuple[int, int | None, int | None], words: str) -> None:
    """Value, best found and bound of the goal that pays."""
    assert words in text_of(Trade("variety", "viewpoints", *figures))


def test_a_proof_is_only_claimed_where_there_is_one() -> None:
    """Of what the best plan found costs, and of what nothing is known but a bound, it is not."""
    for name in ("not proven", "nothing", "no plan"):
        assert "Proven." not in text_of(Trade("variety", "viewpoints", *CASES[name][0]))


def test_the_first_goal_costs_nothing_before_it() -> None:
    """Its value is all there is to say."""
    assert "would have cost" not in text_of(None, "musts").partition("musts missed")[2]


def test_goals_by_name() -> None:
    """By id, by words, all together; anything else is no goal."""
    assert goals_named("goals") == tuple(GOALS)
    assert goals_named("Variety") == ("variety",)
    assert goals_named("points of distinct viewpoints") == ("viewpoints",)
    assert goals_named("camera") == ()


def test_every_goal_has_words() -> None:
    """One more of each, and the price in each but the last, which pays for none."""
    assert list(ONE_MORE) == list(GOALS)
    assert list(LESS) == list(GOALS)[:-1]


def test_as_data() -> None:
    """Costs on the scale that plans show."""
    trade = Trade("variety", "viewpoints", 6000, 2400, 5700)
    (found,) = trades_records((Explained(goal_of("variety"), trade),))
    assert found["one_more"] == {
        "paid_in": "viewpoints",
        "is_impossible": False,
        "cost": 3600 / POINTS,
        "least_cost": 300 / POINTS,
        "is_proven": False,
    }
