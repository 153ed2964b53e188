"""Rigs and operators in the pictures of others: who has to go, who may stay and what it costs.

The wide shot of the singer from the front is level at 1.6 m and d / 3 m high at a depth d: a rig
of 1.65 m behind her takes 4.95 / d of the height and its operator 5.1 / d; a fifth is the most, a
tenth costs one mark. `back` films the bass, who stands 12 m to its side, far from everybody's line.
"""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.allocate import pictures
from kitplan.allocate.model import build
from kitplan.options.spots import find_options
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role
from kitplan.shoot.venue import Position, Subject
from tests.bench.instances import instance
from tests.small import (
    AS_USUAL,
    WIDE,
    body,
    cameras,
    demand_met,
    items_used,
    optic,
    part,
    person,
    places,
    position,
    prime,
    reached,
    refusals,
    role,
    run,
    show,
    singer,
    small_brief,
    small_kit,
    solve,
    song,
    support,
    words_of,
)

SEEN = {"rig_least_share": 0.01}
"""Rigs are noticed; everything else about the picture stays quiet."""
ZOOM = small_kit(body(built_in=optic(**WIDE)))
FRONT = position("front", lens_height_m=1.6)


def back(depth_m: float, x: float = 0.0) -> Position:
    """Return a position so far before the front lens."""
    return position("back", at_m=(x, -10 + depth_m), lens_height_m=1.5)


def bass(place: Position) -> Subject:
    """Return somebody 12 m to the right of a position."""
    x, y = place.at_m
    return singer("bass", at_m=(x + 12, y))


def wide(**facts: Any) -> Role:
    """Return the role of the wide shot from the front."""
    return role("wide", **{"sizes": ("WS",), "positions": ("front",), **facts})


def side(**facts: Any) -> Role:
    """Return the role at the back."""
    return role("side", **{"subject": "bass", "positions": ("back",), **facts})


def brief_of(place: Position, *roles: Role, kit: Any = None, **parts: Any) -> Brief:
    """Return a shoot at the front and at the back."""
    given = {"positions": (FRONT, place), "subjects": (singer(), bass(place)), "rules": SEEN}
    return small_brief(kit or ZOOM, **{**given, "roles": roles, **parts})


def manner_at(plan: Plan, place: str) -> str:
    """Return how the camera at a position is worked."""
    return next(each.manner for each in cameras(plan) if each.position == place)


# -- two rigs that see each other ------------------------------------------------------------------

FACING = position("back", at_m=(0, 14), lens_height_m=1.6)
"""12 m behind her, opposite the front: each sees the other's rig right behind her."""
AWAY = position("back", at_m=(12, 2), lens_height_m=1.6)
"""12 m beside her: out of each other's frames."""


def both(place: Position, priority: str) -> Brief:
    """Return a shoot that wants the singer from both sides."""
    roles = (
        wide(priority=priority),
        role("other", sizes=("WS",), positions=("back",), priority=priority),
    )
    return brief_of(place, *roles, subjects=(singer(),))


def test_of_two_rigs_that_see_each_other_one_goes() -> None:
    """24 m apart: 1.75 of 8 m are 21.9 % of the height. Only one of two wants is filled."""
    plan = solve(both(FACING, "want"))
    assert plan.status == "solved"
    assert reached(plan, "wants") == 1
    assert len(places(plan)) == 1


def test_out_of_the_frame_both_stay() -> None:
    """A quarter of the way round her."""
    plan = solve(both(AWAY, "want"))
    assert reached(plan, "wants") == 2
    assert places(plan) == {"front", "back"}


def test_two_musts_that_see_each_other_clash() -> None:
    """Neither can be dropped without leave: the clash names both, and one is done."""
    plan = solve(both(FACING, "must"))
    assert plan.status == "musts-missed"
    assert set(plan.clash) == words_of(plan, "wide", "other")
    assert reached(plan, "musts") == -1
    assert solve(both(AWAY, "must")).status == "solved"


