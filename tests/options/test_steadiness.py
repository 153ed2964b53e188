"""How still each camera holds the picture: kinds of stand, floors, stabilisers, marks."""

from __future__ import annotations

from math import hypot, radians, tan
from typing import Any

import numpy as np
import pytest

from kitplan.options.cameras import list_cameras
from kitplan.options.refusals import Refusal
from kitplan.options.spots import find_options
from kitplan.options.stands import Stand
from kitplan.options.steadiness import (
    Manner,
    floor_column,
    stabiliser_stops,
    steady_marks,
    support_row,
    tremors_deg,
)
from tests.small import (
    AS_USUAL,
    adapter,
    body,
    lens,
    optic,
    person,
    position,
    show,
    singer,
    small_brief,
    small_kit,
    support,
)

MANNERS: tuple[Manner, Manner] = ("operated", "locked-off")
ASIDE = ((20, -8), (30, -8), (30, -2), (20, -2))
"""An audience that is in nobody's way."""


def crowd(state: str = "standing", **facts: Any) -> Any:
    """Return an audience area."""
    return ({"id": "crowd", "outline_m": ASIDE, "state": state, **facts},)


# -- table rows ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "stands_on", "row"),
    [
        ({}, "floor", "stand"),
        ({}, "rail", "rail"),
        ({}, "bar", "bar"),
        ({"can_stand_alone": False}, "floor", "hand"),  # a monopod, a shoulder rig
        ({"can_stand_alone": False}, "rail", "hand"),
        ({"moves": ("track",)}, "floor", "track"),
        ({"moves": ("track",), "can_stand_alone": False}, "floor", "track"),
        ({"moves": ("boom",)}, "floor", "stand"),  # a column
        ({"is_arm": True}, "floor", "arm"),
        ({"is_arm": True, "moves": ("track", "boom")}, "floor", "arm"),
        ({"moves": ("walk",), "can_stand_alone": False}, "floor", "walk"),
        ({"moves": ("walk", "track"), "is_arm": True}, "floor", "walk"),
    ],
    ids=str,
)
def test_a_stand_belongs_to_a_row(facts: Any, stands_on: Any, row: str) -> None:
    """Walking counts before the arm, the arm before the track, and so on."""
    stand = Stand(support(**facts), None, 0.8)
    assert support_row(stand, position(stands_on=stands_on)) == row


@pytest.mark.parametrize(
    ("facts", "audience", "on_stage", "column"),
    [
        ({"has_audience": False, "doors": None}, crowd(), False, "empty"),
        ({}, crowd("seated"), False, "seated"),
        ({}, (), False, "seated"),
        ({}, crowd(), False, "moving"),
        ({}, crowd(empty_in=("show",)), False, "seated"),
        ({"has_audience": False, "doors": None}, (), True, "moving"),  # performers move it
    ],
    ids=["closed", "seated", "nowhere", "standing", "unsold", "on-stage"],
)
def test_who_moves_the_floor(facts: Any, audience: Any, on_stage: bool, column: str) -> None:
    """Nobody, a seated audience, or people on their feet; on stage always the performers."""
    brief = small_brief(audience=audience, passes=(show(**facts),))
    place = position(is_on_stage=on_stage)
    assert floor_column(brief, brief.shoot.passes[0], place) == column


@pytest.mark.parametrize(
    ("row", "facts", "operated_deg", "locked_deg"),
    [
        # concrete gives 0.001 degrees with nobody moving on it
        ("stand", {}, hypot(0.012, 0.001), hypot(0.003, 0.001)),
        ("rail", {}, hypot(0.02, 0.001), hypot(0.006, 0.001)),
        ("bar", {}, hypot(0.02, 0.001), hypot(0.008, 0.001)),
        ("track", {}, hypot(0.03, 0.001), hypot(0.006, 0.001)),
        ("arm", {}, hypot(0.06, 0.001), hypot(0.06, 0.001)),
        ("hand", {}, hypot(0.15, 0.001), hypot(0.15, 0.001)),
        ("walk", {}, hypot(0.3, 0.001), hypot(0.3, 0.001)),
        ("stand", {"floor": "scaffold"}, hypot(0.012, 0.006), hypot(0.003, 0.006)),
        ("stand", {"floor": "pontoon"}, hypot(0.012, 0.05), hypot(0.003, 0.05)),
        ("stand", {"is_outdoors": True}, hypot(0.012, 0.001, 0.015), hypot(0.003, 0.001, 0.015)),
    ],
    ids=str,
)
def test_tremors_by_the_table(row: str, facts: Any, operated_deg: float, locked_deg: float) -> None:
    """Support, floor and wind as the root of the sum of squares."""
    brief = small_brief(passes=(show(has_audience=False, doors=None),))
    place, cameras = position(**facts), list_cameras(brief)[0]
    found = [
        float(tremors_deg(brief, brief.shoot.passes[0], place, row, manner, cameras)[0])
        for manner in MANNERS
    ]
    assert found == pytest.approx([operated_deg, locked_deg])


