"""What else is in a view: empty seats, wings, lamps, people without consent. Worked out by hand.

The medium shot of the singer from the front is level at 1.363 m and 0.9 m high 12 m away: 0.075 m
of height and 0.1333 m of width for each metre of depth.
"""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.options.refusals import Refusal
from kitplan.options.spots import find_options
from kitplan.shoot.rules import default_rules
from kitplan.shoot.venue import Subject
from tests.options.seeing import sights_of
from tests.small import (
    AS_USUAL,
    LENS_M,
    STAGE_M,
    body,
    optic,
    position,
    show,
    singer,
    small_brief,
    small_kit,
)

BEHIND = ((-9, 8), (9, 8), (9, 20), (-9, 20))
"""Seats from 18 to 30 m before the lens, wider than any frame there."""
CLOSED = (show(has_audience=False, doors=None),)


def seats(**facts: Any) -> Any:
    """Return an area behind the singer."""
    return ({"id": "behind", "outline_m": BEHIND, **facts},)


# -- empty seats -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("area", "share"),
    [
        # their tops, 0.463 m under the axis, lie at v = 1/2 + 0.463 / (0.075 d): 0.843 and 0.706
        ({}, 0.463 / 0.075 * (1 / 18 - 1 / 30)),
        # a bare floor 1.363 m under it: 1/2 + 18.17 / d is below the frame even at 30 m
        ({"state": "standing"}, 0),
        # 0.2 m higher: 0.263 m under the axis
        ({"height_m": 0.2}, 0.263 / 0.075 * (1 / 18 - 1 / 30)),
        # the frame is 2.4 m wide at 18 m and 4 m at 30 m
        ({"outline_m": ((9, 8), (10, 8), (10, 20), (9, 20))}, 0),
    ],
    ids=["seats", "floor", "higher", "beside"],
)
def test_empty_seats_take_a_share_of_the_frame(area: Any, share: float) -> None:
    """A strip over the whole width between two heights in the frame."""
    found = sights_of(audience=seats(**area), passes=CLOSED)
    assert found.seats[0] == pytest.approx(share)


def test_the_depth_of_seats_is_that_of_their_visible_part() -> None:
    """A bare floor comes into the frame where 1/2 + 18.17 / d = 1, 36.35 m away."""
    near = sights_of(audience=seats(), passes=CLOSED)
    assert (near.seats_near_m[0], near.seats_far_m[0]) == pytest.approx((18, 30))
    deep = ((-9, 8), (9, 8), (9, 60), (-9, 60))
    area = ({"id": "floor", "outline_m": deep, "state": "standing"},)
    far = sights_of(audience=area, passes=CLOSED)
    assert (far.seats_near_m[0], far.seats_far_m[0]) == pytest.approx((LENS_M / 0.0375, 70))
    assert far.seats[0] == pytest.approx(0.5 - LENS_M / 0.075 / 70)


@pytest.mark.parametrize(
    ("facts", "area", "is_empty"),
    [
        ({}, {}, False),
        ({}, {"empty_in": ("show",)}, True),
        ({}, {"empty_in": ("run",)}, False),
        ({"has_audience": False, "doors": None}, {}, True),
    ],
    ids=["sold", "unsold", "unsold-in-another", "no-audience"],
)
def test_seats_are_empty_where_nobody_sits(facts: Any, area: Any, is_empty: bool) -> None:
    """A closed run, or a block that is not sold."""
    found = sights_of(audience=seats(**area), passes=(show(**facts),))
    assert (found.seats[0] > 0) == is_empty


def refusal_of(rules: Any = None, **parts: Any) -> Refusal | None:
    """Return why the medium shot from the front is refused, with a lens that opens to f/2.8."""
    kit = small_kit(body(built_in=optic(stop_wide=2.8)))
    brief = small_brief(
        kit, positions=(position("front"),), rules={**AS_USUAL, **(rules or {})}, **parts
    )
    spot = find_options(brief).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", "MS"))
    return spot.shots.refusal(row, 0, "operated")


# The seats fill 13.7 % of the frame. The singer has 500 lux; in show light the house is five stops
# under that. Nearest to the focus at 12 m are seats 18 m away: f 118.8 mm and f/2.8 blur them by
# 118.8^2 / (2.8 * (12000 - 118.8)) * 6 / 18 = 0.1414 mm, 1.572 % of 9 mm; f/5.6 by half of that.
DARK: Any = {}
LIT = {"house_lux": 500}
OPEN, CLOSED_DOWN = {"most_stop": 2.8}, {"most_stop": 5.6}


