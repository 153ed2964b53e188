"""Alternatives: as good as the plan, as different as can be, each of them a whole plan that holds.

Cameras at `front`, `left` and `right` are as good as each other on a tiny shoot, so that what can
differ is worked out by counting places.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from kitplan.allocate.differ import most_different
from kitplan.allocate.search import Limits
from kitplan.plan.alternatives import Alternatives, places_left, places_of
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.produce.alternatives import find_alternatives, limits_of_each
from kitplan.produce.solve import Solved, plan_shoot, solve_shoot
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Locks, Pattern
from tests.oracle import most_left
from tests.produce.test_against_search import LIMITS, best_of, values_of
from tests.random_shoots import random_brief
from tests.small import (
    SHOOT_ID,
    body,
    cameras,
    items_used,
    places,
    position,
    role,
    run,
    show,
    small_brief,
    small_kit,
)

ONE = Limits(seconds=5, seed=1, workers=1)
ALONE = small_kit(counts={"cam": 1})
QUICK_SEEDS = (2, 5, 81, 154, 195)
"""With no alternative, one or two, of one camera or two."""
SEEDS = range(300)


def solved(brief: Brief) -> Solved:
    """Return the best plan and what it was found with."""
    return solve_shoot(brief, shoot_id=SHOOT_ID, limits=ONE)


def alternatives_to(brief: Brief, number: int = 2) -> Alternatives:
    """Return the alternatives to the best plan of a small shoot."""
    return find_alternatives(solved(brief), number)


def used(alternatives: Alternatives) -> list[set[str]]:
    """Return the positions in use in the show, plan by plan."""
    return [places(plan) for plan in alternatives.plans]


def left(alternatives: Alternatives) -> list[list[int]]:
    """Return how many places of each plan before each alternative leaves."""
    plans = alternatives.plans
    return [
        [places_left(before, plan).total() for before in plans[:number]]
        for number, plan in enumerate(plans)
    ][1:]


# -- by hand ---------------------------------------------------------------------------------------


def test_one_camera_has_as_many_plans_as_places() -> None:
    """Three places, one camera: two alternatives, proven, and proven that there is no third."""
    found = alternatives_to(small_brief(ALONE), 5)
    assert sorted(map(sorted, used(found))) == [["front"], ["left"], ["right"]]
    assert left(found) == [[1], [1, 1]]
    assert all(each.is_proven for each in found.found)
    assert found.ending == "none-left"


def test_the_most_different_comes_first() -> None:
    """Two cameras, four places: first the other two; then only one of each pair can be left, which
    makes 1 and 1 of the two before.
    """
    spots = (*map(position, ("front", "left", "right")), position("back", at_m=(0, 14)))
    found = alternatives_to(small_brief(positions=spots), 2)
    first, second, _ = used(found)
    assert first | second == {"front", "left", "right", "back"}
    assert left(found) == [[2], [1, 1]]
    assert found.ending == "all-found"


def test_slots_of_one_position_are_one_place() -> None:
    """Both cameras at `front`, of two rigs there, or elsewhere: rigs are counted, not slots."""
    spots = (position("front", rigs=2, room_m=5), position("left", rigs=2, room_m=5))
    must = role("both", positions=("front",))
    found = alternatives_to(small_brief(positions=spots, roles=(must,)), 3)
    plans = [sorted(each.position for each in cameras(plan)) for plan in found.plans]
    assert plans == [["front", "left"]]
    assert found.ending == "none-left"


def test_a_spare_camera_is_not_put_up_to_be_different() -> None:
    """A third camera that sees nothing in this light stays at home in all plans."""
    kit = small_kit(body("dark", max_iso=101, mass_kg=0.1))
    found = alternatives_to(small_brief(kit), 2)
    assert {len(plan.placements) for plan in found.plans} == {2}
    assert all("dark" not in items_used(plan) for plan in found.plans)


def test_what_is_locked_stays() -> None:
    """A camera is kept at `front`; the other one may stand at `left` or `right`."""
    locks = Locks(keep=(Pattern(position="front"),))
    found = alternatives_to(small_brief(locks=locks), 4)
    assert sorted(map(sorted, used(found))) == [["front", "left"], ["front", "right"]]
    assert found.ending == "none-left"


def test_there_is_none_where_every_place_is_needed() -> None:
    """Two cameras, two places."""
    spots = (position("front"), position("left"))
    found = alternatives_to(small_brief(positions=spots))
    assert (found.found, found.ending) == ((), "none-left")


def test_without_cameras_there_is_none() -> None:
    """Nothing stands anywhere."""
    found = alternatives_to(small_brief(small_kit(counts={"cam": 0})))
    assert (found.found, found.ending) == ((), "none-left")


def test_a_missed_must_is_missed_alike() -> None:
    """An alternative misses no more than the plan, and says what clashes."""
    roles = (role("tight", sizes=("CU",)), role())
    found = alternatives_to(small_brief(ALONE, roles=roles))
    assert len(found.found) == 2
    assert {plan.status for plan in found.plans} == {"musts-missed"}
    assert len({plan.clash for plan in found.plans}) == 1
    assert found.first.clash


def test_bodies_keep_their_letters() -> None:
    """One letter is one body, in the plan and all its alternatives."""
    kit = small_kit(body("other", mass_kg=1.1), counts={"cam": 1})
    found = alternatives_to(small_brief(kit, passes=(run(), show())))
    letters: dict[str, set[str]] = {}
    for plan in found.plans:
        for each in plan.placements:
            letters.setdefault(each.letter, set()).add(each.rig.body)
    assert len(found.found) == 2
    assert all(len(bodies) == 1 for bodies in letters.values())
    assert [verify(plan) for plan in found.plans] == [()] * len(found.plans)


# -- the plan itself -------------------------------------------------------------------------------


def _text(plan: Plan) -> str:
    goals = tuple(goal.model_copy(update={"seconds": 0.0}) for goal in plan.goals)
    return plan.model_copy(update={"goals": goals}).model_dump_json(by_alias=True)


def test_the_plan_is_what_it_would_be_without() -> None:
    """And with one worker the alternatives are the same every time."""
    brief = small_brief(passes=(run(), show()), roles=(role(),))
    first, second = (alternatives_to(brief) for _ in range(2))
    assert _text(first.first) == _text(plan_shoot(brief, shoot_id=SHOOT_ID, limits=ONE))
    assert list(map(_text, first.plans)) == list(map(_text, second.plans))
    assert len(first.plans) == 3


def test_an_interrupt_keeps_those_that_are_done(monkeypatch: pytest.MonkeyPatch) -> None:
    """Here it comes while the second one is looked for."""

    def interrupted(allocation: Any, best: Any, others: Any, limits: Any, found: Any) -> Any:
        found.was_stopped = len(others) == 2
        return most_different(allocation, best, others, limits, found)

    monkeypatch.setattr("kitplan.produce.alternatives.most_different", interrupted)
    found = alternatives_to(small_brief(ALONE))
    assert len(found.found) == 1
    assert found.ending == "stopped"
    assert found.found[0].plan.status == "solved"


def test_none_is_looked_for_once_the_search_was_stopped() -> None:
    """Whoever stops the search wants the plan now."""
    answer = solved(small_brief(ALONE))
    answer.found.was_stopped = True
    found = find_alternatives(answer, 2)
    assert (found.found, found.ending) == ((), "stopped")


@pytest.mark.parametrize(
    ("seconds", "number", "each"),
    [(60, 2, 6), (60, 1, 12), (10, 2, 2), (0.5, 1, 2), (1000, 2, 15), (60, 0, 12)],
)
def test_time_is_a_share_within_bounds(seconds: float, number: int, each: float) -> None:
    """A fifth of the time of the plan for all of them, 2 to 15 s for each."""
    limits = limits_of_each(Limits(seconds=seconds, seed=3, workers=1), number)
    assert limits == Limits(seconds=each, seed=3, workers=1)


# -- against exhaustive search ---------------------------------------------------------------------


@cache
def alternatives_of(seed: int) -> Alternatives:
    """Return up to two alternatives on a random shoot."""
    answer = solve_shoot(random_brief(seed), shoot_id=SHOOT_ID, limits=LIMITS)
    return find_alternatives(answer, 2)


def check(seed: int) -> int:
    """All hold, are as good, and leave exactly as many places as can be left; return how many."""
    found = alternatives_of(seed)
    best = best_of(seed).values
    for each in found.found:
        assert [str(finding) for finding in verify(each.plan)] == []
        assert values_of(each.plan) == best
        assert each.is_proven
    others = [_own(plan) for plan in found.plans]
    for number, leaves in enumerate(left(found), 1):
        most = most_left(random_brief(seed), best, others[:number])
        assert (min(leaves), sum(leaves)) == most
    if len(found.found) < 2:
        assert found.ending == "none-left"
        assert most_left(random_brief(seed), best, others)[0] == 0
    return len(found.found)


def _own(plan: Plan) -> Any:
    """Where the rigs of a plan stand, with the shoot's own ids of passes."""
    counted = places_of(plan)
    return type(counted)({(key[0].partition("/")[2], key[1]): n for key, n in counted.items()})


def test_no_plan_as_good_is_more_different() -> None:
    """On some shoots, always; some have no alternative, some one, some two."""
    assert set(map(check, QUICK_SEEDS)) == {0, 1, 2}


@pytest.mark.long
@pytest.mark.parametrize("seed", SEEDS)
def test_never_is_a_plan_as_good_more_different(seed: int) -> None:
    """On many shoots, now and then."""
    check(seed)
