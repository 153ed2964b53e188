"""The ground: what stands inside what, outlines of every kind, arms, and how shapes are compared.

Each row changes one piece of a right shoot so that one check complains, and again so that none
does. The stage is 8 x 6 m and 0.8 m high with a riser of 1.2 m at y 4 to 6; the desk is 1.1 m high
at (0, -13) to (2, -12); the stalls end 2 m before the stage.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from kitplan.shoot.brief import Brief
from kitplan.shoot.checks.every import shoot_problems
from kitplan.shoot.checks.outlines import is_within, overlap, shape
from kitplan.shoot.checks.remarks import remarks
from kitplan.shoot.records import Shoot
from kitplan.shoot.venue import Position, Stage, Zone
from kitplan.tables import table
from tests.shoot.small import SHOOT, Case, assert_refused, assert_taken, changed, found, read

WING = "- {id: wing, at_m: [-3.8, 3], floor_height_m: 0.8, lens_height_m: 1.4, is_on_stage: true"
SINGER = "{id: singer, at_m: [0, 2]"
PIANO = "kind: object, at_m: [-2, 2]"
BAND = "kind: group, outline_m: [[-3, 1], [3, 1], [3, 3], [-3, 3]]"
HOUSE = "kind: audience, floor_height_m: 0"
STALLS = "{id: stalls, outline_m: [[-5, -11], [5, -11], [5, -2], [-5, -2]]"
DESK = "[[0, -13], [2, -13], [2, -12], [0, -12]], height_m: 1.1"
SPOT = "{id: spot, at_m: [0, 8], height_m: 4"


# fmt: off
CASES = [
    Case("outline crosses", "[[-4, 0], [4, 0], [4, 6], [-4, 6]]",
         "[[-4, 0], [4, 0], [-4, 6], [4, 7]]", "[[-4, 0], [4, 0], [4, 7], [-4, 6]]", "stage:",
         "the outline of the stage crosses itself: its edges from [4, 0] and [4, 7] touch",
         "List the corners in the order"),
    Case("outline in line", "[[5, -6], [5.4, -6], [5.4, -5.6], [5, -5.6]]",
         "[[5, -6], [5.4, -6], [5.8, -6]]", "[[5, -6], [5.4, -6], [5.4, -5.6], [5, -6]]",
         "id: pillar", "the outline of obstacle 'pillar' encloses no area",
         "three corners that do not lie in line"),
    Case("outline spike", "[[-3, 1], [3, 1], [3, 3], [-3, 3]]",
         "[[-3, 1], [3, 1], [3, 5], [3, 3], [-3, 3]]", "[[-3, 1], [3, 1], [4, 5], [3, 3], [-3, 3]]",
         "id: band", "the outline of subject 'band' crosses itself", "List the corners"),
    Case("in an obstacle", "{id: back, at_m: [-1, -13]", "{id: back, at_m: [1, -12.5]",
         "{id: back, at_m: [1, -11.9]", "id: back",
         "position 'back' is inside obstacle 'desk', which reaches from 0 to 1.1 m",
         "set floor_height_m to 1.1"),
    Case("under the stage", WING, WING.replace("floor_height_m: 0.8", "floor_height_m: 0.7"),
         WING.replace("floor_height_m: 0.8", "floor_height_m: 0.9"), "id: wing",
         "floor_height_m 0.7 is below the stage's 0.8", "Set floor_height_m to 0.8"),
    Case("in the subject", WING, WING.replace("[-3.8, 3]", "[0.2, 2.2]"),
         WING.replace("[-3.8, 3]", "[0.2, 2.3]"), "id: wing",
         "the lens at position 'wing' is 0.28 m from subject 'singer'", "at least 0.3 m"),
    Case("singer in the desk", SINGER, "{id: singer, floor_height_m: 0, at_m: [1, -12.5]",
         "{id: singer, floor_height_m: 1.1, at_m: [1, -12.5]", "id: singer",
         "subject 'singer' is inside obstacle 'desk', which reaches from 0 to 1.1 m",
         "set floor_height_m to 1.1 if 'singer' is on top"),
    Case("piano in the desk", PIANO, "kind: object, floor_height_m: 0, at_m: [1, -12.5]",
         "kind: object, floor_height_m: 0, at_m: [1, -11.9]", "id: piano",
         "subject 'piano' is inside obstacle 'desk'", "if both are the same thing"),
    Case("band in the desk", BAND,
         "kind: group, floor_height_m: 0, outline_m: [[0, -13], [2, -13], [2, -12.2], [0, -12.2]]",
         "kind: group, floor_height_m: 0, outline_m: [[0, -13], [2.5, -13], [2.5, -12], [0, -12]]",
         "id: band", "subject 'band' is inside obstacle 'desk'", "Move one of them"),
    # the singer's head is at 0.8 + 1.75 = 2.55 m; the child's feet are at the edge
    Case("head in a canopy", DESK, "[[-1, 1], [1, 1], [1, 3], [-1, 3]], base_m: 2.5, height_m: 1",
         "[[-1, 1], [1, 1], [1, 3], [-1, 3]], base_m: 2.6, height_m: 1", "id: singer",
         "subject 'singer' is inside obstacle 'desk', which reaches from 2.5 to 3.5 m", "Move"),
    Case("singer under the stage", f"- {SINGER}, part_of: band}}",
         "- id: singer\n  at_m: [0, 2]\n  floor_height_m: 0.7",
         "- id: singer\n  at_m: [0, 2]\n  floor_height_m: 0.9", "floor_height_m: 0.7",
         "'singer' is on the stage, but its floor_height_m 0.7 is below the stage's 0.8",
         "Set floor_height_m to 0.8, or move at_m off the stage"),
    Case("band under the stage", BAND, BAND.replace("group,", "group, floor_height_m: 0,"),
         BAND.replace("group,", "group, floor_height_m: 0,").replace("1]", "-1]"), "id: band",
         "'band' is on the stage, but its floor_height_m 0 is below the stage's 0.8",
         "or move outline_m off the stage"),
    Case("house under the stage", f"- {{id: house, {HOUSE}}}",
         "- id: house\n  kind: audience\n  outline_m: [[-3, 1], [3, 1], [3, 3]]",
         "- id: house\n  kind: audience\n  outline_m: [[-3, -3], [3, -3], [3, -1]]",
         "outline_m: [[-3, 1], [3, 1], [3, 3]]",
         "'house' is on the stage, but its floor_height_m 0 is below the stage's 0.8",
         "Set floor_height_m to 0.8"),
    # 8 m of stage are 0.5 m deep in the stalls
    Case("stalls in the stage", STALLS, STALLS.replace("-2]", "0.5]"), STALLS.replace("-2]", "0]"),
         "id: stalls", "'stalls' shares 4.00 m2 with the stage, but its floor there, 0.00 m, is "
         "below the stage's 0.8", "Let outline_m end at the stage's edge, or set height_m to 0.8"),
    Case("stalls too low on the stage", STALLS, STALLS.replace("-2]", "0.5]") + ", height_m: 0.79",
         STALLS.replace("-2]", "0.5]") + ", height_m: 0.8", "id: stalls", "0.79 m, is below", ""),
    # at the stage's back edge, 4 m behind the front row: 4 tan(10 deg) = 0.71, 4 tan(12 deg) = 0.85
    Case("rake in the stage", "[[6, -11], [8, -11], [8, -2], [6, -2]]",
         "[[0, 3], [2, 3], [2, 10], [0, 10]], rake_deg: 10",
         "[[0, 3], [2, 3], [2, 10], [0, 10]], rake_deg: 12", "id: boxes",
         "'boxes' shares 6.00 m2 with the stage, but its floor there, 0.71 m, is below", "edge"),
    # the lens of `back` is at (-1, -13) and 0.6 + 1.6 = 2.2 m high
    Case("lamp in the lens", SPOT, "{id: spot, at_m: [-1, -13], height_m: 2.25",
         "{id: spot, at_m: [-1, -13], height_m: 2.3", "id: spot",
         "lamp 'spot' is 0.05 m from the lens at position 'back'", "at least 0.1 m must lie"),
    Case("parked outside", WING, f"{WING}, arc_deg: [350, 20], park_deg: 30",
         f"{WING}, arc_deg: [350, 20], park_deg: 0", "id: wing",
         "'wing' has park_deg 30, outside its arc_deg, which goes clockwise from 350 to 20",
         "or write arc_deg: [20, 350] if the arm swings on the other side"),
]
# fmt: on


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_check_names_the_fault_and_the_remedy(case: Case, tmp_path: Path) -> None:
    """What is wrong is said, with what would be right, at the line that holds it."""
    assert_refused(tmp_path, case)


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_check_takes_the_valid_neighbour(case: Case, tmp_path: Path) -> None:
    """A like change that is right passes."""
    assert_taken(tmp_path, case)


def test_a_pit_in_the_stage_is_no_place_under_it(tmp_path: Path) -> None:
    """A zone inside the outline of the stage may be lower than the stage."""
    pit = "- {id: riser, outline_m: [[-4, 0], [4, 0], [4, 5], [-4, 5]], height_m: 0.2}"
    riser = "- {id: riser, outline_m: [[-2, 4], [2, 4], [2, 6], [-2, 6]], height_m: 1.2}"
    low = changed(SHOOT, WING, WING.replace("floor_height_m: 0.8", "floor_height_m: 0.2"))
    assert not found(tmp_path, changed(low, riser, pit))


def test_a_camera_on_top_of_an_obstacle_or_under_it_is_not_inside(tmp_path: Path) -> None:
    """The desk is 1.1 m high: a camera may stand on it, or under it where it hangs at 3 m."""
    inside = changed(SHOOT, "{id: back, at_m: [-1, -13]", "{id: back, at_m: [1, -12.5]")
    assert found(tmp_path, inside)
    assert not found(tmp_path, changed(inside, "floor_height_m: 0.6, l", "floor_height_m: 1.1, l"))
    assert not found(tmp_path, changed(inside, "height_m: 1.1}", "height_m: 1.1, base_m: 3}"))


def test_what_stands_on_an_obstacle_is_right_as_the_remedy_says(tmp_path: Path) -> None:
    """The desk from 0.6 m, 1.1 m high, ends at 1.7 m, though 0.6 + 1.1 is a hair above that."""
    text = changed(SHOOT, DESK, f"{DESK}, base_m: 0.6")
    for place in ("{id: back, at_m: [-1, -13], floor_height_m: 0.6", SINGER):
        prefix = place.partition(" at_m")[0]
        on_top = f"{prefix} at_m: [1, -12.5], floor_height_m: "
        assert not found(tmp_path, changed(text, place, f"{on_top}1.7"))
        assert found(tmp_path, changed(text, place, f"{on_top}1.6"))


def test_an_outline_may_repeat_its_first_corner(tmp_path: Path) -> None:
    """Closed outlines, as drawing programs write them, are taken."""
    closed = "[[-4, 0], [4, 0], [4, 6], [-4, 6], [-4, 0]]"
    assert not found(tmp_path, changed(SHOOT, "[[-4, 0], [4, 0], [4, 6], [-4, 6]]", closed))


OUTLINES = {
    "the stage": "[[-4, 0], [4, 0], [4, 6], [-4, 6]]",
    "zone 'tower'": "[[-2, -14], [2, -14], [2, -12], [-2, -12]]",
    "audience area 'boxes'": "[[6, -11], [8, -11], [8, -2], [6, -2]]",
    "obstacle 'pillar'": "[[5, -6], [5.4, -6], [5.4, -5.6], [5, -5.6]]",
    "subject 'band'": "[[-3, 1], [3, 1], [3, 3], [-3, 3]]",
}


@pytest.mark.parametrize(
    ("bad", "wrong"),
    [
        ("[[20, 0], [20, 0], [20, 0]]", "encloses no area"),
        ("[[20, 0], [24, 0], [22, 0]]", "encloses no area"),
        ("[[20, 0], [20.009, 0], [20.009, 0.009]]", "encloses no area"),
        ("[[20, 0], [24, 0], [20, 2], [24, 2.5]]", "crosses itself"),
        ("[[20, 0], [24, 0], [24, 2], [22, 0], [20, 2]]", "crosses itself"),
    ],
    ids=["point", "line", "speck", "bow", "touching-corner"],
)
@pytest.mark.parametrize("name", OUTLINES)
def test_outlines_of_every_kind(name: str, bad: str, wrong: str, tmp_path: Path) -> None:
    """Stage, zones, audience, obstacles and subjects have an area and do not cross themselves."""
    problems = found(tmp_path, changed(SHOOT, OUTLINES[name], bad))
    (one,) = [one for one in problems if f"the outline of {name} {wrong}" in one.problem.wrong]
    assert bad in one.line


def test_audience_round_the_stage(tmp_path: Path) -> None:
    """On three sides of the stage it may touch the edges: its hull would hold half the stage."""
    thrust = "[[-9, -11], [9, -11], [9, 6], [4, 6], [4, 0], [-4, 0], [-4, 6], [-9, 6]]"
    stalls = STALLS.replace("[[-5, -11], [5, -11], [5, -2], [-5, -2]]", thrust)
    assert not found(tmp_path, changed(SHOOT, STALLS, stalls))


def test_audience_in_a_pit_of_the_stage(tmp_path: Path) -> None:
    """A zone at house level inside the stage's outline takes people; beyond it they are inside."""
    pit = "[[-4, 0], [4, 0], [4, 1], [-4, 1]], height_m: 0}"
    dug = changed(SHOOT, "[[-2, 4], [2, 4], [2, 6], [-2, 6]], height_m: 1.2}", pit)
    assert not found(tmp_path, changed(dug, STALLS, STALLS.replace("-2]", "1]")))
    (one,) = found(tmp_path, changed(dug, STALLS, STALLS.replace("-2]", "1.5]")))
    assert "shares 4.00 m2 with the stage" in one.problem.wrong


