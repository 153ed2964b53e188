"""Rigs, operators and sweeps in the pictures of others: cards, levels, the rule, what it costs.

The medium shot from the front is level at 1.363 m; z metres ahead its frame is 0.075 z high, so
0.45 m at 6 m and 1.8 m at 24 m, and 16 / 9 of that wide.
"""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.plan.verify import (
    REFUSED,
    Scene,
    Setup,
    demands_of,
    goal_values,
    level_in_picture,
    pass_faults,
    picture_faults,
)
from kitplan.plan.verify.crowding import shown_by
from kitplan.plan.verify.pinhole import Card
from kitplan.shoot.venue import Subject
from tests.plan.staged import FRONT, pillar, rules_of, scene, setup, view
from tests.small import LENS_M, position, run, show, singer, song, support

# -- what a placement shows ------------------------------------------------------------------------


def cards(one: Setup) -> list[tuple[float, float, float, float, float]]:
    """Return what a placement shows as x, y, foot, top, width, rounded, sorted."""
    shown = shown_by(one)
    assert shown.sweep == ()
    return sorted(map(_numbers, shown.cards))


def _numbers(card: Card) -> tuple[float, float, float, float, float]:
    x, y, foot, top, width = (
        round(n, 6) + 0.0 for n in (*card.at, card.foot, card.top, card.width)
    )
    return x, y, foot, top, width


PLACES: dict[str, tuple[dict[str, Any], tuple[float, float], tuple[float, float]]] = {
    "floor": ({"lens_height_m": 1.5}, (0, 1.65), (0, 1.7)),
    "high legs": ({"lens_height_m": 2.5}, (0, 2.65), (0, 1.9)),
    "platform": ({"lens_height_m": 1.5, "floor_height_m": 1}, (1, 2.65), (1, 2.7)),
    "rail": (
        {"lens_height_m": 0.1, "floor_height_m": 4, "stands_on": "rail"},
        (3.8, 4.25),
        (2.8, 4.45),
    ),
    "bar": (
        {"lens_height_m": 0, "floor_height_m": 4, "stands_on": "bar"},
        (3.7, 4.3),
        (2.7, 4.35),
    ),
}


@pytest.mark.parametrize("name", PLACES)
def test_rig_and_operator_as_cards(name: str) -> None:
    """Feet and tops over the house floor; the operator only where somebody operates by hand."""
    facts, rig, operator = PLACES[name]
    place = position("front", at_m=(3, 4), **facts)
    shown = [(3, 4, *rig, 0.5), (3, 4, *operator, 0.6)]
    assert cards(setup(place)) == sorted(shown)
    assert cards(setup(place, who=None)) == shown[:1]
    away = position("front", at_m=(3, 4), is_out_of_reach=True, **facts)
    assert cards(setup(away)) == shown[:1]


MOVES: dict[str, tuple[dict[str, Any], float]] = {
    "track": ({"moves": ("track",), "footprint_m": 2}, 1.0),
    "boom": ({"moves": ("boom",), "footprint_m": 3}, 1.5),
    "walk": ({"moves": ("walk",), "footprint_m": 9}, 2.5),
    "as the support says": ({"moves": ("track",), "sweep_m": 0.3}, 0.3),
}


@pytest.mark.parametrize("who", ["ann", None])
@pytest.mark.parametrize("name", MOVES)
def test_moves_take_rig_and_operator_along_the_axes(name: str, who: str | None) -> None:
    """Half a track to each side, or as far as there is room to walk; with somebody at it, who may
    be there whether it is operated or not.
    """
    facts, reach = MOVES[name]
    place = position("front", at_m=(3, 4), lens_height_m=1.5, walk_m=2.5)
    swept = ((3 + reach, 4), (3 - reach, 4), (3, 4 + reach), (3, 4 - reach))
    still = setup(place)
    moving = setup(place, who, legs=support("mover", **facts))
    wanted = [(*at, 0, top, width) for at in swept for top, width in ((1.65, 0.5), (1.7, 0.6))]
    assert cards(moving) == sorted([*cards(still), *wanted])


def test_out_of_reach_a_track_moves_without_anybody() -> None:
    """Five rigs, no operator."""
    place = position("front", is_out_of_reach=True)
    found = cards(setup(place, legs=support("mover", moves=("track",))))
    assert [width for *_, width in found] == [0.5] * 5


