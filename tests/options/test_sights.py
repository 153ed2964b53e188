"""Who and what hides a subject, worked out point by point.

A medium shot of the singer from the front has 24 points: three columns at x = -0.15, 0 and 0.15 m,
each with eight heights between the lower edge of the frame, 1.363 - 0.45 = 0.913 m, and the head at
1.75 m: 0.965, 1.070, 1.175, 1.279, 1.384, 1.488, 1.593 and 1.698 m. The lens is 12 m away, 1.363 m
up.
"""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.options.spots import find_options
from kitplan.shoot.rules import default_rules
from kitplan.shoot.venue import Subject
from tests.options.seeing import hidden, lookout_of, row_of, sights_of
from tests.small import AS_USUAL, STAGE_M, position, show, singer, small_brief

SEATS = ((-6, -8), (6, -8), (6, -2), (-6, -2))
"""From 2 to 8 m before the lens, 4 to 10 m before the singer."""


def front(lens_height_m: float) -> Any:
    """Return the front with a lens so high."""
    return (position("front", lens_height_m=lens_height_m),)


def house(state: str = "seated", **facts: Any) -> Any:
    """Return an audience on a flat floor between the front and the singer."""
    return ({"id": "house", "outline_m": SEATS, "state": state, **facts},)


def other(*at_m: float, item: str = "other", **facts: Any) -> Subject:
    """Return another performer."""
    return singer(item, at_m=at_m, **facts)


# -- heads -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lens_m", "state", "share"),
    [
        # the ray to a height z passes y = -2 at lens / 3 + 2 / 3 z; seated heads are at 1.3 m:
        (1.363, "seated", 3 / 8),  # z < 1.2685: 0.965, 1.070, 1.175
        (1.8, "seated", 1 / 8),  # z < 1.05: 0.965
        (2.1, "seated", 0),  # z < 0.9
        # standing ones at 1.8 m:
        (1.363, "standing", 1),
        (3.0, "standing", 3 / 8),  # z < 1.2
        (3.4, "standing", 1 / 8),  # z < 1.0
        (3.5, "standing", 0),  # z < 0.95
    ],
)
def test_heads_of_the_audience_hide_what_is_low(lens_m: float, state: str, share: float) -> None:
    """Out of eight heights those whose rays run into the heads."""
    assert hidden(positions=front(lens_m), audience=house(state)) == pytest.approx(share)


@pytest.mark.parametrize(
    ("facts", "area"),
    [({"has_audience": False, "doors": None}, {}), ({}, {"empty_in": ("show",)})],
    ids=["no-audience", "unsold"],
)
def test_nobody_hides_where_nobody_sits(facts: Any, area: Any) -> None:
    """A pass without an audience, or a block that is not sold."""
    assert hidden(audience=house(**area), passes=(show(**facts),)) == 0


def test_heads_do_not_hide_the_audience_itself() -> None:
    """The crowd is filmed over its own heads."""
    crowd = Subject(id="crowd", kind="audience")
    assert hidden("crowd", "WS", subjects=(crowd,), audience=house("standing")) == 0
    over = lookout_of(subjects=(crowd, singer()), audience=house("standing"))
    sights = over.sights(over.shoot.passes[0])
    assert sights.hidden[row_of(over, "singer", "MS")] == 1


def test_a_rake_lifts_the_heads_next_to_the_lens() -> None:
    """10 degrees: 0.176 m per metre, at y = -8 heads of 1.3 + 1.058 = 2.358 m.

    A lens at 2.1 m in the last row sees none of the singer, over a flat floor all of her.
    """
    assert hidden(positions=front(2.1), audience=house(rake_deg=10)) == 1
    assert hidden(positions=front(2.1), audience=house()) == 0