def test_subjects_in_a_pit_of_the_stage(tmp_path: Path) -> None:
    """Musicians in a pit stand lower than the stage, but not lower than the pit."""
    pit = "[[-4, 0], [4, 0], [4, 3.5], [-4, 3.5]], height_m: 0.2}"
    dug = changed(SHOOT, "[[-2, 4], [2, 4], [2, 6], [-2, 6]], height_m: 1.2}", pit)
    for piece, name in ((SINGER, "singer"), (BAND, "band")):
        assert not found(tmp_path, changed(dug, piece, f"{piece}, floor_height_m: 0.2"))
        (one,) = found(tmp_path, changed(dug, piece, f"{piece}, floor_height_m: 0.1"))
        assert f"'{name}' is on the stage, but its floor_height_m 0.1" in one.problem.wrong
        assert "is below the stage's 0.2" in one.problem.wrong


def test_raised_arms_may_reach_into_a_canopy(tmp_path: Path) -> None:
    """A dancer's figure is 3 m high in the shot, the body 1.75 m: 0.8 + 1.75 m is below 2.6 m."""
    canopy = "[[-1, 1], [1, 1], [1, 3], [-1, 3]], base_m: 2.6, height_m: 1"
    text = changed(SHOOT, DESK, canopy)
    assert not found(tmp_path, changed(text, SINGER, f"{SINGER}, posture: dancer"))
    tall = changed(text, f"{PIANO}, width_m: 1.5, height_m: 1.2", "AT, width_m: 1.5, height_m: 3")
    thing = "kind: object, posture: seated, at_m: [0.5, 1.5]"
    (one,) = found(tmp_path, changed(tall, "AT", thing))
    assert "subject 'piano' is inside obstacle 'desk'" in one.problem.wrong


