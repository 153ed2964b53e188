"""Pairs of angles by hand: how far apart, alike or distinct, cuttable or a jump cut, reverses."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitplan.paper.apart import cut_words, viewpoint_words
from kitplan.shoot.records import Shoot
from kitplan.shoot.venue import Position, Subject
from kitplan.whatif.pairs import Pair, cuttable, pairs
from tests.small import SHOOT_ID, position, run, show, singer, small_shoot
from tests.whatif.small import SAFETY, angles_of, hand_plan, pair_of, placed, safety

STAGE = Subject(id="stage", kind="stage")
BAND = Subject(id="band", kind="group", outline_m=((-3, 1), (3, 1), (3, 5), (-3, 5)))
WIDE_STAGE = {"outline_m": ((-5, 0), (5, 0), (5, 6), (-5, 6))}


def around(letter: str, turned_deg: float, far_m: float = 12.0) -> Position:
    """Return a position so many degrees round the singer from straight in front, level with it."""
    angle = radians(turned_deg)
    at = (far_m * sin(angle), 2 - far_m * cos(angle))
    return position(letter, at_m=at, lens_height_m=1.363)


def turned(*turned_deg: float, **parts: Any) -> Shoot:
    """Return a shoot with positions p0, p1 ... round the singer."""
    places = tuple(around(f"p{n}", each) for n, each in enumerate(turned_deg))
    return small_shoot(positions=places, **parts)


# -- seen from the subject, not from the middle of the stage ---------------------------------------


def test_40_degrees_at_the_middle_of_the_stage_are_12_for_the_singer() -> None:
    """A count on the floor plan passes them; for the singer the cut jumps.

    The stage is 10 x 6 m, its middle C at (0, 3). The singer S stands at (-4, 1). Cameras far house
    right P = (6, -9) and in the pit Q = (-1.42, -2.97), at the height of the aim point.
    From C: P lies 6 right, 12 down, atan(6/12) = 26.57; Q 1.42 left, 5.97 down, -13.38: 39.95.
    From S: P lies 10 right, 10 down, 45; Q 2.58 right, 3.97 down, atan(2.58/3.97) = 33.02: 11.98.
    """
    shoot = small_shoot(
        stage=WIDE_STAGE,
        subjects=(singer(at_m=(-4, 1)), STAGE),
        positions=(
            position("far", at_m=(6, -9), lens_height_m=1.363),
            position("pit", at_m=(-1.42, -2.97), lens_height_m=1.363),
        ),
    )
    pair = pair_of(shoot, placed("A", "far"), placed("B", "pit"))
    assert pair.at_stage_deg == pytest.approx(40, abs=0.1)
    assert pair.cut is not None
    assert pair.cut.seen.home_deg == pytest.approx(12, abs=0.1)
    assert pair.apart_deg == pytest.approx(12, abs=0.1)  # both aim at him
    assert pair.is_alike
    assert pair.jumps
    assert cut_words(pair.cut) == "jump cut: 19 degrees short, or a factor 2.0 short"


def test_the_least_angle_counts_where_the_subject_roams() -> None:
    """34 degrees at home are not 30 everywhere.

    Cameras 12 m away at 0 and 34 degrees; the singer goes 2 m either way. The further from both the
    smaller: about 34 * 12 / 14 = 29 degrees, under 30; nearer about 34 * 12 / 10 = 41.
    """
    still = pair_of(turned(0, 34), placed("A", "p0"), placed("B", "p1"))
    roaming = pair_of(
        turned(0, 34, subjects=(singer(roam_m=2), STAGE)), placed("A", "p0"), placed("B", "p1")
    )
    assert still.cut is not None
    assert roaming.cut is not None
    assert still.cut.is_cuttable
    assert still.cut.seen.least_deg == still.cut.seen.home_deg == still.cut.seen.most_deg
    assert still.cut.seen.home_deg == pytest.approx(34, abs=0.01)
    assert roaming.cut.seen.least_deg == pytest.approx(29, abs=0.4)
    assert roaming.cut.seen.most_deg == pytest.approx(41, abs=1)
    assert roaming.jumps
    assert not roaming.is_alike  # where they look is still 34 degrees apart


def test_side_by_side_on_two_singers_is_one_viewpoint_but_cuts() -> None:
    """Different subjects do not jump; as viewpoints they are one."""
    two = (singer("one", at_m=(-1, 2)), singer("two", at_m=(1, 2)), STAGE)
    places = (position("front"), position("beside", at_m=(0.5, -10)))
    pair = pair_of(
        small_shoot(subjects=two, positions=places),
        placed("A", "front", "one"),
        placed("B", "beside", "two"),
    )
    assert pair.is_alike
    assert pair.cut is None
    assert not pair.jumps


# -- nested subjects -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("outer", "size", "is_nested"),
    [("band", "WS", True), ("stage", "WS", True), ("other", "WS", False)],
)
def test_a_group_holds_its_parts_and_the_stage_whoever_stands_on_it(
    outer: str, size: str, is_nested: bool
) -> None:
    """Whichever of the two comes first; seen from the inner one."""
    subjects = (singer(part_of="duo"), duo(), BAND, other(), STAGE)
    shoot = small_shoot(subjects=subjects)
    for one, two in (("A", "B"), ("B", "A")):
        pair = pair_of(shoot, placed(one, "left", outer, size), placed(two, "right"))
        assert (pair.cut is not None) is is_nested
        if pair.cut is not None:
            assert pair.cut.subject.id == "singer"
            # left (-8, -6) and right (8, -6) see (0, 2) at 45 degrees from either side
            assert pair.cut.seen.home_deg == pytest.approx(90, abs=0.5)


def duo() -> Subject:
    """Return a pair of singers within the band."""
    outline = ((-1.5, 1.5), (1.5, 1.5), (1.5, 3), (-1.5, 3))
    return Subject(id="duo", kind="group", outline_m=outline, part_of="band")


def other() -> Subject:
    """Return a group that holds nobody."""
    return Subject(id="other", kind="group", outline_m=((-3, 3), (-1, 3), (-1, 5), (-3, 5)))


def test_the_stage_does_not_hold_who_stands_beside_it() -> None:
    """A soloist in the aisle."""
    shoot = small_shoot(subjects=(singer(at_m=(-6, -3)), STAGE))
    pair = pair_of(shoot, placed("A", "front", "stage", "WS"), placed("B", "right"))
    assert pair.cut is None


def test_parts_in_a_circle_are_no_trap() -> None:
    """A file changed by hand may say so."""
    shoot = small_shoot(subjects=(singer(part_of="b"), singer("b", part_of="singer"), STAGE))
    pair = pair_of(shoot, placed("A", "left"), placed("B", "right", "b"))
    assert pair.cut is not None


# -- sizes -----------------------------------------------------------------------------------------


def test_sizes_cut_along_one_axis() -> None:
    """From one place a medium shot (0.9 m) and a full one (2.1 m): 2.1 / 0.9 = 2.33, two steps.

    The full shot aims lower, which the cosine of its tilt shortens a little.
    """
    shoot = small_shoot(positions=(position("front", rigs=2),))
    pair = pair_of(shoot, placed("A"), placed("B", size="FS"))
    assert pair.factor == pytest.approx(2.1 / 0.9, abs=0.01)
    assert pair.steps == 2
    assert not pair.is_alike
    assert pair.cut is not None
    assert pair.cut.is_cuttable
    assert not pair.cut.is_clear
    assert viewpoint_words(pair) == "distinct by a factor 1.1"
    assert cut_words(pair.cut) == "cuts by a factor 1.1, not clearly: 30 degrees short"


@pytest.mark.parametrize(
    ("apart_deg", "size", "words"),
    [
        (12, "MS", "jump cut: 18 degrees short, or a factor 2.0 short"),
        (29.5, "MCU", "jump cut: 1 degree short, or a factor 1.6 short"),
        (30.5, "MS", "cuts by less than 1 degree, not clearly: 15 degrees short"),
        (32.5, "CU", "clearly, by 2 degrees and the size"),
        (50.5, "MS", "clearly, by 5 degrees"),
        (10.5, "CU", "jump cut: 20 degrees short, or a factor 1.2 short"),
    ],
    ids=["near", "nearly", "just", "with-size", "far", "tighter"],
)
def test_cuts_in_words(apart_deg: float, size: str, words: str) -> None:
    """Medium shot 0.9 m against 0.7 m (factor 1.29), 0.5 m (1.8) or the same."""
    pair = pair_of(turned(0, apart_deg), placed("A", "p0"), placed("B", "p1", size=size))
    assert pair.cut is not None
    assert cut_words(pair.cut) == words


@pytest.mark.parametrize(
    ("apart_deg", "size", "words"),
    [
        (12, "MS", "alike: 18 degrees short, or a factor 2.0 short"),
        (12, "MLS", "alike: 18 degrees short, or a factor 1.3 short"),
        (42.5, "MS", "distinct by 12 degrees"),
        (42.5, "WS", "distinct by a factor 2.2"),
    ],
)
def test_viewpoints_in_words(apart_deg: float, size: str, words: str) -> None:
    """The larger margin is said; 1.4 / 0.9 = 1.556, and 2 / 1.556 = 1.286 is short of 2.

    A wide shot of 4 m against 0.9 m is a factor 4.44, 2.2 times what is asked; 42.5 degrees are
    1.4 times the 30.
    """
    pair = pair_of(turned(0, apart_deg), placed("A", "p0"), placed("B", "p1", size=size))
    assert viewpoint_words(pair) == words


def test_thresholds_of_the_shoot_count() -> None:
    """At 25 degrees 26 will do; an angle of 0 makes everything distinct, itself included."""
    for angle_deg, is_alike in ((25, False), (27, True), (0, False)):
        rules = {"rules": {"angle_deg": angle_deg}}
        pair = pair_of(turned(0, 26, **rules), placed("A", "p0"), placed("B", "p1"))
        assert pair.is_alike is is_alike
        assert pair.jumps is is_alike
        assert viewpoint_words(pair)


# -- upstage reverses ------------------------------------------------------------------------------


def reverses(shoot: Shoot, *placements: Any) -> list[str]:
    """Return the letters of the placements that are upstage reverses."""
    return [a.placement.letter for a in angles_of(shoot, *placements) if a.is_reverse]


@pytest.mark.parametrize(
    ("turned_deg", "is_reverse"),
    [(89, False), (90, False), (91, True), (180, True), (269, True), (271, False)],
)
def test_beyond_90_degrees_is_the_other_side(turned_deg: float, is_reverse: bool) -> None:
    """The safety shot looks straight upstage; at 90 degrees a camera is level with the singer."""
    shoot = turned(0, turned_deg, roles=(SAFETY,))
    found = reverses(shoot, safety("A", "p0"), placed("B", "p1"))
    assert found == (["B"] if is_reverse else [])


@pytest.mark.parametrize(("form", "number"), [("end", 1), ("thrust", 1), ("round", 0)])
def test_in_the_round_there_is_no_other_side(form: str, number: int) -> None:
    """The audience sits everywhere."""
    shoot = turned(0, 150, roles=(SAFETY,), stage={**WIDE_STAGE, "form": form})
    assert len(reverses(shoot, safety("A", "p0"), placed("B", "p1"))) == number


def test_a_pass_without_a_safety_shot_takes_that_of_the_master() -> None:
    """And where neither has one nothing can be said; a pass with its own takes its own."""
    shoot = turned(0, 180, roles=(SAFETY,), passes=(run(), show()))
    close = placed("B", "p1", in_pass="run")
    assert reverses(shoot, safety("A", "p0"), close) == ["B"]
    assert reverses(shoot, close) == []
    assert reverses(shoot, safety("A", "p0"), safety("C", "p1", in_pass="run"), close) == []


def test_an_audience_shot_is_no_reverse() -> None:
    """Everybody sees where it looks."""
    crowd = Subject(id="crowd", kind="audience", at_m=(0, -8))
    shoot = turned(0, 180, roles=(SAFETY,), subjects=(singer(), STAGE, crowd))
    assert reverses(shoot, safety("A", "p0"), placed("B", "p1", "crowd", "WS")) == []


def test_a_camera_straight_above_is_on_neither_side() -> None:
    """It has no left and right of its own."""
    above = position("above", at_m=(0, 2), floor_height_m=6, lens_height_m=0)
    shoot = small_shoot(positions=(position("front"), above), roles=(SAFETY,))
    assert reverses(shoot, safety(), placed("B", "above")) == []


def test_a_pair_is_across_if_one_of_it_is_a_reverse() -> None:
    """Two reverses share a side."""
    shoot = turned(0, 150, 210, roles=(SAFETY,))
    found = angles_of(shoot, safety("A", "p0"), placed("B", "p1"), placed("C", "p2"))
    across = {
        "".join(a.placement.letter for a in pair.angles): pair.is_across
        for pair in pairs(shoot, found)
    }
    assert across == {"AB": True, "AC": True, "BC": False}


# -- all pairs -------------------------------------------------------------------------------------


def test_every_pair_over_all_passes_the_closest_first() -> None:
    """Three placements make three pairs; the same view in two passes is the closest."""
    shoot = turned(0, 40, passes=(run(), show()))
    found = angles_of(shoot, placed("A", "p0", in_pass="run"), placed("A", "p0"), placed("B", "p1"))
    made = pairs(shoot, found)
    assert len(made) == 3
    assert made[0].is_alike
    assert made[0].jumps
    assert made[0].apart_deg == 0
    assert [pair.closeness for pair in made] == sorted(pair.closeness for pair in made)


def test_the_table_of_cuts_agrees_with_the_pairs() -> None:
    """None follows itself."""
    shoot = turned(0, 20, 60, 75)
    found = angles_of(shoot, *(placed(letter, f"p{n}") for n, letter in enumerate("ABCD")))
    table = cuttable(shoot, found)
    # 0 and 20 degrees jump, and 60 and 75
    assert np.argwhere(~table).tolist() == [
        [0, 0], [0, 1], [1, 0], [1, 1], [2, 2], [2, 3], [3, 2], [3, 3],
    ]  # fmt: skip
    for pair in pairs(shoot, found):
        a, b = (found.index(angle) for angle in pair.angles)
        assert table[a, b] != pair.jumps


@pytest.mark.parametrize("number", [0, 1])
def test_fewer_than_two_make_no_pair(number: int) -> None:
    """An empty plan is no fault."""
    found = angles_of(small_shoot(), *[placed("A")][:number])
    assert pairs(small_shoot(), found) == ()
    assert cuttable(small_shoot(), found).shape == (number, number)


def test_a_shot_that_cannot_be_framed_has_no_angle() -> None:
    """As in a file changed by hand: the stage has no close-up."""
    assert angles_of(small_shoot(), placed("A", subject="stage", size="CU")) == ()


places = st.tuples(st.floats(-9, 9), st.floats(-15, -1), st.floats(0.5, 5))


def at(one: tuple[float, float, float], mirror: int = 1) -> dict[str, Any]:
    """Return where a position is, mirrored or not."""
    x, y, z = one
    return {"at_m": (mirror * x, y), "lens_height_m": z}


@settings(deadline=None, max_examples=25)
@given(places, places, st.floats(0, 2), st.sampled_from(["MS", "FS"]))
def test_a_mirrored_venue_has_the_same_angles(
    first: tuple[float, float, float], second: tuple[float, float, float], roam_m: float, size: str
) -> None:
    """House left and right may be swapped; and the interval holds the angle at home."""
    found: list[Pair] = []
    for mirror in (1, -1):
        spots = (position("p0", **at(first, mirror)), position("p1", **at(second, mirror)))
        own = (singer(at_m=(mirror * 1.5, 2), roam_m=roam_m), STAGE)
        shoot = small_shoot(positions=spots, subjects=own)
        found.append(pair_of(shoot, placed("A", "p0"), placed("B", "p1", size=size)))
    one, other_way = found
    assert one.apart_deg == pytest.approx(other_way.apart_deg, abs=1e-6)
    assert one.at_stage_deg == pytest.approx(other_way.at_stage_deg, abs=1e-6)
    assert one.cut is not None
    assert other_way.cut is not None
    assert one.cut.seen == pytest.approx(other_way.cut.seen, abs=1e-2)
    assert one.cut.seen.least_deg <= one.cut.seen.home_deg <= one.cut.seen.most_deg


def test_a_plan_of_several_passes_names_its_angles_by_pass_and_letter() -> None:
    """In running order, whatever the order in the file."""
    shoot = small_shoot(passes=(run(), show()))
    plan = hand_plan(shoot, [placed("B"), placed("A"), placed("C", in_pass="run")])
    assert SHOOT_ID in plan.shoots
    assert [a.placement.letter for a in angles_of(shoot, *plan.placements)] == ["C", "A", "B"]
