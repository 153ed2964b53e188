"""Roles with each of their attributes, and moments: met, just met, and not to be met."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.gear.kit import Kit
from kitplan.plan.records import Plan
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Role
from kitplan.shoot.venue import Subject
from tests.small import (
    WIDE,
    body,
    cameras,
    demand_met,
    operators,
    optic,
    person,
    places,
    position,
    reached,
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

FRONT = (position("front"),)
BOTH = (run(), show())
WIDE_KIT = small_kit(body(built_in=optic(**WIDE)))
"""The zoom reaches from a medium shot to the whole stage."""
STAGE: dict[str, Any] = {"subject": "stage", "sizes": ("WS",)}


def check(brief: Brief, is_possible: bool, *role_ids: str) -> Plan:
    """Solve; where it is not possible these demands alone clash."""
    plan = solve(brief)
    assert (plan.status == "solved") == is_possible
    assert set(plan.clash) == (set() if is_possible else words_of(plan, *role_ids))
    return plan


# -- roles, attribute by attribute -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "is_possible"),
    [
        ({}, True),
        ({"subject": "stage"}, False),
        ({"sizes": ("CU", "MS")}, True),
        ({"sizes": ("CU", "MCU")}, False),
        ({"manner": "locked-off"}, True),
        ({"positions": ("front", "left")}, True),
        ({"positions": ("left",)}, False),
        ({"moves": ("track", "walk")}, False),
        ({"passes": ("show",)}, True),
    ],
    ids=str,
)
def test_a_role_asks_for_subject_size_manner_place_and_move(
    facts: dict[str, Any], is_possible: bool
) -> None:
    """From the front there is a medium shot of the singer on legs that make no move."""
    check(small_brief(positions=FRONT, roles=(role(**facts),)), is_possible, "close")


def _taken(plan: Plan) -> list[tuple[str, str, str, str]]:
    return [
        (p.position, p.shot.subject, p.shot.size, p.manner)
        for p in cameras(plan)
        if "close" in p.roles
    ]


@pytest.mark.parametrize(
    ("facts", "found"),
    [
        ({"subject": "stage", "sizes": ("WS",)}, {("stage", "WS", "operated")}),
        ({"sizes": ("FS",)}, {("singer", "FS", "operated")}),
        ({"manner": "locked-off"}, {("singer", "MS", "locked-off")}),
    ],
    ids=["subject", "size", "manner"],
)
def test_a_want_role_changes_the_main_shot(
    facts: dict[str, Any], found: set[tuple[str, str, str]]
) -> None:
    """A want comes before viewpoints: the shot it asks for is taken, even locked off."""
    brief = small_brief(WIDE_KIT, roles=(role(priority="want", **facts),))
    plan = solve(brief)
    assert {one[1:] for one in _taken(plan)} == found
    assert reached(plan, "wants") == 1


def test_a_role_takes_the_support_that_makes_its_move() -> None:
    """A heavy slider instead of light legs, and only for the role that tracks."""
    slider = support("slider", moves=("track",), mass_kg=9)
    for moves, expected in (((), "legs"), (("track",), "slider"), (("walk", "track"), "slider")):
        brief = small_brief(
            small_kit(slider, counts={"cam": 1}), positions=FRONT, roles=(role(moves=moves),)
        )
        (placement,) = cameras(check(brief, True))
        assert placement.rig.support.startswith(expected)


def test_a_role_is_done_from_one_of_its_positions() -> None:
    """One camera and three places: it goes where the role wants it."""
    kit = small_kit(counts={"cam": 1})
    for place in ("front", "left", "right"):
        assert places(solve(small_brief(kit, roles=(role(positions=(place,)),)))) == {place}


@pytest.mark.parametrize("also", [True, False])
def test_a_placement_does_one_role_and_those_marked_also(also: bool) -> None:
    """One camera: a second role on the same shot only where it is marked."""
    kit = small_kit(counts={"cam": 1})
    roles = (role("one"), role("two", also=also))
    plan = check(small_brief(kit, roles=roles), also, "one", "two")
    assert [len(placement.roles) for placement in cameras(plan)] == [2 if also else 1]


def test_a_role_marked_also_may_stand_alone() -> None:
    """It needs no other role beside it."""
    check(small_brief(roles=(role(also=True),)), True)


def test_a_role_is_done_once_a_pass() -> None:
    """Two cameras could do it; one of them does."""
    plan = solve(small_brief(roles=(role(),)))
    assert sum("close" in placement.roles for placement in cameras(plan)) == 1


@pytest.mark.parametrize(("passes", "is_possible"), [(BOTH, True), ((show(),), False)])
def test_a_role_is_kept_at_two_places_in_two_passes_only(passes: Any, is_possible: bool) -> None:
    """Locks want it at the front and at the left: once in the run and once in the show."""
    keep = ({"position": "front", "role": "close"}, {"position": "left", "role": "close"})
    plan = solve(small_brief(passes=passes, roles=(role(),), locks={"keep": keep}))
    assert set(plan.clash) == (set() if is_possible else words_of(plan, "0", "1"))


@pytest.mark.parametrize(
    ("in_passes", "passes", "is_possible"),
    [
        ("any", None, True),
        ("every", None, False),
        ("every", ("run",), True),
        ("every", ("show",), False),
        ("any", ("show",), False),
    ],
)
def test_a_role_is_listed_for_passes(
    in_passes: Any, passes: tuple[str, ...] | None, is_possible: bool
) -> None:
    """The only position is open in the run: `any` listed pass will do, or `every` one has to."""
    brief = small_brief(
        positions=(position("front", open_in=("run",)),),
        passes=BOTH,
        roles=(role(in_passes=in_passes, passes=passes),),
    )
    plan = solve(brief)
    missed = {demand.words for demand in plan.demands if not demand.is_met}
    assert set(plan.clash) == missed
    assert (plan.status == "solved") == is_possible
    assert all(word.endswith("in show") for word in missed)


@pytest.mark.parametrize("in_passes", ["every", "any"])
def test_every_listed_pass_counts_for_itself(in_passes: Any) -> None:
    """A want role of weight 5 in both passes: 10 where it asks for every one, 5 for any one."""
    roles = (role(priority="want", weight=5, in_passes=in_passes),)
    plan = solve(small_brief(passes=BOTH, roles=roles))
    assert reached(plan, "wants") == (10 if in_passes == "every" else 5)


# -- the safety shot -------------------------------------------------------------------------------

SAFETY = role("safety", is_safety=True, **STAGE)
AUTO = body("auto", has_manual_control=False, built_in=optic(**WIDE))


def _safety(kit: Kit, *crew: Any, roles: tuple[Role, ...] = (SAFETY,), **parts: Any) -> Brief:
    passes = (show(needs_safety=True),)
    people = crew or (person("ann"),)
    given = {"positions": FRONT, "passes": passes, "crew": people, "roles": roles, **parts}
    return small_brief(kit, **given)


def test_the_safety_shot_is_added_where_a_pass_needs_one() -> None:
    """Nobody asked for it, and it is a must that rolls throughout."""
    plan = check(_safety(WIDE_KIT, roles=()), True)
    (placement,) = cameras(plan)
    assert (placement.roles, placement.shot.subject, placement.letter) == (
        ("safety",),
        "stage",
        "A",
    )


def test_the_safety_shot_is_missed_where_nothing_frames_the_stage() -> None:
    """The long zoom has no wide shot."""
    check(_safety(small_kit(), roles=()), False, "safety")


def test_the_added_safety_shot_rolls_throughout() -> None:
    """A clip limit of 8 minutes stops inside songs of 9."""
    cam = body(built_in=optic(**WIDE), mode={"clip_limit_min": 8})
    check(_safety(small_kit(cam), roles=()), False, "safety")


def test_a_pass_that_needs_no_safety_shot_is_not_listed() -> None:
    """The role stands in the file, the pass does not need it."""
    passes = (show(needs_safety=False),)
    plan = solve(_safety(small_kit(), roles=(SAFETY,), passes=passes))
    assert plan.demands == ()


def test_the_safety_shot_takes_a_body_on_manual_control() -> None:
    """The heavy body with manual control, not the light automatic one, even operated."""
    manual = body("manual", built_in=optic(**WIDE), mass_kg=5)
    kit = small_kit(AUTO, manual, without=("cam",))
    (placement,) = cameras(check(_safety(kit), True))
    assert placement.rig.body == "manual-1"
    kit = small_kit(AUTO, without=("cam",))
    check(_safety(kit), False, "safety")
    check(small_brief(kit, positions=FRONT, roles=(role("wide", **STAGE),)), True)


def test_nobody_who_performs_in_the_pass_operates_the_safety_shot() -> None:
    """Ann sings the first song: she may operate any shot but this one, so it is locked off, and
    somebody else keeps an eye on it.
    """
    ann, cas = person("ann", performs_in=("first",)), person("cas", is_operator=False)
    (placement,) = cameras(check(_safety(WIDE_KIT, ann, cas), True))
    assert placement.operator is None
    by_hand = (SAFETY.model_copy(update={"manner": "operated"}),)
    check(_safety(WIDE_KIT, ann, roles=by_hand), False, "safety")
    check(_safety(WIDE_KIT, ann, person("ben"), roles=by_hand), True)


def test_a_song_that_is_not_run_does_not_count_as_performing() -> None:
    """Ann sings a song that this pass leaves out."""
    ann = person("ann", performs_in=("first",))
    by_hand = (SAFETY.model_copy(update={"manner": "operated"}),)
    passes = (show(needs_safety=True, songs={"first": "not-run"}),)
    check(_safety(WIDE_KIT, ann, roles=by_hand, passes=passes), True)


# -- moments ---------------------------------------------------------------------------------------


def _moment(size: str = "MS", priority: str = "must", **parts: Any) -> Brief:
    """A solo in the first song; one camera at the front that frames a medium shot or the stage."""
    solo = {"name": "solo", "subject": "singer", "at_s": 60, "size": size, "priority": priority}
    given: dict[str, Any] = {
        "kit": small_kit(body(built_in=optic(**WIDE)), counts={"cam": 1}),
        "positions": FRONT,
        "songs": (song("first", moments=(solo,)), song("second")),
        **parts,
    }
    return small_brief(given.pop("kit"), **given)


@pytest.mark.parametrize(
    ("size", "is_possible"), [("FS", True), ("MS", True), ("MCU", False)], ids=str
)
def test_a_moment_is_held_at_least_that_tight(size: str, is_possible: bool) -> None:
    """The zoom goes as far as a medium shot."""
    check(_moment(size), is_possible, "first/0")


def test_a_moment_that_is_no_must_is_not_demanded() -> None:
    """Wants of moments are left to the shot sheets."""
    plan = check(_moment("CU", priority="want"), True)
    assert plan.demands == ()


def test_an_operator_holds_a_moment_whatever_the_main_shot() -> None:
    """The main shot is the stage; the zoom reaches the singer."""
    plan = check(_moment(roles=(role(**STAGE),)), True)
    assert demand_met(plan, "first/0")


@pytest.mark.parametrize(
    ("facts", "is_possible"), [({}, True), ({**STAGE}, False), ({"sizes": ("FS",)}, False)], ids=str
)
def test_a_locked_off_camera_holds_only_its_main_shot(
    facts: dict[str, Any], is_possible: bool
) -> None:
    """Nobody zooms in: the must role of a locked-off camera decides what is held."""
    roles = (role(manner="locked-off", **facts),)
    check(_moment(roles=roles), is_possible, "first/0", "close")


def test_whoever_performs_in_the_song_holds_nothing_in_it() -> None:
    """Ann sings the first song herself; Ben, or a locked-off camera, holds the moment."""
    ann, cas = person("ann", performs_in=("first",)), person("cas", is_operator=False)
    kit = small_kit(counts={"cam": 1})
    (alone,) = cameras(check(_moment(kit=kit, crew=(ann, cas)), True))
    assert alone.operator is None
    moving: dict[str, Any] = {"subjects": (singer(roam_m=3), Subject(id="stage", kind="stage"))}
    check(_moment(kit=kit, crew=(ann,), **moving), False, "first/0")
    assert operators(check(_moment(crew=(ann, person("ben")), **moving), True)) == {"ben"}


@pytest.mark.parametrize(
    ("closed_run", "is_possible"),
    [
        ({}, True),
        ({"has_click": False}, False),
        ({"is_in_costume": False}, False),
        ({"is_in_show_light": False}, False),
        ({"songs": {"first": "stopped"}}, False),
        ({"songs": {"first": "not-run"}}, False),
        ({"songs": {"second": "not-run"}}, True),
    ],
    ids=str,
)
def test_a_moment_is_held_in_a_pass_that_is_live_or_locks(
    closed_run: dict[str, Any], is_possible: bool
) -> None:
    """The only position is open in the run, which locks to the show or does not."""
    spots = (position("front", open_in=("run",)),)
    passes = (run(**closed_run), show())
    check(_moment(positions=spots, passes=passes), is_possible, "first/0")


def test_a_click_in_the_song_keeps_the_tempo_as_well() -> None:
    """The run has no click, the song has."""
    solo = {"name": "solo", "subject": "singer", "at_s": 60, "size": "MS", "priority": "must"}
    brief = _moment(
        positions=(position("front", open_in=("run",)),),
        passes=(run(has_click=False), show()),
        songs=(song("first", has_click=True, moments=(solo,)),),
    )
    check(brief, True)