def test_a_camera_may_stand_among_the_players_of_a_group(tmp_path: Path) -> None:
    """The outline of the band holds the wing camera: no error."""
    assert not found(tmp_path, changed(SHOOT, WING, WING.replace("[-3.8, 3]", "[-2.5, 1.2]")))


@pytest.mark.parametrize(
    ("arc_deg", "park_deg", "is_right"),
    [
        ([350, 20], 350, True),
        ([350, 20], 20, True),
        ([350, 20], 20.5, False),
        ([350, 20], 180, False),
        ([-10, 20], 355, True),
        ([-10, 20], -11, False),
        ([90, 270], 180, True),
        ([90, 270], 0, False),
        ([270, 90], 0, True),
        ([0, 360], 200, True),
        ([-180, 180], 0, True),
        ([45, 45], 45, True),
        ([45, 45], 46, False),
    ],
)
def test_arcs_go_clockwise(
    arc_deg: list[float], park_deg: float, is_right: bool, tmp_path: Path
) -> None:
    """From the first bearing to the second, through 0 where they say so."""
    parked = f"{{id: back, arc_deg: {arc_deg}, park_deg: {park_deg},"
    problems = found(tmp_path, changed(SHOOT, "{id: back,", parked))
    assert [f"park_deg {park_deg:g}, outside" in one.problem.wrong for one in problems] == [
        True for _ in range(not is_right)
    ]


