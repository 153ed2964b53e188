"""What one more of a goal would have cost: sums by hand, and against an exhaustive search."""

from __future__ import annotations

from functools import cache

import pytest

from kitplan.allocate.solver import Found, Limits
from kitplan.allocate.trade import Trade, trades
from kitplan.options.spots import find_options
from kitplan.plan.records import Plan
from kitplan.plan.verify import SHOWN_PER_WHOLE, Scene
from kitplan.produce.before import placements_kept
from kitplan.shoot.brief import Brief
from tests.oracle.search import Search, Values
from tests.oracle.worth import Choice
from tests.random_shoots import random_brief
from tests.small import SHOOT_ID, position, role, small_brief, small_kit, solve

LIMITS = Limits(seconds=20, seed=1, workers=1)
STEPS = {"viewpoints": 300, "economy": 1000}
EXACT = ("thinnest", "variety")
"""Goals of which the search settles every leaf for a trade as exactly as for a plan: what pays is
not dealt out against what is asked for.
"""
QUICK_SEEDS, SEEDS = range(3), range(300)


def trades_of(
    brief: Brief, wanted: tuple[str, ...] = (), limits: Limits = LIMITS
) -> dict[str, Trade]:
    """Return the trades of the best plan of a brief, by the goal of which there would be more."""
    return trades_in(brief, solve(brief), wanted, limits)


def trades_in(
    brief: Brief, plan: Plan, wanted: tuple[str, ...] = (), limits: Limits = LIMITS
) -> dict[str, Trade]:
    """Return the trades of a plan of a brief."""
    values = values_of(plan)
    kept = placements_kept(plan, SHOOT_ID)
    asked = wanted or tuple(values)
    found = trades(find_options(brief), values, STEPS, kept, limits, asked, Found())
    return {trade.goal: trade for trade in found}


def values_of(plan: Plan) -> dict[str, int]:
    """Return the goals in the solver's whole numbers."""
    return {g.goal: round(g.value * SHOWN_PER_WHOLE.get(g.goal, 1)) for g in plan.goals}


# -- by hand ---------------------------------------------------------------------------------------


def test_variety_is_paid_for_in_viewpoints() -> None:
    """A nice role asks for the only camera to be locked off: 4 points a song in place of 10, that
    is 12 fewer in two songs, or 12 x 300.
    """
    nice = (role("spare", priority="nice", manner="locked-off", positions=("front",)),)
    brief = small_brief(small_kit(counts={"cam": 1}), roles=nice, positions=(position("front"),))
    trade = trades_of(brief)["variety"]
    assert trade.payer == "viewpoints"
    assert (trade.value, trade.best) == (20 * 300, 8 * 300)
    assert trade.most == trade.least == 12 * 300
    assert trade.is_proven


def test_a_thinnest_song_is_paid_for_in_wants() -> None:
    """Two cameras at one place: a want for a double of the same view takes the second viewpoint."""
    double = role("double", priority="want", weight=3, positions=("front",), manner="locked-off")
    other = role("first", priority="want", weight=1, positions=("front",), manner="operated")
    brief = small_brief(
        roles=(double, other), positions=(position("front", rigs=2, room_m=3), position("left"))
    )
    trade = trades_of(brief, ("thinnest",))["thinnest"]
    # both wants make 4; with a camera at the left only the dearer one is left
    assert (trade.payer, trade.value, trade.best) == ("wants", 4, 3)
    assert trade.is_proven


def test_what_no_plan_has_is_impossible() -> None:
    """One camera gives one viewpoint, whatever else is given up."""
    found = trades_of(small_brief(small_kit(counts={"cam": 1})))
    assert found["thinnest"].is_impossible
    assert found["viewpoints"].is_impossible
    assert found["thinnest"].is_proven
    assert (found["thinnest"].best, found["thinnest"].least) == (None, None)


def test_only_the_goals_wanted_are_asked_about() -> None:
    """And the first goal has none before it."""
    brief = small_brief()
    assert set(trades_of(brief, ("musts", "quality"))) == {"quality"}
    assert set(trades_of(brief)) == {
        *("wants", "thinnest", "viewpoints", "variety", "quality", "economy")
    }


def test_the_same_question_has_the_same_answer() -> None:
    """One worker, a seed and steps of the solver."""
    brief = small_brief(roles=(role(priority="want"),))
    assert trades_of(brief) == trades_of(brief)


# -- against an exhaustive search ------------------------------------------------------------------


class TradeSearch(Search):
    """Looks for the plan with a step more of a goal that has most of the goal before it.

    Goals before that pair count up to what they are held at, the one asked for up to what is asked:
    a plan that has all of these is told from the others by what is left of the payer.
    """

    def __init__(self, scene: Scene, values: Values, goal: str, step: int) -> None:
        super().__init__(scene)
        self.place = Values._fields.index(goal)
        self.least = values[: self.place - 1]
        self.asked = values[self.place] + step

    def traded(self, values: Values) -> Values:
        """Return values in the order in which they count; never less for more of any goal."""
        held = [min(value, least) for value, least in zip(values, self.least, strict=False)]
        ordered = [*held, min(values[self.place], self.asked), values[self.place - 1]]
        return Values(*ordered, *[0] * (len(values) - len(ordered)))

    def most_of_the_payer(self) -> int | None:
        """Return what is left of the payer; None where no plan has what is asked."""
        self.run()
        *needed, payer = self.best[: self.place + 1]
        return payer if tuple(needed) == (*self.least, self.asked) else None

    def _values(self, taken: tuple[Choice, ...]) -> Values:
        return self.traded(super()._values(taken))

    def _bound(self, place: int, taken: tuple[Choice, ...]) -> Values:
        return self.traded(super()._bound(place, taken))


@cache
def plan_of(seed: int) -> Plan:
    """Return the best plan of a random shoot."""
    return solve(random_brief(seed), 20)


def check(seed: int) -> int:
    """Every trade is what an exhaustive search finds; return how many are possible."""
    brief, plan = random_brief(seed), plan_of(seed)
    values = Values(*(values_of(plan)[name] for name in Values._fields))
    possible = 0
    for goal, trade in trades_in(brief, plan, EXACT).items():
        scene = Scene(brief.shoot, brief.kit)
        found = TradeSearch(scene, values, goal, 1).most_of_the_payer()
        assert trade.is_proven, (seed, goal)
        assert trade.best == found, (seed, goal)
        assert trade.is_impossible == (found is None), (seed, goal)
        possible += found is not None
    return possible


def test_a_trade_is_what_an_exhaustive_search_finds() -> None:
    """On some shoots, always; in some of them one more can be bought."""
    assert sum(map(check, QUICK_SEEDS)) > 0


@pytest.mark.long
def test_every_trade_is_what_an_exhaustive_search_finds() -> None:
    """On many shoots."""
    assert sum(map(check, SEEDS)) > 15