JIB = support("jib", is_arm=True, sweep_m=2)
ARCS: dict[str, tuple[tuple[float, float] | None, int]] = {
    "all round": (None, 12),
    "all round in words": ((0, 360), 12),
    "more than all round": ((-180, 200), 12),
    "a quarter": ((0, 90), 4),
    "a little more": ((0, 95), 5),
    "over upstage": ((-45, 45), 4),
    "the other way round": ((90, 0), 10),
    "fixed": ((30, 30), 1),
}


@pytest.mark.parametrize("name", ARCS)
def test_an_arm_swings_over_its_arc(name: str) -> None:
    """Its end at its reach and half of it, every 30 degrees; rig and operator at its base."""
    arc, bearings = ARCS[name]
    place = position("front", at_m=(0, 0), lens_height_m=1.5, arc_deg=arc)
    found = set(cards(setup(place, legs=JIB)))
    assert {(0, 0, 0, 1.65, 0.5), (0, 0, 0, 1.7, 0.6)} < found
    ends = found - {(0, 0, 0, 1.65, 0.5), (0, 0, 0, 1.7, 0.6)}
    assert len(ends) == 2 * bearings
    assert {end[2:] for end in ends} == {(1.0, 2.0, 0.5)}


def test_bearings_run_clockwise_from_upstage() -> None:
    """From 0 to 90 degrees: upstage, and by way of 30 and 60 to house right."""
    place = position("front", at_m=(0, 0), lens_height_m=1.5, arc_deg=(0, 90))
    found = {card[:2] for card in cards(setup(place, legs=JIB))}
    assert {(0, 2), (2, 0), (0, 1), (1, 0), (1, round(3**0.5, 6))} < found


def test_an_arm_without_a_sweep_reaches_as_far_as_its_footprint() -> None:
    """Three metres."""
    place = position("front", at_m=(0, 0), arc_deg=(0, 0))
    found = cards(setup(place, legs=support("jib", is_arm=True, footprint_m=3)))
    assert max(y for _, y, *_ in found) == 3


def test_a_parked_arm_shows_its_sweep_apart() -> None:
    """Parked at 90 degrees; what it sweeps never refuses."""
    place = position("front", at_m=(0, 0), lens_height_m=1.5, arc_deg=(0, 0), park_deg=90)
    shown = shown_by(setup(place, legs=JIB))
    assert sorted(_numbers(card)[:2] for card in shown.cards) == [(0, 0), (0, 0), (1, 0), (2, 0)]
    assert sorted(_numbers(card)[:2] for card in shown.sweep) == [(0, 1), (0, 2)]


# -- levels ----------------------------------------------------------------------------------------


def clamp(y: float, x: float = 0.0, **facts: Any) -> Setup:
    """Return a locked-off camera on a rail: 0.45 m of rig, from 0.3 m under its lens."""
    given = {"at_m": (x, y), "stands_on": "rail", "lens_height_m": LENS_M}
    return setup(position("rail", **{**given, **facts}), who=None)


def level(setting: Scene, other: Setup) -> int:
    """Return at which level a placement is in the medium shot from the front."""
    return level_in_picture(setting, view(setting), other)


@pytest.mark.parametrize(
    ("ahead_m", "wanted"),
    [(29.9, 3), (30.0, 2), (59.9, 2), (60.0, 1), (599.0, 1), (600.0, 0)],
    ids=["above 0.2", "at 0.2", "above 0.1", "at 0.1", "above 0.01", "at 0.01"],
)
def test_levels_go_by_the_height_in_the_frame(ahead_m: float, wanted: int) -> None:
    """Of 0.45 m: 0.2 of the frame at 30 m, 0.1 at 60 m, 0.01 at 600 m, all behind the singer."""
    assert level(scene(), clamp(ahead_m - 10)) == wanted


@pytest.mark.parametrize(
    ("performance", "wanted"),
    [("concert", 1), ("worship", 1), ("theatre", 3), ("dance", 3), ("school", 3)],
)
def test_what_is_refused_is_up_to_the_performance(performance: str, wanted: int) -> None:
    """A concert bears what a play does not."""
    assert level(scene(performance=performance), clamp(70)) == wanted