def test_bearings_alone(tmp_path: Path) -> None:
    """An arc without a parking place, and one without an arc, are right."""
    for facts in ("arc_deg: [350, 20]", "park_deg: 200"):
        assert not found(tmp_path, changed(SHOOT, "{id: back,", f"{{id: back, {facts},"))


def test_default_floors_are_in_the_table() -> None:
    """What stands in the records stands in shared/steadiness.yaml."""
    known = table("steadiness")["floor_deg"]
    for record in (Stage, Zone, Position):
        assert record.model_fields["floor"].default in known


# -- shapes ----------------------------------------------------------------------------------------

SQUARE = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))


@pytest.mark.parametrize(
    ("other_m", "meets", "holds"),
    [
        (SQUARE, True, True),
        (((2.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 2.0)), False, False),
        (((1.9999, 0.0), (4.0, 0.0), (4.0, 2.0), (1.9999, 2.0)), True, False),
        (((-1.0, -1.0), (3.0, -1.0), (3.0, 3.0), (-1.0, 3.0)), True, True),
        (((0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)), False, False),
    ],
    ids=["itself", "neighbour", "slightly-over", "larger", "crossing-itself"],
)
def test_what_outlines_share(
    other_m: tuple[tuple[float, float], ...], meets: bool, holds: bool
) -> None:
    """A square of 2 m beside, over and in another outline; one that crosses itself is nothing."""
    assert overlap(SQUARE, other_m) == overlap(other_m, SQUARE) == meets
    assert is_within(SQUARE, other_m) == holds


