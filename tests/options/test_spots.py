"""Spots: what can be done at a position in a pass, by whom, with what."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.options.needs import all_needs, binding_needs, units_serving
from kitplan.options.spots import Options, Spot, find_options
from kitplan.shoot.past import Past
from kitplan.shoot.venue import Subject
from tests.small import (
    LENS_M,
    accessory,
    body,
    cameras,
    optic,
    person,
    position,
    prime,
    run,
    show,
    singer,
    small_brief,
    small_kit,
    solve,
    support,
)

BOTH = (run(), show())


def options_of(kit: Any = None, **parts: Any) -> Options:
    """Return the options of a small shoot."""
    return find_options(small_brief(kit, **parts))


def test_there_is_a_spot_for_every_pass_and_open_position() -> None:
    """Two passes, three positions, one of which is closed in the show."""
    spots = (position("front"), position("left", open_in=("run",)), position("right"))
    options = options_of(passes=BOTH, positions=spots)
    assert [spot.key for spot in options.spots] == [
        ("run", "front"),
        ("run", "left"),
        ("run", "right"),
        ("show", "front"),
        ("show", "right"),
    ]
    assert [(key, refusal.rule) for key, refusal in options.closed] == [
        (("show", "left"), "closed")
    ]
    assert options.spots_by_key["show", "front"].each.id == "show"


def test_views_of_a_spot_are_those_of_its_position() -> None:
    """Numbered as in the whole list, and the same in both passes."""
    options = options_of(passes=BOTH)
    for spot in options.spots:
        assert spot.views == tuple(options.views[n] for n in spot.view_numbers)
        assert {view.position.id for view in spot.views} == {spot.position.id}


def _people(spot: Spot) -> list[str]:
    return [one.id for one in spot.people]


def test_people_stands_and_cameras_are_those_allowed_there() -> None:
    """Ann may be on stage; the tall stand is too tall; the heavy body is carried by none."""
    kit = small_kit(body("heavy", mass_kg=9), support("mast", height_min_m=3, height_max_m=9))
    crew = (person("ann", may_be_on_stage=True), person("ben"))
    spots = (position("front", is_on_stage=True), position("left"))
    on_stage, off_stage = options_of(kit, crew=crew, positions=spots).spots
    assert (_people(on_stage), _people(off_stage)) == (["ann"], ["ann", "ben"])
    assert [stand.key for stand in on_stage.stands] == ["legs"]
    assert [camera.key for camera in on_stage.cameras] == ["cam+HD"]
    assert {refusal.rule for refusal in on_stage.refusals} == {"on-stage", "height", "payload"}


def _closed(**parts: Any) -> dict[tuple[str, str], str]:
    options = options_of(**parts)
    return {key: refusal.rule for key, refusal in options.closed}


def test_where_nobody_may_build_nothing_stands() -> None:
    """Ben, who may be on stage, is there for the show alone; the one gap has only Ann."""
    crew = (person("ann"), person("ben", may_be_on_stage=True))
    wing = position("wing", is_on_stage=True)
    passes = (run(people=("ann",)), show())
    assert _closed(crew=crew, positions=(wing, position("front")), passes=passes) == {
        ("run", "wing"): "nobody-rigs",
        ("show", "wing"): "nobody-rigs",
    }
    assert _closed(crew=crew, positions=(wing,), passes=BOTH) == {}
    assert _closed(crew=(person("ann"),), positions=(position("left", only_people=()),)) == {
        ("show", "left"): "nobody-rigs"
    }


def test_what_is_over_asks_nobody_to_build() -> None:
    """The camera stood there: somebody who is gone since has put it up."""
    past = Past(passes=("run",))
    closed = _closed(positions=(position("wing", is_on_stage=True),), passes=BOTH, past=past)
    assert closed == {("show", "wing"): "nobody-rigs"}


@pytest.mark.parametrize(
    ("facts", "has_audience", "is_unreachable"),
    [
        ({}, True, False),
        ({"is_out_of_reach": True}, False, True),
        ({"is_shut_in_by_audience": True}, True, True),
        ({"is_shut_in_by_audience": True}, False, False),
    ],
)
def test_what_cannot_be_reached(
    facts: dict[str, Any], has_audience: bool, is_unreachable: bool
) -> None:
    """Out of reach always, shut in with an audience only."""
    spots = (position("front", **facts),)
    (spot,) = options_of(positions=spots, passes=(show(has_audience=has_audience),)).spots
    assert spot.is_unreachable == is_unreachable


def test_a_spot_without_any_camera_is_a_spot() -> None:
    """The rail has no clamp: nothing stands there, and the front is filmed as ever."""
    spots = (position("front"), position("rail", at_m=(2, -10), stands_on="rail"))
    plan = solve(small_brief(positions=spots))
    assert [placement.position for placement in cameras(plan)] == ["front"]


def test_a_kit_without_a_camera_gives_an_empty_plan() -> None:
    """Nothing to film with is an answer, not a crash."""
    assert solve(small_brief(small_kit(counts={"cam": 0}))).placements == ()


def test_a_subject_that_roams_up_to_the_lens_is_refused_not_crashed() -> None:
    """2 m away, roaming 2.5 m, with a prime of 135 mm: best focus would be inside the lens."""
    kit = small_kit(body(built_in=prime(135)))
    spots = (position("front", at_m=(0, 0)),)
    plan = solve(small_brief(kit, positions=spots, subjects=(singer(roam_m=2.5),)))
    assert plan.status == "solved"


def test_a_subject_nearer_than_the_focal_length_is_refused_not_crashed() -> None:
    """0.3 m away with a zoom to 400 mm."""
    kit = small_kit(body(built_in=optic(focal_max_mm=400)))
    spots = (position("front", at_m=(0, 1.7)),)
    assert cameras(solve(small_brief(kit, positions=spots))) == ()


def test_an_object_in_the_middle_of_the_lens_has_no_view() -> None:
    """Its only frame, 6 times its height on 10 % of foot room, has its middle in the lens."""
    box = Subject(id="box", kind="object", at_m=(0, -10), height_m=LENS_M / (0.4 * 6), closest="WS")
    options = options_of(subjects=(box,), positions=(position("front"),))
    assert options.views == ()
    assert cameras(solve(options.brief)) == ()


# -- needs -----------------------------------------------------------------------------------------


def test_plates_are_needed_for_every_system_of_the_kit() -> None:
    """Heads and supports name two systems; the other needs stand in the table once."""
    kit = small_kit(support(plate="slide"), support("tower", plate="dovetail"))
    brief = small_brief(kit)
    assert [need.plate for need in all_needs(brief) if need.serves == "plate"] == [
        "dovetail",
        "slide",
    ]


def test_needs_bind_where_they_always_do_or_the_kit_lists_them() -> None:
    """Bonds and plates always; sandbags as soon as there is one; caps never."""
    bare = small_brief(small_kit(support(plate="slide")))
    assert {need.serves for need in binding_needs(bare)} == {"bond", "plate"}
    kit = small_kit(support(plate="slide"), accessory("sandbag"), accessory("cap"))
    assert {need.serves for need in binding_needs(small_brief(kit))} == {
        "bond",
        "plate",
        "sandbag",
    }


def test_stock_is_what_serves_and_fits_that_day() -> None:
    """Three plates of the system, none of another."""
    kit = small_kit(support(plate="slide"), accessory("plate", "slide"), counts={"plate": 3})
    brief = small_brief(kit)
    (need,) = (need for need in binding_needs(brief) if need.serves == "plate")
    assert len(units_serving(brief, need, brief.shoot.passes[0])) == 3