def test_pictures_of_other_passes_are_nobodys_business() -> None:
    """The back is used in the run, the front in the show."""
    roles = (wide(passes=("show",)), role("other", sizes=("WS",), positions=("back",)))
    plan = solve(brief_of(FACING, *roles, subjects=(singer(),), passes=(run(), show())))
    assert plan.status == "solved"


# -- the operator alone ----------------------------------------------------------------------------

AT_25 = back(25)
"""The rig takes 19.8 %, somebody at it 20.4 %."""


@pytest.mark.parametrize(
    ("place", "manner", "status"),
    [
        (AT_25, "locked-off", "solved"),
        (AT_25, "operated", "musts-missed"),
        (back(26), "operated", "solved"),  # 19.6 %
        (back(24), "locked-off", "musts-missed"),  # 20.6 % without anybody
    ],
    ids=["locked-off", "operated", "further-off", "nearer"],
)
def test_a_rig_may_stay_where_its_operator_may_not(
    place: Position, manner: str, status: str
) -> None:
    """At 25 m it is locked off or it is nothing."""
    plan = solve(brief_of(place, wide(), side(manner=manner)))
    assert plan.status == status
    assert set(plan.clash) == (set() if status == "solved" else words_of(plan, "wide", "side"))


def test_the_camera_is_locked_off_to_save_the_picture() -> None:
    """Nobody asks for it: an operated viewpoint is worth more, but not the must."""
    free = solve(brief_of(back(26), wide(), side()))
    bound = solve(brief_of(AT_25, wide(), side()))
    assert (manner_at(free, "back"), manner_at(bound, "back")) == ("operated", "locked-off")
    assert reached(free, "viewpoints") > reached(bound, "viewpoints")


def test_a_sweep_spoils_what_a_still_stand_does_not() -> None:
    """A slider of 1 m to either side, 9.2 m off the axis 30 m away; half the frame is 8.9 m there.

    In a dance nobody may be seen at all: the slider has to stay at home, the legs need not.
    """
    kit = small_kit(
        body(built_in=optic(**WIDE)), support("slider", moves=("track",), sweep_m=1, mass_kg=9)
    )
    place = back(30, 9.5)
    for moves, status in (((), "solved"), (("track",), "musts-missed")):
        plan = solve(brief_of(place, wide(), side(moves=moves), kit=kit, performance="dance"))
        assert plan.status == status
    plan = solve(
        brief_of(back(30, 12), wide(), side(moves=("track",)), kit=kit, performance="dance")
    )
    assert plan.status == "solved"


# -- further shots of an operator ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "has_wide"),
    [(back(25, 5), False), (back(26, 5), True), (back(25, 9), True)],
    ids=["in-it", "small", "beside-it"],
)
def test_a_spoilt_shot_is_not_on_the_menu(place: Position, has_wide: bool) -> None:
    """The operator at the back takes 20.4 % of the wide shot, 5 m off its axis of 7.4 m.

    A medium shot, 1.7 m to either side there, does not show him; nor does a full shot (3.9 m).
    """
    rules = {**SEEN, "menu_shots": 99, "pairs_per_subject": 99}
    roles = (role(positions=("front",), manner="operated"), side(manner="operated"))
    plan = solve(brief_of(place, *roles, rules=rules))
    assert plan.status == "solved"
    menu = next(each.menu for each in cameras(plan) if each.position == "front")
    sizes = {shot.size for shot in menu if shot.subject == "singer"}
    assert {"MLS", "FS"} <= sizes
    assert ("WS" in sizes) == has_wide


def test_a_menu_is_never_bought_with_a_spoilt_shot() -> None:
    """The pair that is missing is the only thing that variety loses."""
    rules = {**SEEN, "menu_shots": 99, "pairs_per_subject": 99}
    roles = (role(positions=("front",), manner="operated"), side(manner="operated"))
    reach = [
        reached(solve(brief_of(place, *roles, rules=rules)), "variety")
        for place in (back(25, 5), back(26, 5))
    ]
    assert reach[1] - reach[0] == 1