# -- marks, refusals, raised arms ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("lens_m", "state", "grade", "mark"),
    [
        (3.5, "standing", 3, 2),  # 0 hidden; arms at 2.2 m hide z < 1.55, 6 of 8
        (3.4, "standing", 1, 1),  # 1/8 hidden; arms would cost the last mark, so they do not
        (5.0, "standing", 3, 3),  # arms hide z < 0.8: nothing
        (1.363, "seated", 0, 0),  # 3/8 is above a quarter
        (2.1, "seated", 3, 3),  # nobody who sits raises arms
    ],
)
def test_raised_arms_cost_a_mark_and_refuse_nothing(
    lens_m: float, state: str, grade: int, mark: int
) -> None:
    """Grade by what is hidden at rest; one mark less where raised arms hide more than a quarter."""
    found = sights_of(positions=front(lens_m), audience=house(state))
    assert found.sight_grade(default_rules())[0] == grade
    assert found.sight_mark(default_rules())[0] == mark


@pytest.mark.parametrize(
    ("limits", "grade"),
    [
        ((0.125, 0.2, 0.25), 3),
        ((0.124, 0.125, 0.25), 2),
        ((0.1, 0.124, 0.125), 1),
        ((0.1, 0.12, 0.124), 0),
    ],
)
def test_limits_of_the_hidden_share_are_inclusive(
    limits: tuple[float, float, float], grade: int
) -> None:
    """One height of eight is 0.125, at the limit or a hair above it."""
    names = ("hidden_full", "hidden_fair", "hidden_most")
    rules = default_rules().model_copy(update=dict(zip(names, limits, strict=True)))
    found = sights_of(positions=front(1.8), audience=house())
    assert found.sight_grade(rules)[0] == grade


@pytest.mark.parametrize(
    ("lens_m", "words"),
    [(1.363, "singer MS with cam+HD: 38% of it is hidden; 25% is the most"), (1.8, None)],
    ids=["refused", "at-1/8"],
)
def test_too_much_hidden_refuses_the_shot(lens_m: float, words: str | None) -> None:
    """In both manners, with its figures."""
    brief = small_brief(positions=front(lens_m), audience=house(), rules=AS_USUAL)
    spot = find_options(brief).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    for manner in ("operated", "locked-off"):
        refusal = spot.shots.refusal(row, 0, manner)
        assert (str(refusal) if refusal else None) == words


# -- obstacles and the stage -----------------------------------------------------------------------


def thing(low: tuple[float, float], high: tuple[float, float], **facts: Any) -> Any:
    """Return an obstacle over a rectangle."""
    outline = (low, (high[0], low[1]), high, (low[0], high[1]))
    return ({"id": "thing", "outline_m": outline, "height_m": 3, **facts},)


@pytest.mark.parametrize(
    ("obstacles", "share"),
    [
        # half way the right column passes at x = 0.075 m
        (thing((0.05, -4), (3, -3.9)), 1 / 3),
        (thing((0.08, -4), (3, -3.9)), 0),
        # a banner from 1.5 m up: the ray to z passes at 1.363 + (z - 1.363) / 2, so 1.698 is hidden
        (thing((-3, -4), (3, -3.9), base_m=1.5), 1 / 8),
        # a desk of 1.2 m: 1.363 + (z - 1.363) / 2 < 1.2 hides z < 1.037
        (thing((-3, -4), (3, -3.9), height_m=1.2), 1 / 8),
        # behind the singer
        (thing((-3, 3), (3, 4)), 0),
    ],
    ids=["one-column", "beside", "banner", "desk", "behind"],
)
def test_an_obstacle_hides_what_is_behind_it(obstacles: Any, share: float) -> None:
    """A column is a third of the points, a height an eighth."""
    assert hidden(obstacles=obstacles) == pytest.approx(share)