@pytest.mark.parametrize(
    ("facts", "rules", "most"),
    [
        (DARK, OPEN, None),
        (DARK, CLOSED_DOWN, 3),  # 0.786 % is less than 1 %: they are sharp enough to see
        (LIT, OPEN, 3),
        ({"is_in_show_light": False}, OPEN, 3),  # as much light as on stage
        ({"house_lux": 22.0}, OPEN, None),  # 500 / 2^4.5 = 22.1 lux is dark
        ({"house_lux": 22.2}, OPEN, 3),
        (DARK, {**OPEN, "seats_soft_share": 0.0157}, None),
        (DARK, {**OPEN, "seats_soft_share": 0.0158}, 3),
        (DARK, {**OPEN, "seats_share_soft": 0.138}, None),
        (DARK, {**OPEN, "seats_share_soft": 0.13}, 13),
        (LIT, {**OPEN, "seats_share_plain": 0.138}, None),
    ],
    ids=str,
)
def test_dark_and_soft_seats_may_fill_more(facts: Any, rules: Any, most: int | None) -> None:
    """18 % of the frame where they are dark and soft, else 3 %."""
    closed = (show(has_audience=False, doors=None, **facts),)
    refusal = refusal_of(rules, audience=seats(), passes=closed)
    words = f"singer MS with cam+HD: empty seats fill 14% of the frame; {most}% is the most here"
    assert (str(refusal) if refusal else None) == (None if most is None else words)


def test_seats_behind_a_shallow_subject_count_by_the_nearest() -> None:
    """An area around the singer is as sharp as she is: no blur at the depth of the focus."""
    around = ((-9, -4), (9, -4), (9, 20), (-9, 20))
    area = ({"id": "behind", "outline_m": around},)
    refusal = refusal_of(OPEN, audience=area, passes=CLOSED)
    assert refusal is not None
    assert refusal.limit == 3


# -- wings -----------------------------------------------------------------------------------------


def wings(place: Any = None, **stage: Any) -> float:
    """Return what the wings take of the whole stage, seen from far and level with its middle.

    From 30 m before it, aimed 33 m away: near corners 4 / 30 * 33 * 2 = 8.8 m, 4.95 m of height,
    planned 5.445 m; 0.4 of that, 2.178 m, is where the lens is. 0.165 m of height and 0.2933 m of
    width for each metre of depth.
    """
    far = position("front", **{"at_m": (0, -30), "lens_height_m": 2.178, **(place or {})})
    found = sights_of("stage", "WS", positions=(far,), stage={"outline_m": STAGE_M, **stage})
    return float(found.wings[0])


def test_the_share_of_the_wings_by_hand() -> None:
    """Each side wall is a trapezoid: u from 1/2 + 4 / 30 / 0.2933 to 1/2 + 4 / 36 / 0.2933, v from
    the top at 1/2 - 1.822 / d / 0.165 to the floor at 1/2 + 2.178 / d / 0.165.
    """
    width = 4 / 0.29333 * (1 / 30 - 1 / 36)
    heights = [4 / d / 0.165 for d in (30, 36)]
    assert wings() == pytest.approx(2 * width * sum(heights) / 2, rel=1e-4)


@pytest.mark.parametrize(
    "stage",
    [{"form": "thrust"}, {"form": "round"}, {"has_wings": False}],
    ids=["thrust", "round", "none"],
)
def test_only_an_end_stage_with_wings_has_wings(stage: Any) -> None:
    """Nobody looks off a stage that is open to its sides."""
    assert wings(**stage) == 0


@pytest.mark.parametrize(
    ("x", "is_seen"),
    [(2, True), (3.99, True), (4, False), (4.01, False), (6, False)],
    ids=["inside", "just-inside", "on-the-line", "just-outside", "outside"],
)
def test_a_wing_is_looked_into_from_its_inner_side(x: float, is_seen: bool) -> None:
    """The singer half a metre from the right wall at x = 4; 0.8 m to either side are in the frame.

    The left wall is nowhere near it.
    """
    found = sights_of(
        positions=(position("front", at_m=(x, -10)),), subjects=(singer(at_m=(3.5, 3)),)
    )
    assert (found.wings[0] > 0) == is_seen