# -- moments held by hand --------------------------------------------------------------------------

ASIDE = back(25, 7)
"""In the wide shot from the front (7.4 m to either side there), 14.8 m from the singer."""
ONE_LENS = small_kit(body(built_in=prime(9 * 12000 / 4009)))
"""4 m of height 12 m away, 4.92 m 14.8 m away: a wide shot there, if that is what she calls it."""


def with_moment(manner: str, priority: str = "must") -> Brief:
    """Return a shoot whose first song has a moment that only the front can hold, by hand.

    She calls a wide shot from 3.33 to 4.8 m, so the back cannot hold it. The front's own shot is of
    the tuba, 12 m to its left, in whose picture nobody stands.
    """
    moment = {"name": "Solo", "subject": "singer", "at_s": 60, "size": "WS", "priority": "must"}
    tuba = singer("tuba", at_m=(-12, -10))
    return brief_of(
        ASIDE,
        role("tuba", subject="tuba", sizes=("WS",), positions=("front",), manner="operated"),
        side(sizes=("WS",), manner=manner, priority=priority),
        kit=ONE_LENS,
        subjects=(singer(frames_m={"WS": 4}), bass(ASIDE), tuba),
        songs=(song("first", moments=(moment,)), song("second")),
    )


def test_a_moment_is_held_by_hand_past_a_rig() -> None:
    """19.8 % of the height are let pass."""
    plan = solve(with_moment("locked-off"))
    assert plan.status == "solved"
    assert demand_met(plan, "first/0")


def test_a_moment_is_not_held_past_an_operator() -> None:
    """20.4 %: the must at the back and the moment clash; the tuba has no part in it."""
    plan = solve(with_moment("operated"))
    assert plan.status == "musts-missed"
    moment = "moment 'Solo' in first (singer, WS or tighter)"
    assert set(plan.clash) == {moment} | words_of(plan, "side")


def test_a_want_gives_way_to_a_moment() -> None:
    """The operated camera at the back is left out; as a locked-off one it may stay."""
    plan = solve(with_moment("operated", "want"))
    assert plan.status == "solved"
    assert demand_met(plan, "first/0")
    assert reached(plan, "wants") == 0


# -- marks -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("depth_m", "manner", "lost"),
    [
        (600, "operated", 0),  # 0.85 %: nobody notices
        (60, "operated", 1),  # 8.5 %
        (49.8, "locked-off", 1),  # 9.94 %
        (49.8, "operated", 2),  # 10.2 %
        (30, "locked-off", 2),
        (30, "operated", 2),
    ],
)
def test_what_may_be_seen_costs_one_mark_or_two(depth_m: float, manner: str, lost: int) -> None:
    """In the main shot from the front; the back, which looks away, sees nobody."""
    plan = solve(brief_of(back(depth_m), wide(), side(manner=manner)))
    assert plan.status == "solved"
    assert part(plan, "quality", "others in picture") == lost
    assert reached(plan, "quality") == -part(plan, "quality", "shots") - lost


def test_everybody_in_a_picture_costs_marks() -> None:
    """Two at the back, 30 m away to either side of the axis: two marks each."""
    spots = (FRONT, back(30, -3), position("more", at_m=(3, 20), lens_height_m=1.5))
    subjects = (singer(), singer("bass", at_m=(-15, 20)), singer("tuba", at_m=(15, 20)))
    roles = (
        wide(),
        side(),
        role("tuba", subject="tuba", positions=("more",)),
    )
    kit = small_kit(body(built_in=optic(**WIDE)), counts={"cam": 3})
    crew = tuple(map(person, ("ann", "ben", "cleo")))
    plan = solve(
        small_brief(kit, positions=spots, subjects=subjects, roles=roles, crew=crew, rules=SEEN)
    )
    assert plan.status == "solved"
    assert part(plan, "quality", "others in picture") == 4


# -- stands that shake -----------------------------------------------------------------------------

