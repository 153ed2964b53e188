"""Something is lost: the reply is as good as it can be and moves least."""

from __future__ import annotations

import pytest

from kitplan.allocate.keep import as_before
from kitplan.allocate.model import build
from kitplan.allocate.solver import Limits
from kitplan.errors import SettingError
from kitplan.options.spots import find_options
from kitplan.plan.difference import difference
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.produce.before import placements_kept
from kitplan.whatif.losses import find_losses, plan_without
from tests.small import (
    MODE,
    SHOOT_ID,
    body,
    cameras,
    person,
    position,
    run,
    show,
    small_brief,
    small_kit,
    solve,
)

ONE = Limits(seconds=5, seed=1, workers=1)


@pytest.fixture(scope="module")
def before() -> Plan:
    """Two cameras in one pass, at two of three positions."""
    return solve(small_brief())


def test_nothing_lost_changes_nothing(before: Plan) -> None:
    """The reply to no loss is the plan itself."""
    reply = plan_without(before, (), ONE)
    assert reply.changes == ()
    assert reply.plan.placements == before.placements


def test_a_loss_named_twice_is_one(before: Plan) -> None:
    """By its id in two spellings."""
    assert len(find_losses(before, ["cam-1", "CAM-1", "ann"])) == 2


def test_a_body_less_takes_its_camera_and_no_other(before: Plan) -> None:
    """Of two cameras the one that is left stays as it stands, letter and all."""
    gone, stays = cameras(before)
    reply = plan_without(before, find_losses(before, [gone.rig.body]), ONE)
    assert verify(reply.plan) == ()
    assert [(change.what, change.position) for change in reply.changes] == [("gone", gone.position)]
    (left,) = cameras(reply.plan)
    assert (left.rig, left.letter, left.operator) == (stays.rig, stays.letter, stays.operator)


def test_a_position_less_moves_its_camera_alone(before: Plan) -> None:
    """Three positions, two cameras: the one that loses its place goes to the third."""
    gone, stays = cameras(before)
    reply = plan_without(before, find_losses(before, [gone.position]), ONE)
    assert verify(reply.plan) == ()
    assert {change.position for change in reply.changes if change.what == "gone"} == {gone.position}
    assert stays.rig in [each.rig for each in cameras(reply.plan)]
    assert len(cameras(reply.plan)) == 2


def test_a_person_less_leaves_what_the_other_does(before: Plan) -> None:
    """Without Ben, Ann stays where she is."""
    (ann,) = [each for each in cameras(before) if each.operator == "ann"]
    reply = plan_without(before, find_losses(before, ["ben"]), ONE)
    assert verify(reply.plan) == ()
    same = [each for each in cameras(reply.plan) if each.operator == "ann"]
    assert [each.position for each in same] == [ann.position]
    assert all(each.operator != "ben" for each in cameras(reply.plan))


def test_of_equal_plans_the_one_that_keeps_most_is_taken() -> None:
    """Any two of four like positions give as many points; the two that stand already stay."""
    around = [("a", (0, -10)), ("b", (8, -6)), ("c", (-8, -6)), ("d", (6, 8))]
    places = tuple(position(name, at_m=at) for name, at in around)
    crew = (person("ann"), person("ben"), person("cy"))
    before = solve(small_brief(positions=places, crew=crew))
    reply = plan_without(before, find_losses(before, ["cy"]), ONE)
    assert not [change for change in reply.changes if change.is_rigging]


def test_without_a_pass_the_others_stay() -> None:
    """A run and a show: without the run the show is as it was."""
    before = solve(small_brief(passes=(run(), show())))
    reply = plan_without(before, find_losses(before, ["run"]), ONE)
    assert verify(reply.plan) == ()
    old = {each.position for each in cameras(before)}
    assert {each.position for each in cameras(reply.plan)} <= old
    assert {change.pass_id for change in reply.changes if change.what == "gone"} <= {
        f"{SHOOT_ID}/run"
    }


def test_names_are_found_by_id_and_by_name(before: Plan) -> None:
    """Ids first; a name that stands for several things asks which."""
    assert [
        loss.kind for loss in find_losses(before, ["cam-1", "cam", "front", "show", "ann"])
    ] == [
        "unit",
        "item",
        "position",
        "pass",
        "person",
    ]
    with pytest.raises(SettingError, match=r"there is no 'frnt' in the plan. Did you mean 'front'"):
        find_losses(before, ["frnt"])


def test_the_only_pass_cannot_be_lost(before: Plan) -> None:
    """There would be nothing left to plan."""
    with pytest.raises(SettingError, match="it is the only pass"):
        plan_without(before, find_losses(before, ["show"]), ONE)


def test_a_plan_differs_in_nothing_from_itself(before: Plan) -> None:
    """No change, whatever it holds."""
    assert difference(before, before) == ()


def test_a_plan_is_an_answer_to_begin_with_whatever_modes_its_bodies_have() -> None:
    """Two modes of the same body are two cameras; the plan before stands as it is, mode and all."""
    modes = (MODE, {**MODE, "name": "UHD", "frame_width_px": 3840, "frame_height_px": 2160})
    brief = small_brief(small_kit(body(modes=modes)))
    plan = solve(brief)
    allocation = build(find_options(brief))
    kept = placements_kept(plan, SHOOT_ID)
    start = as_before(allocation.variables, allocation.model, kept, ONE)
    assert start is not None
    used = sum(start.value(slot.is_used) for slot in allocation.variables.slots)
    assert used == len(plan.placements) == 2