def test_a_speck_is_in_nothing() -> None:
    """An outline without area is refused for itself, and lies nowhere."""
    assert not is_within(((1.0, 1.0), (1.001, 1.0), (1.001, 1.001)), SQUARE)


# -- nothing breaks --------------------------------------------------------------------------------

coordinates = st.integers(-5, 5).map(float) | st.floats(-1000, 1000) | st.floats(-1e-8, 1e-8)
outlines = st.lists(st.tuples(coordinates, coordinates), min_size=3, max_size=7).map(tuple)
BOW = ((0.0, 0.0), (4.0, 0.0), (0.0, 2.0), (4.0, 2.0))
POINT = ((1.0, 1.0),) * 3


def _with_outlines(brief: Brief, drawn: Any) -> Brief:
    """Return the small shoot with other outlines for stage, zone, audience, obstacle and band."""
    venue = brief.shoot.venue
    fields = {name: getattr(brief.shoot, name) for name in Shoot.model_fields}
    changes: dict[str, Any] = {"stage": venue.stage.model_copy(update={"outline_m": drawn[0]})}
    for number, key in enumerate(("zones", "audience", "obstacles"), 1):
        first, *rest = getattr(venue, key)
        changes[key] = (first.model_copy(update={"outline_m": drawn[number]}), *rest)
    subjects = [
        subject.model_copy(update={"outline_m": drawn[4]}) if subject.id == "band" else subject
        for subject in brief.shoot.subjects
    ]
    new = {"venue": venue.model_copy(update=changes), "subjects": tuple(subjects)}
    return Brief(Shoot.model_validate({**fields, **new}), brief.kit)


@pytest.fixture(scope="module", name="small")
def _small(tmp_path_factory: pytest.TempPathFactory) -> Brief:
    """The small shoot, read once."""
    return read(tmp_path_factory.mktemp("small"))


@settings(max_examples=150, deadline=None)
@given(drawn=st.tuples(*[outlines] * 5))
@example(drawn=(BOW, POINT, BOW, POINT, BOW))
@example(drawn=(POINT, BOW, POINT, BOW, POINT))
def test_any_outlines_are_explained_or_fit(drawn: Any, small: Brief) -> None:
    """No outline makes anything but sentences; one that nothing is wrong with can be compared."""
    brief = _with_outlines(small, drawn)
    problems = shoot_problems(brief.shoot, lambda _: 1, "shoot.yaml")
    assert all(one.wrong and one.right for one in problems)
    assert all(remarks(brief))
    if not any("outline of" in one.wrong for one in problems):
        assert not any(shape(outline_m).is_empty for outline_m in drawn)
