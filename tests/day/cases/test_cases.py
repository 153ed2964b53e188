"""What is packed, into what, in which order it is loaded, and what helps where it does not fit."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.day.cases.things import cargo_of, nature_of
from kitplan.gear.kit import Kit
from kitplan.gear.records import Accessory, Support
from kitplan.plan.day.cases import Load
from kitplan.plan.records import Plan
from kitplan.plan.verify.day.cases import case_findings
from kitplan.plan.verify.scene import Scene
from kitplan.tables import table
from tests.day.cases.small import changed_kit, items, packed, unpacked
from tests.small import SHOOT_ID, at, show, support


def load_of(plan: Plan) -> Load:
    """Return the load of a plan with one shoot, which holds."""
    assert plan.day is not None
    assert plan.day.cases is not None
    scenes = {each: Scene(shoot, plan.kit) for each, shoot in plan.shoots.items()}
    assert list(case_findings(plan, scenes)) == []
    return plan.day.cases.loads[0]


def test_everything_of_all_passes_is_packed_once() -> None:
    """Cameras at home in bags, the homeless where there is room, a pouch with what is in it."""
    load = load_of(packed())
    inside = {each.case: set(each.units) for each in load.cases}
    assert inside["bag-1"] >= {"cam-1", "cell-1", "card-1", "card-2", "pouch-1"}
    assert inside["long-1"] >= {"legs-1", "legs-2", "fluid-1"}
    assert load.left == ()
    assert load.is_proven
    assert load.remedy is None


def test_loose_things_and_feeds_are_in_no_case() -> None:
    """A sandbag has handles of its own; the feed from the desk is the venue's."""
    load = load_of(packed())
    assert load.by_hand == ("sandbag-1",)
    assert load.at_venue == ("feed-1",)


def test_a_pouch_takes_no_litres_of_its_own() -> None:
    """Bag: camera 3, cell 0.5, cards 2 x 0.5 = 4.5 l at home; camera 2, cell, charger, recorder are
    3 + 0.5 + 1 + 2 = 6.5 l more that need no case of their own.
    """
    load = load_of(packed())
    assert [each.case for each in load.cases] == ["bag-1", "long-1"]
    assert sum(each.used_l for each in load.cases) == pytest.approx(4.5 + 6.5 + 25)


def test_masses_are_those_of_the_things() -> None:
    """Long bag: 2 + 4 + 4 + 2 = 12 kg; all: 12 + 2 + 4.5 of cameras and small things + 7 loose."""
    load = load_of(packed())
    small_kg = 1 + 1 + 0.5 + 0.5 + 0.5 + 0.25 + 1
    assert load.mass_kg == pytest.approx(12 + 2 + small_kg + 7)


def test_what_is_needed_first_is_loaded_last() -> None:
    """The long bag holds the legs of the first pass; the sandbag is for the show alone."""
    assert load_of(packed()).order == ("sandbag-1", "bag-1", "long-1")


def test_lifts_follow_the_guideline() -> None:
    """12 kg are one person's at 13 kg, two people's at 10 (13.3 for two), and too much at 8."""
    for limit, hands in ((13, 1), (10, 2), (8, 3)):
        load = load_of(packed(rules={"lift_kg": limit}))
        assert {each.case: each.hands for each in load.cases}["long-1"] == hands


def test_a_case_that_is_not_lent_on_all_days_stays_at_home() -> None:
    """Its things are packed elsewhere."""
    kit = changed_kit()
    gone = tuple(
        one.model_copy(update={"available_until": at(0).date()}) if one.id == "bag-1" else one
        for one in kit.units
    )
    plan = packed(
        Kit(items=kit.items, units=gone), passes=(show(id="run"), show(start=at(20, day=2)))
    )
    assert "bag-1" not in {each.case for each in load_of(plan).cases}


