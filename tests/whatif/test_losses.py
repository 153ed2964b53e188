"""Something is lost: the reply is as good as it can be and moves least."""

from __future__ import annotations

import pytest

from kitplan.allocate.keep import slots_as_before
from kitplan.allocate.model import build
from kitplan.allocate.solver import Limits
from kitplan.errors import SettingError
from kitplan.options.spots import find_options
from kitplan.plan.difference import difference
from kitplan.plan.records import Plan
from kitplan.plan.verify import verify
from kitplan.produce.before import placements_kept
from kitplan.produce.solve import plan_shoot
from kitplan.whatif.losses import brief_without, find_losses, plan_without, usual_limits
from tests.plans import brief_of
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
from tests.stored import stored_plan

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
    assert len(slots_as_before(allocation.variables.slots, kept)) == len(plan.placements) == 2


# -- time between two passes -----------------------------------------------------------------------


@pytest.fixture(scope="module")
def two_passes() -> Plan:
    """The closed run from 16:00 to 16:20, doors of the show at 19:00: a gap of 160 minutes."""
    return solve(small_brief(passes=(run(), show())))


@pytest.mark.parametrize("name", ["60min:run", " 60 min : RUN", "60.0min:run", "60,0 Min:run"])
def test_minutes_of_a_gap_are_a_thing_to_lose(two_passes: Plan, name: str) -> None:
    """In one form, spaces, case and commas forgiven."""
    (loss,) = find_losses(two_passes, [name])
    assert (loss.kind, loss.id, loss.minutes) == ("gap", "run", 60.0)
    assert loss.label == "60 min of the gap after run"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("60 min after run", r"names nothing in the plan. Write minutes .* as 60min:PASS"),
        ("1h:run", "Write minutes"),
        ("60:run", "Write minutes"),
        ("run:60min", "Write minutes"),
        ("60min", "Write minutes"),
        ("60min:rum", r"there is no pass 'rum'. Did you mean 'run'"),
        ("60min:show", r"no pass follows 'show'. Name the pass before it: run"),
        ("0min:run", r"has 160 min to lose. Give more than 0 and at most 160 min"),
        ("161min:run", "at most 160 min"),
    ],
)
def test_a_gap_that_cannot_be_meant_is_a_clear_error(
    two_passes: Plan, name: str, words: str
) -> None:
    """Whatever is near to the form."""
    with pytest.raises(SettingError, match=words):
        find_losses(two_passes, [name])


def test_a_gap_is_lost_at_most_once(two_passes: Plan) -> None:
    """Two halves of it and more are too much; the pass before it may be lost as well."""
    with pytest.raises(SettingError, match="the gap after 'run' has 60 min to lose"):
        plan_without(two_passes, find_losses(two_passes, ["100min:run", "90min:run"]), ONE)
    reply = plan_without(two_passes, find_losses(two_passes, ["run", "9min:run", "run"]), ONE)
    assert verify(reply.plan) == ()


def test_all_of_the_gap_can_be_lost(two_passes: Plan) -> None:
    """Then nothing can be struck or built: every rig that was to move stays where it is, or goes
    to no use in one of the passes.
    """
    reply = plan_without(two_passes, find_losses(two_passes, ["160min:run"]), ONE)
    assert verify(reply.plan) == ()
    assert [reset.available_min for reset in reply.plan.resets] == [0]
    assert [reset.work_min for reset in reply.plan.resets] == [0]


# -- how good a reply is ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "seconds"), [("school-dance", 0.3), ("depot-brass", 6.0), ("harbour-festival", 2.0)]
)
def test_a_reply_is_looked_for_by_the_size_of_the_shoot(name: str, seconds: float) -> None:
    """15, 25 and 74 places for a camera. The festival is meant to take ten seconds."""
    assert usual_limits(stored_plan(name)).seconds == seconds


@pytest.mark.long
@pytest.mark.parametrize("name", ["compact-1", "wilf", "aisle-left", "first-show", "60min:dress"])
def test_a_reply_of_the_usual_time_is_as_good_as_a_full_solve(name: str) -> None:
    """On the school's dance evening, in musts, wants, thinnest song and viewpoints."""
    plan = stored_plan("school-dance")
    lost = find_losses(plan, [name])
    reply = plan_without(plan, lost, Limits(seconds=2, seed=1, workers=1)).plan
    brief = brief_without(brief_of("school-dance"), lost)
    full = plan_shoot(brief, shoot_id="school-dance", limits=Limits(seconds=60)).goals[:4]
    assert [goal.value for goal in reply.goals[:4]] == [goal.value for goal in full]