# -- stabilisers -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("items", "stops"),
    [
        ((body(stabiliser_stops=3),), 3),
        ((body(built_in=optic(stabiliser_stops=4)),), 4),
        ((body(stabiliser_stops=3, built_in=optic(stabiliser_stops=4)),), 4),  # not 7
        ((body(mount="E", stabiliser_stops=1), lens(stabiliser_stops=4)),
         4),
        ((body(mount="E", stabiliser_stops=1), lens(mount="PL", stabiliser_stops=4), adapter()), 1),
        ((body(mount="E", stabiliser_stops=1), lens(mount="PL", stabiliser_stops=4),
          adapter(passes_on=("iris", "stabiliser"))), 4),
    ],
    ids=["body", "lens", "both", "in-a-mount", "plain-ring", "ring-that-passes-it-on"],
)  # fmt: skip
def test_the_better_stabiliser_counts(items: Any, stops: float) -> None:
    """A lens's through an adapter only where that passes it on."""
    (camera,) = list_cameras(small_brief(small_kit(*items)))[0]
    assert stabiliser_stops(camera) == stops


@pytest.mark.parametrize(
    ("row", "stops", "tremor_deg"),
    [
        # sprung timber with a standing audience bounces by 0.2 degrees
        ("stand", 0, hypot(0.012, 0.2)),
        ("stand", 1, hypot(0.012, 0.1)),  # one stop against the floor, none against the hand
        ("stand", 5, hypot(0.012, 0.1)),
        ("hand", 1, hypot(0.075, 0.1)),
        ("hand", 2, hypot(0.0375, 0.1)),
        ("hand", 5, hypot(0.0375, 0.1)),  # two stops are the most
        ("walk", 5, hypot(0.075, 0.1)),
        ("arm", 5, hypot(0.06, 0.1)),
    ],
)
def test_a_stabiliser_helps_so_far(row: str, stops: float, tremor_deg: float) -> None:
    """Against the hand at most two stops, and only by hand; against the floor at most one."""
    brief = small_brief(small_kit(body(stabiliser_stops=stops)), audience=crowd())
    place, cameras = position(floor="sprung-timber"), list_cameras(brief)[0]
    found = tremors_deg(brief, brief.shoot.passes[0], place, row, "operated", cameras)
    assert float(found[0]) == pytest.approx(tremor_deg)


# -- marks -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("manner", "share", "mark"),
    [
        ("operated", 0.005, 3),  # a third of 1.5 %
        ("operated", 0.0051, 2),
        ("operated", 0.01, 2),
        ("operated", 0.0101, 1),
        ("operated", 0.015, 1),
        ("operated", 0.0151, 0),
        ("locked-off", 0.0016, 3),  # a third of 0.5 %
        ("locked-off", 0.0033, 2),
        ("locked-off", 0.005, 1),
        ("locked-off", 0.0051, 0),
    ],
)
def test_limits_of_the_movement_are_inclusive(manner: Manner, share: float, mark: int) -> None:
    """A share of 10 degrees of view: three marks up to a third of the limit, none above it."""
    brief = small_brief(rules=AS_USUAL)
    found = steady_marks(brief, np.array([10 * share]), np.array([[10.0]]), manner)
    assert found[0, 0] == mark


# -- whole shots -----------------------------------------------------------------------------------