STEADY = {"steady_operated": AS_USUAL["steady_operated"]}
MONOPOD = support("monopod", can_stand_alone=False, mass_kg=0.5)


def shaken(sizes: str, rules: dict[str, Any], *, has_legs: bool) -> Brief:
    """Return a shoot of one operated camera on a monopod or, where there are any, on legs."""
    kit = small_kit(
        body(built_in=optic(**WIDE)),
        MONOPOD,
        counts={"cam": 1},
        without=() if has_legs else ("legs",),
    )
    return small_brief(
        kit,
        positions=(position("front"),),
        roles=(role(sizes=(sizes,), manner="operated"),),
        rules=rules,
    )


def test_a_long_lens_goes_on_legs() -> None:
    """A monopod shakes by 0.15 degrees: 3.5 % of the 4.295 degrees of a medium shot."""
    plan = solve(shaken("MS", STEADY, has_legs=True))
    assert "legs" in items_used(plan)
    assert part(plan, "quality", "shots") == 0


def test_where_nothing_shakes_the_light_monopod_is_taken() -> None:
    """With a limit of 99 times the frame's height economy decides."""
    plan = solve(shaken("MS", {}, has_legs=True))
    assert "monopod" in items_used(plan)


def test_without_legs_a_long_lens_is_not_used_a_wide_one_is() -> None:
    """The must is missed for that reason; in a wide shot of 18.9 degrees it is 0.8 %: two marks."""
    brief = shaken("MS", STEADY, has_legs=False)
    plan = solve(brief)
    assert plan.status == "musts-missed"
    assert set(plan.clash) == words_of(plan, "close")
    found = [
        r for r in refusals(brief) if r.rule == "steadiness" and r.what.startswith("singer MS")
    ]
    assert found[0].value == pytest.approx(100 * 0.15 / 4.2952, rel=1e-3)
    wider = solve(shaken("WS", STEADY, has_legs=False))
    assert wider.status == "solved"
    assert part(wider, "quality", "shots") == 1


# -- the safety shot over the heads ----------------------------------------------------------------

ROWS = ((-3, -8), (3, -8), (3, -2), (-3, -2))
"""Seats before the front; from the left one looks past them."""


def safe(lens_m: float, *, has_left: bool) -> Brief:
    """Return a shoot whose safety shot should be from the front, if a nice role has its way."""
    spots = (position("front", lens_height_m=lens_m), *([position("left")] if has_left else []))
    liked = role("liked", positions=("front",), priority="nice", also=True)
    return small_brief(
        small_kit(counts={"cam": 1}),
        positions=spots,
        passes=(show(needs_safety=True),),
        audience=({"id": "rows", "outline_m": ROWS},),
        roles=(role("safe", is_safety=True), liked),
    )


@pytest.mark.parametrize(("lens_m", "place"), [(1.799, "left"), (1.801, "front")])
def test_the_safety_shot_looks_over_the_heads(lens_m: float, place: str) -> None:
    """To 0.6 * 1.75 = 1.05 m over seated heads of 1.3 m, 8 of 12 m away: 1.8 m is enough."""
    assert places(solve(safe(lens_m, has_left=True))) == {place}


@pytest.mark.parametrize(("lens_m", "status"), [(1.799, "musts-missed"), (1.801, "solved")])
def test_without_a_clear_view_there_is_no_safety_shot(lens_m: float, status: str) -> None:
    """The must role clashes with itself."""
    plan = solve(safe(lens_m, has_left=False))
    assert plan.status == status
    assert set(plan.clash) == (words_of(plan, "safe") if status == "musts-missed" else set())


def test_a_finer_model_finds_worked_out_who_spoils_whose_picture() -> None:
    """It tells more shots apart, but none that see others: nothing is looked for twice."""
    options = find_options(instance("S", 0))
    build(options, "viewpoints")
    before = pictures._cover.cache_info()
    build(options)
    after = pictures._cover.cache_info()
    assert after.misses == before.misses
    assert after.hits == before.hits + len(options.brief.shoot.passes)