def test_front_and_back_are_no_wings_slanting_sides_are() -> None:
    """A stage that narrows towards the back: its sides are seen more openly, so they take more."""
    narrow = wings(outline_m=((-4, 0), (4, 0), (2, 6), (-2, 6)))
    assert narrow > wings() > 0
    assert wings(outline_m=((-4, 6), (-4, 0), (4, 0), (4, 6))) == pytest.approx(wings())


@pytest.mark.parametrize(("limit", "mark"), [(0.1123, 3), (0.1122, 2)], ids=["at", "above"])
def test_wide_wings_cost_a_mark(limit: float, mark: int) -> None:
    """They take 11.22 %."""
    rules = default_rules().model_copy(update={"wings_share": limit})
    far = (position("front", at_m=(0, -30), lens_height_m=2.178),)
    found = sights_of("stage", "WS", positions=far)
    assert found.wings[0] == pytest.approx(0.1122, abs=1e-4)
    assert found.background_mark(rules)[0] == mark


# -- lamps -----------------------------------------------------------------------------------------


def lamp(**facts: Any) -> Any:
    """Return a lamp 2 m behind the singer and 0.3 m aside, in the frame: 0.525 m to either side."""
    return ({"id": "lamp", "at_m": (0.3, 4), "height_m": 1.6, **facts},)


SCREEN = ((-3, -4), (3, -4), (3, -3.9), (-3, -3.9))


@pytest.mark.parametrize(
    ("facts", "parts", "is_seen"),
    [
        ({}, {}, True),
        ({"height_m": 1.88}, {}, True),  # 0.517 m over the axis
        ({"height_m": 1.9}, {}, False),
        ({"at_m": (0.94, 4)}, {}, False),  # 0.933 m to either side
        ({"at_m": (0, -12)}, {}, False),  # behind the lens
        ({"faces_deg": 180}, {}, True),
        ({"faces_deg": -180}, {}, True),
        ({"faces_deg": 0}, {}, False),
        ({"faces_deg": 272}, {}, False),  # the lens is at 181.2 degrees from it: 90.8 off
        ({"faces_deg": 271}, {}, True),  # 89.8 off
        ({"faces_deg": 92}, {}, True),
        ({"faces_deg": 91}, {}, False),
        ({"passes": ("show",)}, {}, True),
        ({"passes": ("run",)}, {}, False),
        ({}, {"obstacles": ({"id": "screen", "outline_m": SCREEN, "height_m": 3},)}, False),
        ({}, {"obstacles": ({"id": "desk", "outline_m": SCREEN, "height_m": 1.2},)}, True),
        # heads do not hide a light that shines into the lens
        ({}, {"audience": ({"id": "a", "outline_m": SCREEN, "state": "standing"},)}, True),
    ],
    ids=str,
)
def test_a_lamp_is_seen_where_it_shines_into_the_lens(
    facts: Any, parts: Any, is_seen: bool
) -> None:
    """In the frame, listed for the pass, facing the lens, nothing solid between."""
    found = sights_of(lamps=lamp(**facts), **parts)
    assert found.has_lamp[0] == is_seen
    assert not found.has_laser[0]


@pytest.mark.parametrize(("height_m", "is_seen"), [(2.6, False), (3.2, True)])
def test_a_high_stage_hides_a_lamp_behind_it(height_m: float, is_seen: bool) -> None:
    """A lamp 0.5 m behind a stage of 2 m, a lens at 0.5 m, a full shot.

    At the front edge, 10 of 16.5 m away, its ray is at 0.5 + 2.1 * 0.606 = 1.773 m, or 2.136 m.
    """
    found = sights_of(
        "singer",
        "FS",
        positions=(position("front", lens_height_m=0.5),),
        stage={"outline_m": STAGE_M, "height_m": 2},
        lamps=lamp(at_m=(0.3, 6.5), height_m=height_m),
    )
    assert found.has_lamp[0] == is_seen


@pytest.mark.parametrize(
    ("lamps", "mark"),
    [
        ((), 3),
        (lamp(), 2),
        (lamp(kind="window"), 2),
        ((*lamp(), *lamp(id="second", at_m=(0, 4))), 2),
    ],
    ids=["none", "lamp", "window", "two"],
)
def test_a_lamp_costs_a_mark(lamps: Any, mark: int) -> None:
    """One, however many there are."""
    assert sights_of(lamps=lamps).background_mark(default_rules())[0] == mark


