"""Rules of the people: one camera a person, helpers, and eyes on locked-off cameras."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Person, Role
from tests.small import (
    accessory,
    cameras,
    demand_met,
    operators,
    person,
    position,
    reached,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    support,
    words_of,
)

NAMES = ("ann", "ben", "cleo", "dara", "eli")
PLACES = {"front": (0, -10), "left": (-8, -6), "right": (8, -6), "side": (-11, 2)}
"""front to left and right: sqrt(8 * 8 + 4 * 4) = 8.944 m; left to right 16 m."""


def people(number: int, **facts: Any) -> tuple[Person, ...]:
    """Return so many people."""
    return tuple(person(name, **facts) for name in NAMES[:number])


def must(place: str, manner: str) -> Role:
    """Return a must role at one position in one manner, named after both."""
    return role(f"{place}-{manner}", positions=(place,), manner=manner)


def brief_of(roles: tuple[Role, ...], number: int, *items: Any, **parts: Any) -> Brief:
    """Return a shoot with a camera for each role and so many people."""
    counts = {"cam": len(roles), **{item.id: 4 for item in items}}
    kit = small_kit(*items, counts=counts)
    places = parts.pop("places", {place: {} for place in PLACES})
    positions = tuple(position(p, at_m=PLACES[p], **facts) for p, facts in places.items())
    crew = parts.pop("crew", people(number))
    return small_brief(kit, positions=positions, crew=crew, roles=roles, **parts)


def check_clash(plan: Plan, *role_ids: str) -> None:
    """The plan misses just one of these roles, and they alone clash."""
    assert plan.status == "musts-missed"
    assert set(plan.clash) == words_of(plan, *role_ids)
    assert reached(plan, "musts") == -1


OPERATED = (must("front", "operated"), must("left", "operated"))


# -- one person, one camera ------------------------------------------------------------------------


def test_one_person_operates_one_camera() -> None:
    """Two cameras and one person: one is operated, the other locked off."""
    brief = brief_of((must("front", "either"), must("left", "either")), 1)
    # 10 points for the operated one and 4 for the first locked-off one, both songs: 28
    plan = solve(brief)
    assert sorted(placement.manner for placement in cameras(plan)) == ["locked-off", "operated"]
    assert reached(plan, "viewpoints") == 28


def test_two_people_operate_two_cameras() -> None:
    """With a second person both are operated: 2 * 10 * 2 songs."""
    plan = solve(brief_of((must("front", "either"), must("left", "either")), 2))
    assert operators(plan) == {"ann", "ben"}
    assert reached(plan, "viewpoints") == 40


def test_one_person_cannot_operate_two_cameras() -> None:
    """Two must roles of operated cameras clash where one person is on hand."""
    check_clash(solve(brief_of(OPERATED, 1)), "front-operated", "left-operated")


def test_one_person_operates_in_each_of_two_passes() -> None:
    """A person is one in a pass, not in a day."""
    roles = (role(manner="operated", in_passes="every"),)
    plan = solve(brief_of(roles, 1, passes=(run(), show())))
    assert operators(plan, "run") == operators(plan, "show") == {"ann"}
    assert demand_met(plan, "close")


# -- helpers ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hands", "number", "is_possible"),
    [(1, 2, True), (2, 3, False), (2, 4, True), (2, 5, True)],
    ids=["no-helper", "one-hand-short", "just-enough", "one-to-spare"],
)
def test_operators_and_helpers_are_people_on_hand(
    hands: int, number: int, is_possible: bool
) -> None:
    """Two operated supports for `hands` people take 2 operators and 2 * (hands - 1) helpers."""
    rules = {"minds_per_floater": 0}  # else the rule of minding says so as well
    plan = solve(brief_of(OPERATED, number, support(people=hands), rules=rules))
    assert (plan.status == "solved") == is_possible
    if not is_possible:
        check_clash(plan, "front-operated", "left-operated")


def test_a_helper_need_not_operate() -> None:
    """Helpers may be people who do not operate."""
    crew = (*people(2), person("cleo", is_operator=False), person("dara", is_operator=False))
    plan = solve(brief_of(OPERATED, 4, support(people=2), crew=crew))
    assert plan.status == "solved"
    assert operators(plan) == {"ann", "ben"}


def test_helpers_make_the_plan_choose() -> None:
    """Three people: legs for two take a helper each, so the second camera goes on other legs."""
    crane = support(people=2, mass_kg=1)
    tower = support("tower", mass_kg=9)
    used = solve(brief_of(OPERATED, 3, crane, tower))
    rigs = sorted(placement.rig.support for placement in cameras(used))
    assert [name.partition("-")[0] for name in rigs] == ["legs", "tower"]


# -- minding ---------------------------------------------------------------------------------------

ONE_AND_TWO = (must("front", "operated"), must("left", "locked-off"), must("right", "locked-off"))


def test_an_operator_minds_one_locked_off_camera() -> None:
    """One operator at the front cannot mind left and right: any of the three can be left out."""
    check_clash(
        solve(brief_of(ONE_AND_TWO, 1)), "front-operated", "left-locked-off", "right-locked-off"
    )


def test_an_operator_minds_as_many_as_the_rule_allows() -> None:
    """With two cameras to an operator the same plan is possible."""
    assert solve(brief_of(ONE_AND_TWO, 1, rules={"minds_per_operator": 2})).status == "solved"


@pytest.mark.parametrize(("number", "is_possible"), [(2, False), (3, True)])
def test_a_locked_off_support_takes_its_helper_too(number: int, is_possible: bool) -> None:
    """Legs for two at left and right take a helper each; somebody operates at the front and minds.

    Two people: both help, nobody is left to look at the two cameras, so these two clash alone.
    """
    places = {"front": {"stands_on": "rail"}, "left": {}, "right": {}}
    clamp = support("clamp", stands_on=("rail",))
    items = (support(people=2), clamp, accessory("bond"))
    rules = {"minds_per_operator": 2}
    plan = solve(brief_of(ONE_AND_TWO, number, *items, places=places, rules=rules))
    assert (plan.status == "solved") == is_possible
    if not is_possible:
        check_clash(plan, "left-locked-off", "right-locked-off")


def test_minding_decides_whether_anybody_operates() -> None:
    """Three cameras and one person. Where an operator minds two, one is operated: 10 + 4 + 3 points
    a song. Where an operator minds one, only a free person minds all three, and three viewpoints in
    the thinnest song go before points: 4 + 3 + 2.
    """
    kit = small_kit(counts={"cam": 3})
    free = brief_of((), 1, rules={"minds_per_operator": 2})
    bound = brief_of((), 1)
    assert reached(solve(Brief(free.shoot, kit)), "viewpoints") == 2 * (10 + 4 + 3)
    assert reached(solve(Brief(bound.shoot, kit)), "viewpoints") == 2 * (4 + 3 + 2)


@pytest.mark.parametrize(
    ("reach_m", "is_possible"),
    [(8.94, False), (80**0.5, True), (8.95, True)],
    ids=["below", "at", "above"],
)
def test_an_operator_minds_within_reach(reach_m: float, is_possible: bool) -> None:
    """front and left are sqrt(80) = 8.944 m apart in plan."""
    roles = (must("front", "operated"), must("left", "locked-off"))
    plan = solve(brief_of(roles, 1, rules={"mind_reach_m": reach_m}))
    assert (plan.status == "solved") == is_possible
    if not is_possible:
        check_clash(plan, "front-operated", "left-locked-off")


LOCKED = tuple(must(place, "locked-off") for place in PLACES)


@pytest.mark.parametrize(
    ("minds", "is_possible"),
    [(3, False), (4, True), (5, True)],
    ids=["one-short", "just-enough", "one-to-spare"],
)
def test_a_floater_minds_a_few(minds: int, is_possible: bool) -> None:
    """One free person, however far away, and four locked-off cameras."""
    plan = solve(brief_of(LOCKED, 1, rules={"minds_per_floater": minds, "mind_reach_m": 0}))
    assert (plan.status == "solved") == is_possible
    if not is_possible:
        check_clash(plan, *(each.id for each in LOCKED))


def test_a_floater_may_be_no_operator() -> None:
    """Somebody who does not operate can still look at a locked-off camera."""
    crew = (person("ann", is_operator=False),)
    assert solve(brief_of(LOCKED[:3], 1, crew=crew)).status == "solved"


def test_somebody_who_helps_does_not_float() -> None:
    """Ann operates with Ben's help and minds one; Ben is not free for the other."""
    crew_of_two = brief_of(ONE_AND_TWO, 2, support(people=2), support("light", stands_on=("rail",)),
                           accessory("bond"),
                           places={"front": {}, "left": {"stands_on": "rail"},
                                   "right": {"stands_on": "rail"}})  # fmt: skip
    check_clash(solve(crew_of_two), "front-operated", "left-locked-off", "right-locked-off")