def test_beside_the_frame_nothing_is_seen() -> None:
    """At 31 m the frame ends 2.067 m to the side, where a rig of 0.5 m begins or not."""
    assert level(scene(), clamp(21, x=2.3)) == 2
    assert level(scene(), clamp(21, x=2.35)) == 0


def test_what_is_cut_by_the_frame_counts_with_what_is_in_it() -> None:
    """At 6 m the frame ends at 1.588 m: of a rig from 1.54 m on 0.1067 of it shows, from 1.55 m on
    0.0844.
    """
    assert level(scene(), clamp(-4, x=0.6, lens_height_m=1.84)) == 2
    assert level(scene(), clamp(-4, x=0.6, lens_height_m=1.85)) == 1


@pytest.mark.parametrize(
    ("y", "x", "lens_m", "wanted"),
    [
        # the box of the singer's points begins at v = 0.5 - (1.698 - 1.363) / 0.9 = 0.128
        (-4, 0.0, 1.83, 3),  # the rig reaches down to 1.53 m, v = 0.129
        (-4, 0.0, 1.84, 2),  # and here to 1.54 m, v = 0.107
        # and it ends at u = 0.5 + 0.15 / 1.6 = 0.594, which is 0.075 m to the side
        (-4, 0.32, 1.83, 3),
        (-4, 0.33, 1.83, 2),
        # behind him a rig as high in the frame takes nothing away
        (5, 0.0, 2.1, 2),
    ],
    ids=["over his head", "above it", "at his shoulder", "beside it", "behind him"],
)
def test_across_is_before_the_singer(y: float, x: float, lens_m: float, wanted: int) -> None:
    """A card nearer than the aim point that shares an area with what is to be seen."""
    setting = scene(rules={"rig_refused_share": {"concert": 0.5}})
    assert level(setting, clamp(y, x=x, lens_height_m=lens_m)) == wanted


def test_as_far_as_the_singer_is_not_before_him() -> None:
    """12 m from the lens, to his side, a rig may overlap with him in the picture."""
    for y, wanted in ((1.99, 3), (2.0, 2)):
        setting = scene(rules={"rig_refused_share": {"concert": 0.6}})
        assert level(setting, clamp(y, x=0.1)) == wanted


def test_of_a_group_the_upper_points_count() -> None:
    """Legs may be hidden: 0.6 and 0.95 of 1.75 m are 1.05 and 1.66 m high, a rig is lower."""
    choir = Subject(id="choir", kind="group", at_m=(0, 2), width_m=2)
    setting = scene(subjects=(choir,), rules={"rig_refused_share": {"concert": 0.9}})
    found = view(setting, choir, "WS")
    for lens_m, wanted in ((0.9, 2), (1.2, 3)):
        # 1 m before them the rays to 1.05 m are 1.076 m high; rigs reach to 1.05 and to 1.35 m
        place = clamp(1, lens_height_m=lens_m, id=f"rail-{lens_m}")
        assert level_in_picture(setting, found, place) == wanted


def test_two_rigs_at_one_position_do_not_see_each_other() -> None:
    """Side by side they are in each other's way in other ways."""
    assert level(scene(), setup(FRONT, who=None)) == 0


@pytest.mark.parametrize(
    ("height_m", "wanted"), [(3.0, 0), (1.4, 2)], ids=["all of it", "all but the top"]
)
def test_a_rig_behind_a_wall_is_not_seen(height_m: float, wanted: int) -> None:
    """Foot, middle and top must all be behind it: the rig's top is at 1.513 m."""
    corners = ((-1.0, 15.0), (1.0, 15.0), (1.0, 15.5), (-1.0, 15.5))
    wall = {"id": "wall", "outline_m": corners, "height_m": height_m}
    assert level(scene(obstacles=[wall]), clamp(25)) == wanted


def test_performers_hide_no_rig() -> None:
    """The singer, who stands before it, may step aside."""
    assert level(scene(), clamp(25)) == 2


def test_heads_hide_a_rig_in_the_pass_that_has_them() -> None:
    """Behind a standing audience it is seen in the closed run only."""
    outline = ((-5.0, 12.0), (5.0, 12.0), (5.0, 18.0), (-5.0, 18.0))
    behind = {"id": "behind", "outline_m": outline, "state": "standing"}
    setting = scene(audience=[behind], passes=(run(), show()))
    other = clamp(25)
    in_run = Setup(**{**other.__dict__, "each": run()})
    assert (level(setting, other), level(setting, in_run)) == (0, 2)