def test_every_fault_of_the_background_costs_its_own_mark() -> None:
    """A lamp and empty seats; nothing more is seen of the wings in a medium shot."""
    found = sights_of(lamps=lamp(), audience=seats(), passes=CLOSED)
    assert found.background_mark(default_rules())[0] == 1


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({}, "singer MS with cam+HD: a laser shines into the frame and can destroy the sensor"),
        ({"faces_deg": 0}, None),
        ({"passes": ("run",)}, None),
    ],
    ids=["into-the-lens", "away", "not-now"],
)
def test_a_laser_refuses_the_shot(facts: Any, words: str | None) -> None:
    """Where it shines into the frame; elsewhere it does nothing."""
    refusal = refusal_of(lamps=lamp(kind="laser", **facts))
    assert (str(refusal) if refusal else None) == words
    assert sights_of(lamps=lamp(kind="laser")).background_mark(default_rules())[0] == 3


# -- consent ---------------------------------------------------------------------------------------


def kid(**facts: Any) -> Subject:
    """Return somebody 2 m behind the singer who must not be filmed; 0.933 m to either side are."""
    return singer("kid", **{"at_m": (1, 4), "has_consent": False, **facts})


@pytest.mark.parametrize(
    ("facts", "is_seen"),
    [
        ({}, True),  # from 0.7 m on
        ({"at_m": (1.24, 4)}, False),  # turned to the lens, from 0.941 m on
        ({"at_m": (1.24, 4), "roam_m": 0.1}, True),
        ({"at_m": (1.3, 4), "width_m": 1}, True),
        ({"at_m": (0, -12)}, False),
        ({"has_consent": True}, False),
        ({"floor_height_m": -1.2}, False),  # 0.55 m up; the frame begins at 0.838 m there
        ({"floor_height_m": -1.2, "posture": "dancer"}, True),  # raised arms
        ({"kind": "object", "height_m": 0.5}, False),
        ({"kind": "object", "height_m": 0.9}, True),
    ],
    ids=str,
)
def test_who_has_not_agreed_is_found_in_the_picture(facts: Any, is_seen: bool) -> None:
    """Wherever the figure may roam, hidden by others or not."""
    found = sights_of(subjects=(singer(), kid(**facts)))
    assert found.unconsenting[0] == (("kid",) if is_seen else ())


@pytest.mark.parametrize(("x", "is_seen"), [(1.1, True), (3, False)])
def test_a_group_is_in_the_picture_with_any_of_its_points(x: float, is_seen: bool) -> None:
    """2 m wide: a tenth of that is the nearest, 0.8 m from its middle."""
    outline = ((x - 1, 4), (x + 1, 4), (x + 1, 5), (x - 1, 5))
    group = Subject(id="kids", kind="group", outline_m=outline, has_consent=False)
    found = sights_of(subjects=(singer(), group))
    assert found.unconsenting[0] == (("kids",) if is_seen else ())


@pytest.mark.parametrize(
    ("size", "rules", "is_refused"),
    [
        ("MS", {}, True),
        ("WS", {}, False),  # 4 m, the lens level with its middle
        ("WS", {"consent_wide_m": 4.001}, True),
        ("MS", {"consent_wide_m": 0.9}, False),
    ],
    ids=str,
)
def test_consent_is_asked_of_tight_frames_only(size: str, rules: Any, is_refused: bool) -> None:
    """From 4 m of height on it is no more than flagged."""
    level = LENS_M if size == "MS" else 1.6
    brief = small_brief(
        small_kit(body(built_in=optic(focal_min_mm=10))),
        positions=(position("front", lens_height_m=level),),
        subjects=(singer(), kid()),
        rules=rules,
    )
    spot = find_options(brief).spots[0]
    row = [view.key for view in spot.views].index(("front", "singer", size))
    refusal = spot.shots.refusal(row, 0, "operated")
    assert (refusal.rule if refusal else "") == ("consent" if is_refused else "")
    assert spot.shots.sights.unconsenting[row] == ("kid",)


def test_the_target_itself_must_agree() -> None:
    """Nobody is filmed close who has not said yes."""
    refusal = refusal_of(subjects=(singer(has_consent=False),))
    assert str(refusal) == (
        "singer MS with cam+HD: somebody without consent is in it; "
        "only frames from 4.0 m of height may"
    )
