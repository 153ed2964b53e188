"""The line-up: balance by lamp, sound by distance, what to look at, the weakest body."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.gear.kit import Kit
from kitplan.gear.records import Sound
from kitplan.optics.sound import delay_s
from kitplan.plan.day.sound import SoundPlan, SoundRun
from kitplan.plan.records import Day, Plan, Rig
from kitplan.shoot.venue import Subject
from kitplan.whatif.line_up import PassLineUp, line_ups, weakest_body
from tests.small import body, optic, position, show, singer, small_kit, small_shoot, support, unit
from tests.whatif.small import RIG, hand_plan, placed, safety

FEED = Sound(id="feed", name="feed", what="desk-feed")
MIC = Sound(id="mic", name="mic", what="microphone")
SETUP: dict[str, Any] = {"id": "mix", "recorder": "rec", "at": "desk", "position": "front"}
FRONT_M = (10**2 + 1.363**2) ** 0.5
"""From the middle of the stage's front edge to the lens at `front`."""


def plan(kit: Kit | None = None, rig: Rig = RIG, **parts: Any) -> Plan:
    """Return a safety shot A at the front and B on the singer from the left."""
    given: dict[str, Any] = {
        "positions": (position("front"), position("left")),
        "subjects": (singer(), singer("drummer"), Subject(id="stage", kind="stage")),
        "passes": (show(),),
    }
    placements = (safety("A"), placed("B", "left", rig=rig))
    return hand_plan(small_shoot(**{**given, **parts}), placements, kit=kit or small_kit())


def show_of(made: Plan) -> PassLineUp:
    """Return the line-up of the show."""
    return line_ups(made)[0]


def test_balance_is_that_of_most_cameras() -> None:
    """The stage is lit by tungsten; the singer by a discharge follow spot, alone."""
    light = (
        {"subjects": ["singer"], "dim_lux": 500, "bright_lux": 900, "lamp": "discharge"},
        {"dim_lux": 500, "bright_lux": 900},
    )
    balance = show_of(plan(light=light)).balance
    assert balance is not None
    # one camera each: the first of the table goes before
    assert (balance.kelvin, balance.lamp) == (3200, "tungsten")
    assert balance.others == (("B", "discharge", 5600),)


def test_without_cameras_there_is_no_balance() -> None:
    """A card in the light is all there is."""
    empty = plan().model_copy(update={"placements": ()})
    assert show_of(empty).balance is None
    assert weakest_body(empty) is None


def test_sound_is_late_by_distance() -> None:
    """With a feed from the desk the master hears the stage at once."""
    kit = small_kit(FEED, MIC)
    setups = ({**SETUP, "sources": ["mic", "feed"]},)
    heard = show_of(plan(kit, sound=setups)).heard
    assert heard[0].distance_m == pytest.approx(FRONT_M)
    assert heard[0].late_frames == pytest.approx(FRONT_M / 343.2 * 25, abs=0.001)


def test_a_microphone_hears_as_late_as_the_camera_beside_it() -> None:
    """Both at the front: in step; the camera to the left is as far away."""
    line_up = show_of(plan(small_kit(MIC), sound=({**SETUP, "sources": ["mic"]},)))
    assert line_up.master_late_m == pytest.approx(FRONT_M)
    assert line_up.heard[0].late_frames == pytest.approx(0)
    away = line_up.heard[1].distance_m - FRONT_M
    assert line_up.heard[1].late_frames == pytest.approx(delay_s(away, 20) * 25)


def test_the_first_setup_of_a_pass_is_its_master() -> None:
    """One for another pass does not count."""
    setups = (
        {**SETUP, "id": "other", "sources": ["mic"], "passes": ["run"]},
        {**SETUP, "sources": ["mic"]},
    )
    line_up = show_of(plan(small_kit(MIC), sound=setups))
    assert line_up.master is not None
    assert line_up.master.id == "mix"
    assert show_of(plan()).master is None


def test_a_setup_that_does_not_record_all_is_no_master() -> None:
    """Where the plan says which do; the second does."""
    setups = ({**SETUP, "id": "lame", "sources": ["mic"]}, {**SETUP, "sources": ["mic"]})
    made = plan(small_kit(MIC), sound=setups)
    (pass_id,) = made.pass_ids()
    runs = tuple(
        SoundRun(
            pass_id=pass_id,
            setup=setup,
            recorder="rec-1",
            sources=("mic-1",),
            phantom=(),
            is_on_mains=True,
            roll_min=20,
            holds=holds,
        )
        for setup, holds in (("lame", False), ("mix", True))
    )
    day = Day(sound=SoundPlan(runs=runs, masters=()))
    master = show_of(made.model_copy(update={"day": day})).master
    assert master is not None
    assert master.id == "mix"


def test_clocks_drift_over_the_pass() -> None:
    """20 minutes at 50 parts in a million: 60 ms, 1.5 frames at 25."""
    assert show_of(plan()).drift_frames == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("light", "what"),
    [
        ({"lamp": "led", "pwm_hz": 1200}, ["dimming"]),
        ({"lamp": "led"}, ["unknown dimming"]),
        ({"lamp": "screen"}, ["screen"]),
        ({"lamp": "daylight"}, ["daylight"]),
        ({"bright_lux": 1001}, ["range"]),
        ({"bright_lux": 1000}, []),
    ],
)
def test_what_to_look_at_follows_from_the_light(light: dict[str, Any], what: list[str]) -> None:
    """Twice the light is a stop: above that the brightest state decides."""
    row = {"dim_lux": 500, "bright_lux": 900, **light}
    assert [trial.what for trial in show_of(plan(light=(row,))).trials] == what


def test_lamps_of_several_kinds_are_looked_at() -> None:
    """Tungsten on the singer, LED elsewhere."""
    rows = (
        {"subjects": ["singer"], "dim_lux": 500, "bright_lux": 900},
        {"dim_lux": 500, "bright_lux": 900, "lamp": "led"},
    )
    trials = show_of(plan(light=rows)).trials
    assert [trial.what for trial in trials] == ["unknown dimming", "colours"]


def test_the_stabiliser_is_on_in_the_hand_alone() -> None:
    """On legs it is off; a monopod wants it, if there is one."""
    steady = optic(stabiliser_stops=3)
    rig = RIG.model_copy(update={"body": "held-1", "support": "pole-1"})
    pole = support("pole", can_stand_alone=False)
    kit = small_kit(body("held", built_in=steady), pole, units=(unit("pole"), unit("held")))
    assert [line.is_steadied for line in show_of(plan(kit, rig)).cameras] == [False, True]
    plain = small_kit(body("held"), pole, units=(unit("pole"), unit("held")))
    assert not show_of(plan(plain, rig)).cameras[1].is_steadied


def test_the_weakest_body_sets_the_look() -> None:
    """One that cannot be set by hand before one of less ISO."""
    rig = RIG.model_copy(update={"body": "toy-1"})
    dim = weakest_body(plan(small_kit(body("toy", max_iso=800)), rig))
    assert dim is not None
    assert (dim.body, dim.is_automatic) == ("toy", False)
    toy = weakest_body(plan(small_kit(body("toy", has_manual_control=False)), rig))
    assert toy is not None
    assert toy.is_automatic
