"""Risk sheet: only hazards that apply, each with what it is about; it approves nothing."""

from __future__ import annotations

import pytest

from kitplan.paper.hazards import hazards
from kitplan.paper.names import Names
from kitplan.paper.pack.blocks import Caution
from kitplan.plan.records import Plan
from kitplan.shoot.venue import Lamp
from tests.paper.pack.made import (
    DANCE,
    DEPOT,
    HARBOUR,
    sheets_of,
    source_of,
    stored_sheets,
    words_of,
)
from tests.plans import small_plan
from tests.stored import stored_plan


def found(plan: Plan) -> dict[str, str]:
    """Return where each hazard comes up, by its name."""
    return {each.name: "\n".join(each.where) for each in hazards(Names(plan))}


def test_overhead_names_camera_permission_and_who_may_rig() -> None:
    """Each of them as the plan has it."""
    plan = stored_plan(DEPOT)
    here = found(plan)["Overhead rigging"]
    assert "Overhead bar above the band: camera E in Closed run" in here
    assert "permission given by Hedda Quill, venue technician" in here
    riggers = [p.label for p in plan.shoots[DEPOT].crew if "rigging" in p.skills]
    assert all(name in here for name in riggers)


@pytest.mark.parametrize(
    ("name", "there", "absent"),
    [
        (DANCE, {"Mains", "Children"}, {"Overhead rigging", "Arm", "Outdoors", "Standing crowd"}),
        (DEPOT, {"Arm", "Overhead rigging", "Noise"}, {"Outdoors", "Children", "Lasers"}),
        (HARBOUR, {"Outdoors", "High places", "Standing crowd"}, {"Children", "Lasers"}),
    ],
)
def test_only_what_applies_is_on_it(name: str, there: set[str], absent: set[str]) -> None:
    """A school hall has no arm, a depot no weather."""
    names = set(found(stored_plan(name)))
    assert there <= names
    assert not absent & names


def test_heavy_cases_and_things_are_those_of_the_packing() -> None:
    """With their masses as packed."""
    plan = stored_plan(HARBOUR)
    here = found(plan)["Lifting and carrying"]
    assert plan.day is not None
    assert plan.day.cases is not None
    for load in plan.day.cases.loads:
        for case in load.cases:
            words = f"case {case.case}: {case.gross_kg:.1f} kg"
            assert (words in here) == (case.hands > 1)
    assert "four-metre jib (camera K): 38 kg" in here


def test_a_listed_laser_is_a_hazard() -> None:
    """Otherwise it is among the questions to the venue."""
    plan = stored_plan(DANCE)
    shoot = plan.shoots[DANCE]
    laser = Lamp(id="laser-1", at_m=(0, 3), height_m=4, kind="laser")
    venue = shoot.venue.model_copy(update={"lamps": (*shoot.venue.lamps, laser)})
    changed = {DANCE: shoot.model_copy(update={"venue": venue})}
    assert found(plan.model_copy(update={"shoots": changed}))["Lasers"] == "listed: laser-1"
    assert "Lasers, mirrors and where they sweep" in words_of(stored_sheets(DANCE, "risk"))


def test_many_places_are_told_by_pass() -> None:
    """So that a row stays short; few are told by name."""
    here = found(stored_plan(HARBOUR))
    assert here["Standing crowd"].splitlines()[0].startswith("First evening: cameras ")
    assert "Desk tower above house left" in here["High places"]


@pytest.mark.parametrize("name", [DANCE, DEPOT, HARBOUR])
def test_it_approves_nothing_and_leaves_room_for_a_name(name: str) -> None:
    """The venue, local codes and licensed people decide; every row is to be signed."""
    (sheet,) = stored_sheets(name, "risk")
    first = sheet.blocks[0]
    assert isinstance(first, Caution)
    assert first.title == "This sheet approves nothing"
    text = words_of((sheet,))
    assert "who sees to it, signature" in text
    assert "Seen by the venue" in text
    plan = stored_plan(name)
    names = Names(plan)
    for placement in plan.placements:
        position = names.position(placement)
        if position.permission is not None:
            assert f"{position.label} {position.permission.state}" in text


def test_a_plan_without_cameras_has_no_hazards() -> None:
    """And no sheet; a tiny one with a day left out has."""
    plan = small_plan()
    assert sheets_of(source_of(plan.model_copy(update={"placements": ()})), "risk") == ()
    assert sheets_of(source_of(plan), "risk")


def test_a_long_day_is_counted_from_the_load_in() -> None:
    """From 11:00 to the end of the show at 20:29: nine hours, then the get-out."""
    assert found(stored_plan(DEPOT))["Long day"] == "Closed run and Show: 9 hours and the get-out"
    assert "Long day" not in found(small_plan())
