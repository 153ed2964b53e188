"""A smallest clashing set: complete, minimal, in plain words; and the fewest musts missed."""

from __future__ import annotations

import pytest

from kitplan.allocate.clash import smallest_clash
from kitplan.allocate.search import Limits
from kitplan.options.spots import find_options
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role
from tests.small import (
    position,
    reached,
    role,
    small_brief,
    small_kit,
    solve,
    words_of,
)

LIMITS = Limits(seconds=5, seed=1, workers=1)


def brief_of(*roles: Role, cams: int = 1) -> Brief:
    """Return a shoot at three positions with so many cameras."""
    return small_brief(small_kit(counts={"cam": cams}), roles=roles)


def clash_of(*roles: Role, cams: int = 1) -> set[str]:
    """Return the ids of the demands in a smallest clash."""
    found = smallest_clash(find_options(brief_of(*roles, cams=cams)), LIMITS)
    return {demand.id for demand in found}


def test_without_a_clash_the_set_is_empty() -> None:
    """One camera, one role."""
    assert clash_of(role()) == set()
    assert solve(brief_of(role())).clash == ()


def test_a_demand_that_nothing_can_meet_clashes_alone() -> None:
    """No lens frames a close-up; the other role has no part in it."""
    assert clash_of(role(), role("tight", sizes=("CU",))) == {"tight"}


def test_two_that_fit_one_by_one_clash_together() -> None:
    """One camera cannot be at the left and at the right."""
    roles = (role("left", positions=("left",)), role("right", positions=("right",)))
    assert clash_of(*roles) == {"left", "right"}
    assert clash_of(*roles, cams=2) == set()


@pytest.mark.parametrize("cams", [1, 2, 3])
def test_of_many_only_as_many_clash_as_are_too_many(cams: int) -> None:
    """Of five roles any `cams` can be done: a smallest clash has one more than that."""
    places = [position(name) for name in ("front", "left", "right")]
    places += [position("high", lens_height_m=1.5), position("low", lens_height_m=1.2)]
    roles = tuple(role(each.id, positions=(each.id,)) for each in places)
    brief = small_brief(small_kit(counts={"cam": cams}), positions=tuple(places), roles=roles)
    assert len(smallest_clash(find_options(brief), LIMITS)) == cams + 1
    plan = solve(brief)
    assert len(plan.clash) == cams + 1
    assert reached(plan, "musts") == cams - 5


def test_dropping_any_demand_of_the_clash_makes_the_rest_possible() -> None:
    """Minimal: every one of them is needed for the clash."""
    roles = [role(f"{place}", positions=(place,)) for place in ("front", "left", "right")]
    roles.append(role("tight", sizes=("CU",), priority="want"))
    clash = clash_of(*roles, cams=2)
    assert clash == {"front", "left", "right"}
    for dropped in clash:
        rest = [each for each in roles if each.id != dropped]
        assert clash_of(*rest, cams=2) == set()


def test_two_clashes_apart_are_told_one_at_a_time() -> None:
    """Two roles that nothing can do: either is a smallest clash, and both are missed."""
    roles = (role("tight", sizes=("CU",)), role("tighter", sizes=("ECU",)))
    assert clash_of(*roles) in ({"tight"}, {"tighter"})
    plan = solve(brief_of(*roles))
    assert len(plan.clash) == 1
    assert reached(plan, "musts") == -2


def test_a_want_that_cannot_be_met_is_no_clash() -> None:
    """It is left out, and the plan is solved."""
    plan = solve(brief_of(role("tight", sizes=("CU",), priority="want")))
    assert (plan.status, plan.clash) == ("solved", ())
    assert reached(plan, "wants") == 0


def test_the_clash_is_in_plain_words() -> None:
    """What the role asks for, and where."""
    plan = solve(brief_of(role("tight", name="Tight", sizes=("CU", "ECU"))))
    assert plan.clash == ("role 'Tight' (singer CU/ECU) in show",)
    assert set(plan.clash) == words_of(plan, "tight")


def test_with_a_clash_the_plan_still_does_all_it_can() -> None:
    """One must is missed for good, the others are met, and the goals are gone for as ever."""
    plan = solve(brief_of(role(), role("tight", sizes=("CU",)), cams=2))
    assert [demand.id for demand in plan.demands if not demand.is_met] == ["tight"]
    assert reached(plan, "viewpoints") == 40
