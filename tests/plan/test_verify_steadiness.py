"""How steady a rig is: tremor by hand, marks, and where it refuses."""

from __future__ import annotations

from math import atan, degrees, hypot
from typing import Any

import pytest

from kitplan.gear.records import Body
from kitplan.plan.verify import (
    Camera,
    Scene,
    Setup,
    demands_of,
    grade_of,
    marks_of,
    menu_faults,
    setup_faults,
)
from kitplan.plan.verify.shaking import steady_mark, support_row, tremor_deg
from kitplan.shoot.records import Pass
from tests.plan.staged import FRONT, rules_of, scene, seats, setup
from tests.small import (
    WIDE,
    adapter,
    body,
    lens,
    optic,
    position,
    run,
    show,
    song,
    support,
)

VIEW_DEG = 2 * degrees(atan(0.45 / 12))
"""Vertical angle of view of the medium shot, 4.2952 degrees."""
HAND, ARM = support("hand", can_stand_alone=False), support("arm", is_arm=True)
TRACK, WALK = support("track", moves=("track",)), support("walk", moves=("walk",))
RAIL = position("front", stands_on="rail")


def tremor(setting: Scene, one: Setup) -> float:
    """Return the tremor of a setup in degrees."""
    rig = (one.camera, one.stand)
    return tremor_deg(setting, one.each, one.position, rig, one.manner)


ROWS: dict[str, tuple[dict[str, Any], str, tuple[float, float]]] = {
    "legs": ({}, "stand", (0.012, 0.003)),
    "rail": ({"place": RAIL}, "rail", (0.02, 0.006)),
    "bar": ({"place": position("front", stands_on="bar")}, "bar", (0.02, 0.008)),
    "track": ({"legs": TRACK}, "track", (0.03, 0.006)),
    "track on a rail": ({"legs": TRACK, "place": RAIL}, "track", (0.03, 0.006)),
    "arm": ({"legs": ARM}, "arm", (0.06, 0.06)),
    "arm on a track": ({"legs": support(is_arm=True, moves=("track",))}, "arm", (0.06, 0.06)),
    "boom without an arm": ({"legs": support(moves=("boom",))}, "stand", (0.012, 0.003)),
    "hand": ({"legs": HAND}, "hand", (0.15, 0.15)),
    "hand on a rail": ({"legs": HAND, "place": RAIL}, "hand", (0.15, 0.15)),
    "walk": ({"legs": WALK}, "walk", (0.3, 0.3)),
    "walk with an arm": ({"legs": support(is_arm=True, moves=("walk",))}, "walk", (0.3, 0.3)),
}


@pytest.mark.parametrize("name", ROWS)
def test_the_row_of_a_support(name: str) -> None:
    """Operated and locked off, in a run without an audience on concrete, which adds 0.001."""
    facts, row, figures = ROWS[name]
    for who, held in zip(("ann", None), figures, strict=True):
        one = setup(who=who, each=run(), **facts)
        assert support_row(one.stand, one.position) == row
        assert tremor(scene(), one) == pytest.approx(hypot(held, 0.001))


SPRUNG = {"floor": "sprung-timber"}
CROWD = seats(-8, -2, state="standing")
FLOORS: dict[str, tuple[Pass, dict[str, Any], list[dict[str, Any]], float]] = {
    "nobody": (run(), SPRUNG, [], 0.006),
    "seated": (show(), SPRUNG, [], 0.03),
    "on stage": (run(), {**SPRUNG, "is_on_stage": True}, [], 0.2),
    "standing": (show(), SPRUNG, [CROWD], 0.2),
    "standing room empty in a run": (run(), SPRUNG, [CROWD], 0.006),
    "standing room not sold": (show(), SPRUNG, [{**CROWD, "empty_in": ("show",)}], 0.03),
    "not in the table": (show(), {"floor": "gravel"}, [], 0.004),
    "wind": (show(), {"floor": "scaffold", "is_outdoors": True}, [], hypot(0.012, 0.015)),
}


@pytest.mark.parametrize("name", FLOORS)
def test_floor_and_wind_add_as_squares(name: str) -> None:
    """Under legs that an operator moves by 0.012 degrees."""
    each, place, audience, more = FLOORS[name]
    setting = scene(passes=(run(), show()), audience=audience)
    found = tremor(setting, setup(position("front", **place), each=each))
    assert found == pytest.approx(hypot(0.012, more))


def stabilised(stops: float, **facts: Any) -> Body:
    """Return the body with a stabiliser."""
    return body(built_in=optic(**WIDE), stabiliser_stops=stops, **facts)


