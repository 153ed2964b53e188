"""Turning cameras round: what is to be done, how long it takes, by whom, in which order.

The table: legs 6 min to set up and 3 to strike, a body 4 and 2, `stays_min` 4, `check_min` 2. From
`front` (0, -10) to `left` (-8, -6) there are 8.944 m: there and back at 45 m/min 0.3975 min, 24 s.
"""

from __future__ import annotations

import pytest

from kitplan.gear.kit import Unit
from tests.day.work.made import brief_of, minutes, people_of, rig, stood, tasks
from tests.small import body, head, lens, person, position, run, show, small_kit, support
from tests.whatif.small import placed


def test_a_camera_moves() -> None:
    found = tasks(brief_of(), stood("front"), placed("A", "left"))
    assert {name: minutes(task) for name, task in found.items()} == {
        "strike/A": 5,
        "carry/A": 24 / 60,
        "build/A": 6,
        "frame/A": 4,
        "check/A": 2,
    }
    assert {name: task.after for name, task in found.items()} == {
        "strike/A": (),
        "carry/A": ("strike/A",),
        "build/A": ("carry/A",),
        "frame/A": ("build/A",),
        "check/A": ("frame/A",),
    }
    assert all(task.people == 1 for task in found.values())


def test_a_camera_stays() -> None:
    found = tasks(brief_of(), stood("front"), placed("A", "front"))
    assert {name: minutes(task) for name, task in found.items()} == {"stay/A": 4}


def test_a_camera_from_the_cases_and_one_back_into_them() -> None:
    """3 kg: one load each; the door takes 3 min, from (0, 0) to (0, -10) 20 / 45 min."""
    brief = brief_of()
    venue = brief.shoot.venue.model_copy(update={"people_through_door_min": 3})
    shoot = brief.shoot.model_copy(update={"venue": venue})
    other = rig(body="cam-2", support="legs-2")
    found = tasks(
        brief.__class__(shoot, brief.kit), stood("front"), placed("B", "front", rig=other)
    )
    assert list(found) == [
        "strike/A", "away/A", "fetch/B", "build/B", "frame/B", "check/B",
    ]  # fmt: skip
    assert minutes(found["fetch/B"]) == pytest.approx(3 + 20 / 45, abs=1 / 60)
    assert found["fetch/B"].uses == found["away/A"].uses == (("doorway", 1),)
    assert found["build/B"].after == ("fetch/B", "strike/A"), "a position is cleared first"


def test_loads_stairs_and_the_cart() -> None:
    """Legs of 62 kg and a camera of 1 kg: two people, 40 kg a load, two loads; with the cart of
    60 kg two as well: not sooner. Of 100 kg the cart takes all: one load, where it can go at all.
    """
    kit = small_kit(support(mass_kg=62))
    brief = brief_of(kit)

    def fetch(rise_m: float, cart_kg: float) -> list[float]:
        there = position("front", floor_height_m=rise_m)
        shoot = brief.shoot.model_copy(
            update={
                "carrying": brief.shoot.carrying.model_copy(
                    update={"carts": 1, "cart_kg": cart_kg}
                ),
                "venue": brief.shoot.venue.model_copy(update={"positions": (there,)}),
            }
        )
        task = tasks(brief.__class__(shoot, kit), placed("A", "front"))["fetch/A"]
        assert task.people == 2
        return [machine.run_s for machine in task.machines] or [task.run_s]

    load_s = 20 / 45 * 60
    assert fetch(0, 60) == [pytest.approx(2 * load_s, abs=1)]
    assert fetch(0, 100) == [pytest.approx(2 * load_s, abs=1), pytest.approx(load_s, abs=1)]
    assert fetch(3, 100) == [pytest.approx(2 * (load_s + 180), abs=1)], "no cart climbs 3 m"


def test_darkness_and_the_first_time() -> None:
    crew = (person("ann"), person("ben", is_first_time=True))
    brief = brief_of(crew=crew, passes=(run(is_dark_after=True), show()))
    found = tasks(brief, stood("front"), placed("A", "left"))
    assert dict(found["build/A"].able) == {"ann": 6 * 1.5 * 60, "ben": 6 * 1.5 * 2 * 60}
    assert found["carry/A"].run_s == 36, "0.3975 min x 1.5 for both"