# -- how a thing travels ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "row"),
    [
        ({}, "legs"),
        ({"is_arm": True}, "arm"),
        ({"stands_on": ("rail", "bar")}, "clamp"),
        ({"moves": ("track",)}, "track"),
        ({"moves": ("walk",), "can_stand_alone": False}, "walk"),
        ({"can_stand_alone": False}, "hand"),
    ],
)
def test_supports_take_the_litres_of_what_they_are(facts: dict[str, Any], row: str) -> None:
    """Unless they say themselves."""
    assert nature_of(support(**facts)).volume_l == table("volumes")[row]["litres"]
    own = nature_of(Support.model_validate({**dict(support(**facts)), "volume_l": 7}))
    assert own.volume_l == 7


def test_facts_of_an_item_go_before_the_table() -> None:
    """A fragile, long thing that the table takes for neither, and the other way round."""
    odd = Accessory(id="odd", name="odd", serves="whatnot", is_fragile=True, is_long=True)
    assert (nature_of(odd).is_fragile, nature_of(odd).is_long) == (True, True)
    assert nature_of(odd).volume_l == table("volumes")["other"]["litres"]
    stout = {one.id: one for one in items()}["cam"].model_copy(update={"is_fragile": False})
    assert not nature_of(stout).is_fragile


def test_things_alike_are_of_one_kind() -> None:
    """The two cards are used in different passes: not alike. The two of one pass would be."""
    cargo = cargo_of(unpacked(), SHOOT_ID)
    assert ("card-1",) in {kind.units for kind in cargo.kinds}


# -- what helps ------------------------------------------------------------------------------------


def test_one_more_case_is_the_remedy() -> None:
    """Without the long bag legs have no room; one more of it would do."""
    kit = changed_kit(without=("long-1",))
    homeless = tuple(
        one.model_copy(update={"case": None}) if one.case == "long-1" else one for one in kit.units
    )
    both = Kit(items=kit.items, units=(*homeless, *_long_bag_elsewhere()))
    load = load_of(packed(both))
    assert set(load.left) == {"legs-1", "legs-2"}
    assert load.remedy is not None
    assert load.remedy.add == "long"


def _long_bag_elsewhere() -> tuple[Any, ...]:
    """Return a long bag that is being repaired, so that the model is owned and none at hand."""
    bag = next(one for one in changed_kit().units if one.id == "long-1")
    return (bag.model_copy(update={"id": "long-2", "condition": "in-repair"}),)


def test_a_thing_too_big_for_every_case_wants_a_bag() -> None:
    """A camera of 50 litres; fragile, but a bag is bought padded: 50 l."""
    load = load_of(packed(changed_kit(items_changed={"legs": {"volume_l": 50}})))
    assert set(load.left) == {"legs-1", "legs-2"}
    assert load.remedy is not None
    assert (load.remedy.bag_l, load.remedy.bag_is_long) == (100, True)


def test_a_small_vehicle_wants_a_second_trip() -> None:
    """All of it has 25.75 kg, 23.75 without the bag of 2 kg; without the sandbag 7 kg less."""
    load = load_of(packed(vehicle={"most_load_kg": 23}))
    assert load.left == ("sandbag-1",)
    assert load.remedy is not None
    assert load.remedy.vehicle_kg == pytest.approx(25.75)
    assert load_of(packed(vehicle={"most_load_kg": 25.75})).left == ()


def test_a_small_vehicle_is_packed_tighter() -> None:
    """Bag 20 x 1.3 and long bag 40 x 1.3 = 78 l outside, sandbag 6 x 1.3 = 7.8 l: where there are
    80 l, all but the sandbag goes into the long bag, fragile things wrapped.
    """
    load = load_of(packed(vehicle={"volume_l": 80}))
    assert load.left == ()
    assert [each.case for each in load.cases] == ["long-1"]
    assert set(load.cases[0].wrapped) == {"cam-1", "cam-2", "recorder-1"}
    assert [each.case for each in load_of(packed(vehicle={"volume_l": 85.8})).cases] == [
        "bag-1",
        "long-1",
    ]