@pytest.mark.parametrize(("lens_m", "share"), [(0.2, 1 / 8), (1.0, 0)])
def test_the_edge_of_a_high_stage_hides_the_feet(lens_m: float, share: float) -> None:
    """A stage of 1.2 m, a full shot: the lowest points are at 1.2 + 1.75 / 16 = 1.309 m.

    At the edge, 10 of 12 m away, its ray is at 0.2 + 1.109 * 10 / 12 = 1.124 m from a lens at
    0.2 m; the next one, to 1.528 m, at 1.307 m. From 1 m the lowest passes at 1.258 m.
    """
    stage = {"outline_m": STAGE_M, "height_m": 1.2}
    assert hidden("singer", "FS", positions=front(lens_m), stage=stage) == pytest.approx(share)


def test_only_points_in_the_picture_count() -> None:
    """A desk of 0.9 m before the singer hides her legs: in a full shot, not in a medium shot.

    Right before her (y = 1.9, 11.9 of 12 m) the rays are at nearly her own heights: of those of the
    full shot, 0.109, 0.328, 0.547, 0.766 and 0.984 m ..., four of eight are lower.
    """
    desk = thing((-3, 1.8), (3, 1.9), height_m=0.9)
    assert hidden("singer", "FS", obstacles=desk) == pytest.approx(4 / 8)
    assert hidden("singer", "MS", obstacles=desk) == 0


# -- other performers ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "share"),
    [
        (other(0, 0), 1),  # 2 m before her, 0.5 m wide, 1.75 m high
        # 0.3 m aside: the right column passes y = 0 at x = 0.125, 0.175 m from its middle
        (other(0.3, 0), 1 / 3),
        (other(0.3, 0, width_m=0.3), 0),  # narrower than the shoulders: 0.15 m to either side
        (other(0.3, 0, width_m=2), 1 / 3),  # an instrument does not hide, the shoulders do
        # seated, 1.3 m: 1.363 + (z - 1.363) * 10 / 12 <= 1.3 hides z <= 1.287, four heights
        (other(0, 0, posture="seated"), 1 / 2),
        (other(0, 0, posture="dancer", floor_height_m=-1.75), 0),  # raised arms hide nobody
        (other(0, 3), 0),  # behind her
        (other(0, -11), 0),  # behind the lens
    ],
    ids=["before", "aside", "slim", "wide", "seated", "arms", "behind", "behind-the-lens"],
)
def test_performers_hide_who_stands_behind_them(before: Subject, share: float) -> None:
    """As cards turned to the lens, as high as the head."""
    assert hidden(subjects=(singer(), before)) == pytest.approx(share)


@pytest.mark.parametrize(("roam_m", "share"), [(0.5, 1), (0.51, 0)], ids=["keeps-still", "roams"])
def test_who_roams_does_not_stand_in_the_way(roam_m: float, share: float) -> None:
    """Up to half a metre counts as standing."""
    assert hidden(subjects=(singer(), other(0, 0, roam_m=roam_m))) == share


def test_an_object_hides_as_wide_as_it_is() -> None:
    """A harp 2 m wide, 1 m aside: all three columns; 1.2 m aside none of them (0.125 + 1 < 1.2)."""
    harp = {"id": "harp", "kind": "object", "height_m": 1.9, "width_m": 2}
    assert hidden(subjects=(singer(), Subject(**harp, at_m=(0.87, 0)))) == 1
    assert hidden(subjects=(singer(), Subject(**harp, at_m=(1.2, 0)))) == 0


ROW = ((-2, -0.5), (2, -0.5), (2, 0.5), (-2, 0.5))


@pytest.mark.parametrize(
    ("group", "share"),
    [
        ({"outline_m": ROW}, 1),
        ({"outline_m": ROW, "posture": "seated"}, 1 / 2),  # 1.3 m at y = 0.5 hides z < 1.291
        ({"outline_m": ROW, "roam_m": 1}, 0),
        ({"outline_m": ((-2, -0.5), (2, -0.5), (2, 3), (-2, 3))}, 0),  # she stands among them
        ({"outline_m": ((-2, -11), (2, -11), (2, 0), (-2, 0))}, 0),  # the lens is among them
        ({"at_m": (0, 0), "width_m": 4}, 0),  # nobody knows where they stand
    ],
    ids=["row", "seated", "roams", "around-her", "around-the-lens", "no-outline"],
)
def test_a_group_hides_as_a_block(group: Any, share: float) -> None:
    """From its floor to its figure; not who stands in it, nor from a lens in it."""
    row = Subject(id="row", kind="group", **group)
    assert hidden(subjects=(singer(), row)) == pytest.approx(share)