def test_a_jib_takes_two_and_one_who_knows_it() -> None:
    jib = support("jib", people=2, skill="jib", is_arm=True, footprint_m=1)
    crew = (person("ann"), person("ben", skills=("jib",)))
    brief = brief_of(small_kit(jib), crew=crew)
    found = tasks(brief, stood("front", rig=rig(support="jib-1")))
    assert [(t.id, t.people, minutes(t)) for t in found.values()] == [
        ("off/A", 1, 2), ("strike/A", 2, 30), ("away/A", 1, pytest.approx(27 / 60)),
    ]  # fmt: skip
    assert found["strike/A"].led_by == found["off/A"].led_by == (("ben",),)
    assert found["strike/A"].after == ("off/A",)


def test_nobody_works_overhead_alone() -> None:
    crew = (person("ann"), person("ben", skills=("rigging",)))
    there = position("front", is_overhead=True)
    brief = brief_of(crew=crew, positions=(there, position("left")))
    found = tasks(brief, stood("left"), placed("A", "front"))
    assert {name: (task.people, task.led_by) for name, task in found.items()} == {
        "strike/A": (1, ()),
        "carry/A": (1, ()),
        "build/A": (2, (("ben",),)),
        "frame/A": (2, (("ben",),)),
        "check/A": (2, (("ben",),)),
    }


def test_an_owner_has_a_hand_on_his_own() -> None:
    own = Unit(id="cam-1", item="cam", owner="ben", owner_only=True)
    brief = brief_of(small_kit(units=(own,)))
    found = tasks(brief, stood("front"), placed("A", "left"))
    assert found["strike/A"].led_by == found["frame/A"].led_by == (("ben",),)
    assert found["build/A"].led_by == ()


@pytest.mark.parametrize(
    ("facts", "able"),
    [
        ({}, {"ann", "ben"}),
        ({"is_on_stage": True}, {"ann"}),
        ({"only_people": ("ben",)}, {"ben"}),
    ],
    ids=["anywhere", "on-stage", "listed"],
)
def test_who_may_work_where(facts: dict[str, object], able: set[str]) -> None:
    crew = (person("ann", may_be_on_stage=True), person("ben"))
    brief = brief_of(crew=crew, positions=(position("front", **facts), position("left")))
    found = tasks(brief, stood("left"), placed("A", "front"))
    assert people_of(found["build/A"].able) == able
    assert people_of(found["carry/A"].able) == able
    assert people_of(found["strike/A"].able) == {"ann", "ben"}


def test_a_stand_stays_under_another_camera() -> None:
    found = tasks(brief_of(), stood("front"), placed("B", "front", rig=rig(body="cam-2")))
    assert list(found) == ["strike/A", "away/A", "fetch/B", "frame/B", "check/B"]
    assert minutes(found["strike/A"]) == 2
    assert found["frame/B"].after == ("fetch/B", "strike/A")


def test_a_lens_is_waited_for() -> None:
    """The zoom moves from A, which is struck, to B."""
    kit = small_kit(body(mount="E"), lens())
    brief = brief_of(kit)
    found = tasks(
        brief,
        stood("front", rig=rig(lens="zoom-1")),
        placed("B", "left", rig=rig(body="cam-2", lens="zoom-1", support="legs-2")),
    )
    assert found["carry/B"].after == ("strike/A",)
    assert found["carry/B"].units == ("zoom-1",)
    assert found["fetch/B"].units == ("legs-2", "cam-2")


def test_a_battery_is_waited_for_when_the_camera_is_checked() -> None:
    brief = brief_of()
    found = tasks(
        brief,
        stood("left", "A", batteries=("cell-1",)),
        placed("B", "front", rig=rig(body="cam-2", support="legs-2"), batteries=("cell-1",)),
    )
    assert found["check/B"].after == ("frame/B", "strike/A")
    assert found["check/B"].units == ("cell-1",)
    assert "cell-1" not in found["fetch/B"].units, "pockets have room for it"


def test_own_minutes_of_things_count() -> None:
    kit = small_kit(support(setup_min=1.25, strike_min=0.5, fitting="bowl-75"), head(setup_min=0.3))
    own = rig(head="fluid-1")
    found = tasks(brief_of(kit), stood("front", rig=own), placed("A", "left", rig=own))
    assert minutes(found["build/A"]) == pytest.approx(1.55)
    assert minutes(found["strike/A"]) == pytest.approx(2.5)