def shot_of(view_deg: float, *items: Any, rules: Any = None, **facts: Any) -> Any:
    """Return spot, row and refusal of a level view of so many degrees, 12 m before the singer.

    Her only size is an EWS of 24 tan(view / 2) m, planned with its middle at the lens.
    """
    frame_m = 24 * tan(radians(view_deg) / 2)
    aim_m = max(1.75 - 0.41 * frame_m, 0.4 * frame_m)
    kit = small_kit(
        body(built_in=optic(focal_min_mm=5)), support(height_max_m=9), *items, counts={"cam": 1}
    )
    brief = small_brief(
        kit,
        positions=(position("front", lens_height_m=aim_m, **facts),),
        subjects=(singer(closest="EWS", frames_m={"EWS": frame_m}),),
        audience=crowd(),
        crew=(person("ann"),),
        rules={**AS_USUAL, **(rules or {})},
    )
    spot = find_options(brief).spots[0]
    assert spot.shots.settings(0, 0).view_deg == pytest.approx(view_deg)
    return spot, spot.shots.refusal(0, 0, "operated")


@pytest.mark.parametrize(
    ("floor", "view_deg", "words"),
    [
        # 0.2 and 0.012 degrees together are 0.2004: 4 % of 5 degrees, 0.33 % of 60
        (
            "sprung-timber",
            5,
            "singer EWS with cam+HD: it shakes by 4.0% of the frame's height "
            "at 5.0 degrees of view",
        ),
        ("sprung-timber", 60, None),
        ("concrete", 5, None),  # 0.0122 degrees: 0.24 %
        ("concrete", 60, None),
    ],
)
def test_dancers_shake_a_long_lens_on_sprung_timber(
    floor: str, view_deg: float, words: str | None
) -> None:
    """With a standing audience a 5-degree view is turned away there, a 60-degree one is not."""
    _, refusal = shot_of(view_deg, floor=floor)
    assert (str(refusal) if refusal else None) == words


@pytest.mark.parametrize(
    ("view_deg", "mark"),
    # 0.2004 degrees are 1.5 % of 13.36, 1 % of 20.04 and 0.5 % of 40.07 degrees
    [(13.3, 0), (13.4, 1), (20.0, 1), (20.1, 2), (40.0, 2), (40.1, 3)],
)
def test_the_wider_the_view_the_less_it_shakes(view_deg: float, mark: int) -> None:
    """The bound and both steps of marks, with what they do to grade and marks of the shot."""
    spot, refusal = shot_of(view_deg, floor="sprung-timber")
    shots = spot.shots
    assert shots.steady["stand", "operated"][0, 0] == mark
    assert (refusal is None) == shots.possible("operated")[0, 0] == (mark > 0)
    assert shots.grade("operated", "stand")[0, 0] == mark
    assert shots.quality("operated", "stand")[0, 0] == 15 + mark


def test_one_stand_may_hold_what_another_does_not() -> None:
    """A monopod on concrete: 0.15 degrees of 5 are 3 %; legs 0.24 %. At 11 degrees both will do."""
    monopod = support("monopod", can_stand_alone=False, height_max_m=9)
    spot, refusal = shot_of(5, monopod)
    assert refusal is None
    assert spot.shots.possible_on("stand", "operated")[0, 0]
    assert not spot.shots.possible_on("hand", "operated")[0, 0]
    assert spot.shots.stand_rows("locked-off") == ("stand",)
    wider, _ = shot_of(11, monopod)
    assert wider.shots.possible_on("hand", "operated")[0, 0]
    assert wider.shots.grade("operated", "hand")[0, 0] == 1
    assert wider.shots.grade("operated", "stand")[0, 0] == 3


def test_a_refusal_names_the_steadiest_stand() -> None:
    """Monopod 3 % of 5 degrees, legs 0.24 %: even that is above a limit of 0.2 %."""
    monopod = support("monopod", can_stand_alone=False, height_max_m=9)
    _, refusal = shot_of(5, monopod, rules={"steady_operated": 0.002})
    assert isinstance(refusal, Refusal)
    assert refusal.value == pytest.approx(100 * hypot(0.012, 0.002) / 5)
    assert refusal.limit == pytest.approx(5)