@pytest.mark.parametrize(
    ("stops", "held", "bounced"),
    [(0, 0.15, 0.03), (0.5, 0.15 / 2**0.5, 0.03 / 2**0.5), (1, 0.075, 0.015), (2, 0.0375, 0.015)],
)
def test_a_stabiliser_halves_the_tremor_by_stops(stops: float, held: float, bounced: float) -> None:
    """Up to two stops against the hand, and up to one against the floor."""
    place = position("front", floor="sprung-timber")
    one = setup(place, legs=HAND, camera=stabilised(stops))
    assert tremor(scene(), one) == pytest.approx(hypot(held, bounced))


def test_on_legs_a_stabiliser_helps_against_the_floor_only() -> None:
    """Five stops are one against the bounce, none against the operator's hands."""
    place = position("front", floor="sprung-timber")
    one = setup(place, camera=stabilised(5))
    assert tremor(scene(), one) == pytest.approx(hypot(0.012, 0.015))


@pytest.mark.parametrize(
    ("passes_on", "stops"), [(None, 2), ((), 1), (("iris",), 1), (("stabiliser",), 2)]
)
def test_a_lens_stabilises_through_what_passes_it_on(
    passes_on: tuple[str, ...] | None, stops: float
) -> None:
    """Two stops of the lens, or the one of the body where the lens is not powered."""
    made = body(mount="E", stabiliser_stops=1)
    ring = None if passes_on is None else adapter(passes_on=passes_on)
    camera = Camera(made, made.modes[0], lens(stabiliser_stops=2), ring)
    one = setup(legs=HAND, each=run())
    found = tremor_deg(scene(), run(), FRONT, (camera, one.stand), "operated")
    assert found == pytest.approx(hypot(0.15 / 2**stops, 0.0005))


def test_the_stabiliser_of_a_built_in_lens_counts() -> None:
    """Two stops leave a quarter."""
    made = body(built_in=optic(stabiliser_stops=2))
    one = setup(legs=HAND, camera=made, each=run())
    assert tremor(scene(), one) == pytest.approx(hypot(0.0375, 0.0005))


# -- rule and mark ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("share", "mark"),
    [(0.00499, 3), (0.005, 3), (0.00501, 2), (0.01, 2), (0.01001, 1), (0.015, 1)],
)
def test_marks_go_by_thirds(share: float, mark: int) -> None:
    """Of 0.015 for an operated camera, and of 0.005 locked off; at a limit the better mark."""
    assert steady_mark(scene(), share, "operated") == mark
    assert steady_mark(scene(), share / 3, "locked-off") == mark


@pytest.mark.parametrize(("factor", "is_refused"), [(0.9999, True), (1.0, False), (1.0001, False)])
def test_too_shaky_a_rig_is_refused(factor: float, is_refused: bool) -> None:
    """By hand the medium shot moves by hypot(0.15, 0.001) of 4.2952 degrees, 0.03492."""
    share = hypot(0.15, 0.001) / VIEW_DEG
    setting = scene(rules={"steady_operated": share * factor})
    found = rules_of(setup_faults(setting, setup(legs=HAND)))
    assert ("steadiness" in found) is is_refused


def test_locked_off_has_a_limit_of_its_own() -> None:
    """Legs at rest move it by 0.00074; somebody at the camera by 0.0028."""
    setting = scene(rules={"steady_locked": 0.0007})
    assert rules_of(setup_faults(setting, setup(who=None))) == {"steadiness"}
    assert rules_of(setup_faults(setting, setup())) == set()


def test_the_grade_is_no_better_than_the_steadiness() -> None:
    """Two stops of stabilisation: 0.0375 / 4.3 = 0.0087 of the frame's height, a middling mark."""
    one = setup(legs=HAND, camera=stabilised(2))
    marks = marks_of(scene(), one)
    assert marks is not None
    assert (marks.steady, marks.grade, marks.total) == (2, 2, 17)
    assert grade_of(scene(), setup(legs=HAND)) == 1


# -- menus and moments -----------------------------------------------------------------------------


def test_a_menu_shot_is_steady_on_the_stand_that_is_there() -> None:
    """By hand a wide shot moves by 0.15 of 18.9 degrees, 0.008; the medium shot by too much."""
    wide: dict[str, Any] = {"size": "WS", "menu": (("singer", "MS"),)}
    assert rules_of(menu_faults(scene(), setup(**wide))) == set()
    assert rules_of(menu_faults(scene(), setup(legs=HAND, **wide))) == {"menu"}


def test_a_moment_is_held_by_a_rig_that_is_steady() -> None:
    """The solo wants a medium shot, which no hand holds from there."""
    solo = {"name": "Solo", "subject": "singer", "at_s": 60, "size": "MS", "priority": "must"}
    setting = scene(songs=(song("first", moments=(solo,)), song("second")))
    for legs, is_met in ((support(), True), (HAND, False)):
        (demand,) = demands_of(setting, [setup(legs=legs, size="WS")])
        assert (demand.kind, demand.is_met) == ("moment", is_met)