DUO = Subject(id="duo", kind="group", at_m=(0, 2), width_m=2)


@pytest.mark.parametrize(
    ("subjects", "share"),
    [
        ((singer(), other(0, 0)), 1),
        ((singer(), other(0, 0, part_of="singer")), 0),
        ((singer(), other(0, 0, item="hand", part_of="harp"), other(1, 0, item="harp")), 1),
        ((singer(part_of="other"), other(0, 0)), 0),
        ((singer(part_of="duo"), other(0, 0, part_of="duo"), DUO), 1),
    ],
    ids=["stranger", "her-part", "another's-part", "her-whole", "her-twin"],
)
def test_family_does_not_hide(subjects: tuple[Subject, ...], share: float) -> None:
    """Who is part of the target, or has it as a part; another part of the same whole does."""
    assert hidden(subjects=subjects) == share


def test_family_reaches_any_depth() -> None:
    """The hand on the bow of the violin of the singer."""
    parts = (
        other(3, 5, item="violin", part_of="singer"),
        other(3, 6, item="bow", part_of="violin"),
        other(0, 0, item="hand", part_of="bow"),
    )
    assert hidden(subjects=(singer(), *parts)) == 0
    assert hidden("hand", "MS", subjects=(singer(at_m=(0, -1)), *parts)) == 0


def test_performers_do_not_hide_the_stage() -> None:
    """Somebody right before the lens: the stage is seen all the same, the singer is not."""
    subjects = (singer(), Subject(id="stage", kind="stage"), other(0, -9))
    assert hidden("stage", "WS", subjects=subjects) == 0
    assert hidden("singer", "MS", subjects=subjects) == 1


# -- the safety shot -------------------------------------------------------------------------------


def clear_from(lens_m: float, *subjects: Subject, **parts: Any) -> bool:
    """Return whether a lens at the front sees everybody from the waist up over the heads."""
    lookout = lookout_of(subjects=subjects, audience=house(**parts))
    return lookout.is_clear_over_heads(lookout.shoot.passes[0], (0, -10, lens_m))


@pytest.mark.parametrize(
    ("subjects", "lens_m"),
    [
        # to 0.6 * 1.75 = 1.05 m at 12 m over 1.3 m at 8 m: lens / 3 + 0.7 = 1.3
        ((singer(),), 1.8),
        # one who sits a metre behind: 0.6 * 1.3 = 0.78 m: lens * 5 / 13 + 0.78 * 8 / 13 = 1.3
        ((singer(), other(0, 3, posture="seated")), 2.132),
        # without anybody the stage counts, nearest at y = 1: lens * 3 / 11 + 1.05 * 8 / 11 = 1.3
        ((Subject(id="stage", kind="stage"),), 1.96667),
    ],
    ids=["standing", "also-seated", "stage"],
)
def test_the_safety_shot_sees_everybody_over_the_heads(
    subjects: tuple[Subject, ...], lens_m: float
) -> None:
    """A millimetre over the height that just will do, a millimetre under it."""
    assert clear_from(lens_m + 0.001, *subjects)
    assert not clear_from(lens_m - 0.001, *subjects)


def test_objects_and_empty_seats_do_not_spoil_the_safety_shot() -> None:
    """A music stand of half a metre counts no more than people who are not there."""
    low = Subject(id="stand", kind="object", at_m=(1, 2), height_m=0.5)
    assert clear_from(1.81, singer(), low)
    assert clear_from(1.5, singer(), empty_in=("show",))
    assert not clear_from(1.5, singer())
