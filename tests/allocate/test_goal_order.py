"""Goals in strict order: a better lower goal never costs a higher one."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from tests.small import (
    body,
    cameras,
    demand_met,
    items_used,
    operators,
    part,
    person,
    places,
    position,
    prime,
    reached,
    role,
    small_brief,
    small_kit,
    solve,
)

ONE = small_kit(counts={"cam": 1})
NAMES = ("musts", "wants", "thinnest", "viewpoints", "variety", "quality", "economy")


def test_the_goals_are_told_in_order() -> None:
    """All seven, each proven."""
    plan = solve(small_brief())
    assert tuple(goal.goal for goal in plan.goals) == NAMES
    assert all(goal.is_proven and goal.bound == goal.value for goal in plan.goals)


def test_one_must_outweighs_all_wants() -> None:
    """One camera: the must at the left, not the want of weight 100 at the right."""
    roles = (
        role("must", positions=("left",)),
        role("want", positions=("right",), priority="want", weight=100),
    )
    assert places(solve(small_brief(ONE, roles=roles))) == {"left"}


def test_one_heavy_want_outweighs_two_light_ones() -> None:
    """Weights 2 and 2 against 5, one camera."""
    light = (role(f"light-{n}", positions=("left",), priority="want", weight=2) for n in (1, 2))
    heavy = role("heavy", positions=("right",), priority="want", weight=5)
    shared = tuple(each.model_copy(update={"also": True}) for each in light)
    plan = solve(small_brief(ONE, roles=(*shared, heavy)))
    assert places(plan) == {"right"}
    assert reached(plan, "wants") == 5


def test_wants_go_before_the_thinnest_song() -> None:
    """Two want roles at places beside each other: alike, so one viewpoint instead of two."""
    spots = (position("front"), position("beside", at_m=(0.3, -10)), position("left"))
    roles = tuple(role(p, positions=(p,), priority="want") for p in ("front", "beside"))
    plan = solve(small_brief(positions=spots, roles=roles))
    assert (reached(plan, "wants"), reached(plan, "thinnest")) == (2, 1)
    free = solve(small_brief(positions=spots))
    assert reached(free, "thinnest") == 2


def test_the_thinnest_song_goes_before_points() -> None:
    """Ann performs in the first song. Operating she would give 40 points and one viewpoint there;
    a locked-off camera beside Ben's gives two, and 2 * (10 + 4) points.
    """
    crew = (person("ann", performs_in=("first",)), person("ben"))
    plan = solve(small_brief(crew=crew, positions=(position("front"), position("left"))))
    assert operators(plan) == {"ben"}
    assert (reached(plan, "thinnest"), reached(plan, "viewpoints")) == (2, 28)


def test_points_go_before_variety() -> None:
    """A nice role of weight 100 asks for a locked-off camera: 20 points are worth more."""
    roles = (role(priority="nice", weight=100, manner="locked-off"),)
    plan = solve(small_brief(ONE, roles=roles))
    assert not demand_met(plan, "close")
    assert reached(plan, "viewpoints") == 20


def test_variety_goes_before_quality() -> None:
    """A nice role takes the prime that frames 0.96 m instead of 0.9 m: one mark is lost for it."""
    loose = body("loose", built_in=prime(9 * 12000 / 969))
    kit = small_kit(loose, counts={"cam": 1})
    spots = (position("front"),)
    roles = (role(priority="nice", rolls_throughout=True),)
    shy = body(mode={"clip_limit_min": 5})
    plan = solve(
        small_brief(small_kit(loose, shy, counts={"cam": 1}), positions=spots, roles=roles)
    )
    assert "loose" in items_used(plan)
    assert reached(plan, "quality") == -1
    free = solve(small_brief(kit, positions=spots))
    assert reached(free, "quality") == 0


def test_quality_goes_before_economy() -> None:
    """The heavy zoom frames the plan, the light prime 0.96 m: one mark is worth any mass."""
    light = body("light", built_in=prime(9 * 12000 / 969), mass_kg=0.1)
    heavy = body("heavy", mass_kg=7)
    kit = small_kit(light, heavy, without=("cam",))
    plan = solve(small_brief(kit, positions=(position("front"),)))
    assert "heavy" in items_used(plan)
    assert reached(plan, "economy") == -2 * (7 + 2)


def test_among_equals_the_lightest_is_taken() -> None:
    """Economy is what is left."""
    kit = small_kit(body("light", mass_kg=0.5), body("heavy", mass_kg=7), without=("cam",))
    plan = solve(small_brief(kit, positions=(position("front"),)))
    assert "light" in items_used(plan)


# -- locked-off cameras against operated ones ------------------------------------------------------

PLACES = {"front": (0, -10), "left": (-8, -6), "right": (8, -6), "far-left": (-11, 2)}


def _free(cams: int, **parts: Any) -> Plan:
    spots = tuple(position(name, at_m=at_m) for name, at_m in PLACES.items())
    kit = small_kit(counts={"cam": cams})
    brief: Brief = small_brief(kit, positions=spots, crew=(person("ann"),), **parts)
    return solve(brief)


def test_one_operated_viewpoint_is_worth_as_much_as_all_locked_off_ones() -> None:
    """4 + 3 + 2 + 1 = 10: however many hang there, they never outweigh an operator."""
    rules = small_brief().shoot.rules
    assert sum(rules.points_locked) <= rules.points_operated


@pytest.mark.parametrize(
    ("cams", "operated", "points"), [(1, 1, 10), (2, 1, 14)], ids=["one", "two"]
)
def test_ann_operates_rather_than_watch(cams: int, operated: int, points: int) -> None:
    """With one camera 10 points, not 4; with two 10 + 4, not 4 + 3: as many viewpoints."""
    plan = _free(cams)
    assert sum(p.operator is not None for p in cameras(plan)) == operated
    assert reached(plan, "viewpoints") == 2 * points


def test_locked_off_cameras_fill_up_what_operators_leave() -> None:
    """Four cameras, one operator who minds three: 10 + 4 + 3 + 2."""
    plan = _free(4, rules={"minds_per_operator": 3, "mind_reach_m": 20})
    assert reached(plan, "viewpoints") == 2 * (10 + 4 + 3 + 2)
    assert part(plan, "viewpoints", "counted") == 4
