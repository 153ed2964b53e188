"""What a placement shows to others: rig, operator, sweep, the end of an arm. Cards by hand."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import pytest

from kitplan.options.presence import (
    CardAt,
    Kind,
    Presence,
    arc_bearings_deg,
    kind_of,
    move_of,
)
from tests.small import position, support

HERE = {"at_m": (3, -7), "lens_height_m": 1.5}


def cards(kind: Kind, **facts: Any) -> tuple[CardAt, ...]:
    """Return the cards of a kind of presence at a position."""
    return Presence(position(**{**HERE, **facts}), kind).cards


# -- rig and operator ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "foot_m", "top_m"),
    [
        ({}, 0, 1.65),  # from the floor to 0.15 m over the lens
        ({"floor_height_m": 2}, 2, 3.65),
        ({"stands_on": "rail", "floor_height_m": 4, "lens_height_m": 0.1}, 3.8, 4.25),
        ({"stands_on": "bar", "floor_height_m": 6, "lens_height_m": 0}, 5.7, 6.3),
    ],
    ids=["floor", "riser", "rail", "bar"],
)
def test_a_rig_is_a_card_half_a_metre_wide(facts: Any, foot_m: float, top_m: float) -> None:
    """Over its position, from its floor or a little under its lens."""
    (rig,) = cards(Kind(False), **facts)
    assert rig == pytest.approx((3, -7, foot_m, top_m, 0.5, False))


@pytest.mark.parametrize(
    ("facts", "foot_m", "top_m"),
    [
        ({}, 0, 1.7),  # 0.2 m over the lens
        ({"lens_height_m": 1.7}, 0, 1.9),
        ({"lens_height_m": 1.8}, 0, 1.9),  # nobody is taller than 1.9 m
        ({"lens_height_m": 3, "floor_height_m": 2}, 2, 3.9),  # standing on a riser
        ({"stands_on": "rail", "floor_height_m": 4, "lens_height_m": 0.1}, 2.8, 4.45),
        ({"stands_on": "bar", "floor_height_m": 4, "lens_height_m": 0}, 2.7, 4.35),
    ],
    ids=["floor", "at-1.9", "tall-lens", "riser", "rail", "bar"],
)
def test_an_operator_stands_behind_it(facts: Any, foot_m: float, top_m: float) -> None:
    """0.6 m wide, beside the card of the rig."""
    rig, operator = cards(Kind(True), **facts)
    assert rig.width_m == 0.5
    assert operator == pytest.approx((3, -7, foot_m, top_m, 0.6, False))


@pytest.mark.parametrize(
    ("facts", "is_operated", "has_operator"),
    [({}, True, True), ({}, False, False), ({"is_out_of_reach": True}, True, False)],
    ids=["operated", "locked-off", "by-remote"],
)
def test_who_operates_from_afar_is_not_there(
    facts: Any, is_operated: bool, has_operator: bool
) -> None:
    """Out of reach there is nobody at the camera."""
    assert kind_of(support(), position(**facts), is_operated=is_operated) == Kind(has_operator)


# -- moves -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "move", "reach_m"),
    [
        ({}, "still", 0),
        ({"sweep_m": 2}, "still", 0),  # nothing moves
        ({"moves": ("track",), "footprint_m": 1.2}, "line", 0.6),
        ({"moves": ("boom",), "footprint_m": 1.2}, "line", 0.6),
        ({"moves": ("track",), "sweep_m": 1.5}, "line", 1.5),
        ({"moves": ("walk",)}, "line", 2.5),  # walk_m of the position
        ({"moves": ("walk",), "sweep_m": 1}, "line", 1),
        ({"moves": ("walk", "track"), "footprint_m": 1.2}, "line", 2.5),
        ({"is_arm": True, "footprint_m": 3}, "arm", 3),
        ({"is_arm": True, "moves": ("boom", "track"), "sweep_m": 4}, "arm", 4),
    ],
    ids=str,
)
def test_how_far_a_support_moves(facts: Any, move: str, reach_m: float) -> None:
    """Its own sweep; else by what it is."""
    assert move_of(support(**facts), position(walk_m=2.5)) == (move, reach_m)


def test_a_slider_shows_rig_and_operator_at_both_ends_of_every_axis() -> None:
    """At home, 0.6 m to either side, 0.6 m forth and back; it does not say which way it lies."""
    found = cards(Kind(True, "line", 0.6))
    places = {(3.0, -7.0), (3.6, -7.0), (2.4, -7.0), (3.0, -6.4), (3.0, -7.6)}
    assert {(round(card.x, 9), round(card.y, 9)) for card in found} == places
    assert {card[2:5] for card in found} == {(0, 1.65, 0.5), (0, 1.7, 0.6)}
    assert len(found) == 10
    assert not any(card.is_avoidable for card in found)


@pytest.mark.parametrize("is_operated", [True, False])
def test_a_sweep_counts_whoever_works_it(is_operated: bool) -> None:
    """Somebody moves a slider even if nobody is put down as its operator."""
    slider = support(moves=("track",))
    assert kind_of(slider, position(), is_operated=is_operated) == Kind(True, "line", 0.5)


def test_a_remote_slider_shows_no_operator() -> None:
    """Out of reach there is nobody."""
    found = cards(Kind(False, "line", 0.6))
    assert {card.width_m for card in found} == {0.5}


# -- arms ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arc_deg", "bearings"),
    [
        (None, [0, 30, 60, 90, 120, 150, 180, 210, 240, 270, 300, 330]),
        ((0, 90), [0, 30, 60, 90]),
        ((0, 100), [0, 30, 60, 90, 100]),
        ((350, 20), [350, 20]),  # over north: 30 degrees wide
        ((350, 30), [350, 20, 30]),
        ((-10, 30), [350, 20, 30]),
        ((270, 90), [270, 300, 330, 0, 30, 60, 90]),
        ((90, 270), [90, 120, 150, 180, 210, 240, 270]),
        ((0, 360), [0, 30, 60, 90, 120, 150, 180, 210, 240, 270, 300, 330]),
        ((-180, 180), [0, 30, 60, 90, 120, 150, 180, 210, 240, 270, 300, 330]),
        ((45, 45), [45]),  # it does not swing
    ],
    ids=str,
)
def test_an_arc_goes_clockwise_in_steps_of_30_degrees(
    arc_deg: tuple[float, float] | None, bearings: list[float]
) -> None:
    """From its first bearing to its last, which counts too."""
    found = arc_bearings_deg(position(arc_deg=arc_deg))
    assert {round(bearing % 360, 9) for bearing in found} == set(bearings)


def test_the_end_of_an_arm_by_hand() -> None:
    """Over a quarter, at 3 m and half of it: 0.5 m wide, 0.5 m under to 0.5 m over the lens.

    Bearings count clockwise from upstage: 90 degrees is house right, x + 3.
    """
    found = cards(Kind(True, "arm", 3), arc_deg=(0, 90))
    rig, operator, *ends = found
    assert rig == pytest.approx((3, -7, 0, 1.65, 0.5, False))
    assert operator.width_m == 0.6
    at = {(round(card.x, 6), round(card.y, 6)) for card in ends}
    expected = {
        (round(3 + r * sin(radians(deg)), 6), round(-7 + r * cos(radians(deg)), 6))
        for r in (3, 1.5)
        for deg in (0, 30, 60, 90)
    }
    assert at == expected
    assert (6.0, -7.0) in at
    assert {card[2:] for card in ends} == {(1.0, 2.0, 0.5, False)}


def test_a_parked_arm_can_avoid_every_pose_but_that_one() -> None:
    """The arm is parked at 90 degrees while others film: house right, x + 3."""
    found = cards(Kind(True, "arm", 3), arc_deg=(0, 90), park_deg=90)
    kept = {(round(card.x, 6), round(card.y, 6)) for card in found if not card.is_avoidable}
    assert kept == {(3, -7), (4.5, -7), (6, -7)}
    swept = {(round(card.x, 6), round(card.y, 6)) for card in found if card.is_avoidable}
    assert (3, -4) in swept
    assert (6, -7) in swept