def test_the_sweep_of_a_parked_arm_is_at_most_middling() -> None:
    """It swings across the picture, 6 m before the lens, and rests beside it."""
    facts = {"at_m": (2, -4), "lens_height_m": LENS_M}
    free = position("arm", **facts)
    parked = position("parked", **facts, park_deg=90)
    in_sight = position("in-sight", **facts, park_deg=270)
    levels = [level(scene(), setup(place, legs=JIB)) for place in (free, parked, in_sight)]
    assert levels == [3, 2, 3]


# -- rule, marks, moments --------------------------------------------------------------------------


def test_a_rig_in_a_main_shot_is_refused() -> None:
    """Left of the singer and right behind: from the front one sees Ben, but not the other way."""
    ben = setup(position("back", at_m=(0.3, 5)), who="ben", size="WS")
    assert rules_of(picture_faults(scene(), show(), [setup(), ben])) == {"pictures"}
    assert rules_of(pass_faults(scene(), show(), [setup(), ben])) == {"pictures"}
    beside = setup(position("beside", at_m=(3, 5)), who="ben", size="WS")
    assert rules_of(pass_faults(scene(), show(), [setup(), beside])) == set()


def test_a_rig_in_another_pass_is_not_in_the_picture() -> None:
    """It has been struck by then."""
    ben = setup(position("back", at_m=(0.3, 5)), who="ben", size="WS", each=run())
    setting = scene(passes=(run(), show()))
    assert rules_of(picture_faults(setting, show(), [setup(), ben])) == set()


def test_a_rig_in_a_menu_shot_is_refused() -> None:
    """It is beside the medium shot, and in the wide one: 4 x 7.1 m at the singer."""
    beside = setup(position("beside", at_m=(2.5, 5)), who=None)
    assert rules_of(picture_faults(scene(), show(), [setup(), beside])) == set()
    wide = setup(menu=(("singer", "WS"),))
    assert rules_of(picture_faults(scene(), show(), [wide, beside])) == {"pictures"}


@pytest.mark.parametrize(("y", "lost"), [(20.0, 2), (50.0, 1), (590.0, 0)])
def test_a_rig_in_the_picture_costs_its_level(y: float, lost: int) -> None:
    """The other one films upstage and sees nobody; menu shots cost nothing."""
    harp = singer("harp", at_m=(0, y + 12))
    setting = scene(subjects=(singer(), harp))
    other = Setup(**{**clamp(y).__dict__, "subject": harp})
    one = setup(menu=(("singer", "WS"),))
    alone = [goal_values(setting, [each])["quality"] for each in (one, other)]
    together = goal_values(setting, [one, other])["quality"]
    assert sum(alone) - together == lost


def test_a_moment_is_held_without_a_rig_in_it() -> None:
    """The solo wants a medium shot; a camera behind the singer is in it or beside it."""
    solo = {"name": "Solo", "subject": "singer", "at_s": 60, "size": "MS", "priority": "must"}
    setting = scene(songs=(song("first", moments=(solo,)), song("second")))
    wide = setup(subject=Subject(id="stage", kind="stage"), size="WS")
    for x, is_met in ((0.1, False), (1.4, True)):
        # 12 m away the lens takes nothing tighter; 17 m away that is 2.3 m wide and 1.3 m high
        other = setup(position(f"back-{x:g}", at_m=(x, 7)), who=None, size="WS")
        (demand,) = demands_of(setting, [wide, other])
        assert (demand.kind, demand.is_met) == ("moment", is_met)


def test_a_locked_off_moment_is_that_of_the_main_shot() -> None:
    """The rule for main shots sees to it that nobody is in it."""
    solo = {"name": "Solo", "subject": "singer", "at_s": 60, "size": "MS", "priority": "must"}
    setting = scene(songs=(song("first", moments=(solo,)), song("second")))
    (demand,) = demands_of(setting, [setup(who=None)])
    assert demand.is_met


def test_a_pillar_between_makes_two_rigs_strangers() -> None:
    """Ben behind a pillar as wide as he is."""
    ben = setup(position("back", at_m=(0, 25)), who="ben", size="WS")
    assert level(scene(), ben) == REFUSED
    assert level(scene(obstacles=[pillar(0, 20)]), ben) == 0
    assert singer().at_m == (0, 2)