@pytest.mark.parametrize("facts", [{"is_out_of_reach": True}, {"is_shut_in_by_audience": True}])
def test_what_cannot_be_reached_is_not_minded(facts: dict[str, Any]) -> None:
    """Nobody can look at it: it must last on its own, and takes nobody's time."""
    places = {"front": {}, "left": {}, "right": facts}
    assert solve(brief_of(ONE_AND_TWO, 1, places=places)).status == "solved"


def test_nobody_on_hand_minds_nothing() -> None:
    """Without a crew there is no locked-off camera in reach."""
    check_clash(solve(brief_of((LOCKED[0],), 0)), "front-locked-off")


def test_nobody_on_hand_sets_up_nothing() -> None:
    """Legs take one person: with none on hand they stand nowhere, not even out of reach."""
    brief = brief_of((LOCKED[0],), 0, places={"front": {"is_out_of_reach": True}})
    check_clash(solve(brief), "front-locked-off")


# -- whoever performs ------------------------------------------------------------------------------


def test_whoever_performs_in_every_song_operates_nothing() -> None:
    """Ann sings both songs; Ben operates."""
    ann = person("ann", performs_in=("first", "second"))
    assert operators(
        solve(small_brief(small_kit(counts={"cam": 1}), crew=(ann, person("ben"))))
    ) == {"ben"}


def test_whoever_performs_minds_no_locked_off_camera() -> None:
    """One camera, locked off by its role: Ann, who sings one song, cannot watch it; Cas can."""
    ann, cas = person("ann", performs_in=("first",)), person("cas", is_operator=False)
    locked = (role(manner="locked-off"),)
    assert solve(small_brief(crew=(ann,), roles=locked)).status == "musts-missed"
    assert solve(small_brief(crew=(ann, cas), roles=locked)).status == "solved"
