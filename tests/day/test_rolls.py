"""The roll plan on days worked out by hand. Rules are round: see `small`."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.day.rolls import days_of, roll_plan
from kitplan.gear.records import Body
from kitplan.plan.day.rolls import RollPlan, Touch
from kitplan.plan.records import Day, Placement
from kitplan.plan.verify.day import day_findings
from tests.day.small import (
    cam,
    card_of,
    kit_of,
    placed,
    plan_of,
    scenes_of,
    shoot_of,
    songs_of,
    worn,
)
from tests.small import at, person, position, run, show

SAFETY: dict[str, Any] = {"id": "safe", "subject": "stage", "sizes": ("WS",), "is_safety": True}
OUTER = {"roll", "stop"}


def rolled(
    songs: tuple[Any, ...],
    bodies: tuple[Body, ...],
    placements: tuple[Placement, ...],
    kit: dict[str, Any] | None = None,
    **parts: Any,
) -> RollPlan:
    """Return the roll plan of a day: proven, and held to be right by the checker."""
    plan = plan_of(shoot_of(songs, **parts), kit_of(*bodies, **(kit or {})), placements)
    rolls = roll_plan(plan)
    assert rolls.is_proven
    whole = plan.model_copy(update={"day": Day(rolls=rolls)})
    assert list(day_findings(whole, scenes_of(whole))) == []
    return rolls


def inner(rolls: RollPlan) -> list[Touch]:
    """Return the touches between the first start and the last stop."""
    return [touch for touch in rolls.touches if not OUTER & set(touch.does)]


def spans(rolls: RollPlan) -> list[tuple[str, float, float]]:
    """Return cameras with the times at which they are touched."""
    return [(touch.letter, touch.start_s, touch.end_s) for touch in inner(rolls)]


TWO = songs_of((60, 20), (60, 0))
ANN = (placed("A", "one", operator="ann"),)


def test_a_clip_limit_is_met_by_a_restart_in_the_gap() -> None:
    """80 s from -10 s end at 70 s, in the gap from 60 to 80 s."""
    rolls = rolled(TWO, (cam("one", 80),), ANN)
    assert spans(rolls) == [("A", 60, 70)]
    assert inner(rolls)[0].person == "ann"
    assert [(c.start_s, c.end_s, c.ends_by) for c in rolls.rolls[0].clips] == [
        (-10, 60, "hand"),
        (70, 150, "hand"),
    ]
    assert rolls.blind == ()


def test_a_body_that_splits_goes_on() -> None:
    """Nobody need touch it."""
    rolls = rolled(TWO, (cam("one", 80, at_limit="splits"),), ANN)
    assert inner(rolls) == []
    assert len(rolls.rolls[0].clips) == 1


def test_mains_need_no_battery() -> None:
    """Where position and body have it."""
    rolls = rolled(
        TWO,
        (cam("one", battery_s=80, runs_on_mains=True),),
        (placed("A", "one", operator="ann", batteries=()),),
        positions=(position("front", has_mains=True),),
    )
    assert inner(rolls) == []
    assert rolls.rolls[0].clips[0].battery is None


@pytest.mark.parametrize("order", [("cell-1", "cell-2"), ("cell-2", "cell-1")])
def test_the_longest_battery_first_where_that_saves_a_touch(order: tuple[str, ...]) -> None:
    """One of 200 s lasts throughout, one of 60 s would not."""
    rolls = rolled(
        songs_of((60, 40), (60, 0)),
        (cam("one", battery_s=200),),
        (placed("A", "one", operator="ann", batteries=order),),
        kit=worn((60, 200), 200),
    )
    assert inner(rolls) == []
    assert rolls.rolls[0].clips[0].battery == "cell-2"


def test_the_shorter_battery_first_where_only_that_lasts() -> None:
    """80 s reach the gap at 60 s, 120 s do not reach the one at 160 s; and from 90 s on 120 s last
    to the end at 200 s, 80 s do not.
    """
    rolls = rolled(
        songs_of((60, 40), (100, 0)),
        (cam("one", battery_s=120),),
        (placed("A", "one", operator="ann", batteries=("cell-1", "cell-2")),),
        kit=worn((120, 80), 120),
    )
    assert [c.battery for c in rolls.rolls[0].clips] == ["cell-2", "cell-1"]
    assert rolls.blind == ()


def test_never_two_at_once() -> None:
    """Two cameras share a gap of 20 s, one after the other."""
    placements = (placed("A", "one", operator="ann"), placed("B", "two", operator="ben"))
    rolls = rolled(TWO, (cam("one", 80), cam("two", 80)), placements)
    assert sorted(touch.start_s for touch in inner(rolls)) == [60, 70]


def test_two_at_once_where_the_rule_allows_it() -> None:
    """A gap of 10 s is enough for both then."""
    placements = (placed("A", "one", operator="ann"), placed("B", "two", operator="ben"))
    bodies = (cam("one", 80), cam("two", 80))
    songs = songs_of((60, 10), (60, 0))
    assert rolled(songs, bodies, placements).blind != ()
    both = rolled(songs, bodies, placements, rules={"stopped_at_once": 2})
    assert both.blind == ()
    assert spans(both) == [("A", 60, 70), ("B", 60, 70)]


def test_where_one_must_stop_in_a_song_it_is_not_the_safety() -> None:
    """The gap of 10 s is for one of them."""
    placements = (
        placed("A", "one", operator="ann", roles=("safe",)),
        placed("B", "two", operator="ben"),
    )
    rolls = rolled(
        songs_of((60, 10), (60, 0)),
        (cam("one", 80), cam("two", 80)),
        placements,
        roles=(SAFETY,),
        passes=(show(needs_safety=True),),
    )
    assert {each.letter for each in rolls.blind} == {"B"}
    assert rolls.reached[0].value[:3] == (0, 0, 10 * 3)


def test_a_long_song_is_cut_by_the_operators_hand_outside_the_moment() -> None:
    """80 s from -10 s are over at 70 s; the solo is from 40 to 70 s, so 30 s is as late as can be
    outside it, and any time from there back to 20 s leaves enough for the rest.
    """
    solo = {"name": "Solo", "subject": "singer", "at_s": 40, "length_s": 30}
    rolls = rolled(songs_of((100, 0), moments=(solo,)), (cam("one", 80),), ANN)
    (touch,) = inner(rolls)
    assert 10 <= touch.start_s <= 30
    assert [(b.start_s, b.end_s, b.cause) for b in rolls.blind] == [
        (touch.start_s, touch.end_s, "hand")
    ]


def test_locked_off_it_stays_blind_until_the_next_gap() -> None:
    """A neighbour stays at the own camera while a song runs."""
    placements = (placed("A", "one"), placed("B", "two", operator="ben"))
    rolls = rolled(songs_of((100, 20), (60, 0)), (cam("one", 80), cam("two")), placements)
    assert [(b.letter, b.start_s, b.end_s, b.cause) for b in rolls.blind] == [
        ("A", 70, 100, "clip-limit")
    ]
    assert spans(rolls) == [("A", 100, 110)]


def test_a_neighbour_walks_there_and_back_in_the_gap() -> None:
    """10 m away: 10 s there, 10 s of work, 10 s back."""
    places = (position("front", at_m=(0, -10)), position("left", at_m=(-10, -10)))
    placements = (placed("A", "one"), placed("B", "two", "left", operator="ben"))
    bodies = (cam("one", 80), cam("two"))
    crew = (person("ben"),)
    near = rolled(songs_of((60, 30), (60, 0)), bodies, placements, positions=places, crew=crew)
    assert spans(near) == [("A", 70, 80)]
    assert inner(near)[0].walk_s == 10
    far = rolled(songs_of((60, 20), (60, 0)), bodies, placements, positions=places, crew=crew)
    assert {each.letter for each in far.blind} == {"A"}


def test_a_floater_walks_while_the_song_runs() -> None:
    """Somebody who operates nothing stands beside the camera when the gap begins."""
    placements = (placed("A", "one"), placed("B", "two", "left", operator="ben"))
    rolls = rolled(TWO, (cam("one", 80), cam("two")), placements)
    assert [(t.person, t.walk_s, t.start_s) for t in inner(rolls)] == [("ann", 0, 60)]


@pytest.mark.parametrize(("gap_s", "is_lost"), [(40, True), (60, False)])
def test_who_performs_has_no_hand_free_in_a_short_gap(gap_s: float, is_lost: bool) -> None:
    """Ann sings in the first song; from a pause of 60 s on she is back at her camera."""
    rolls = rolled(
        songs_of((60, gap_s), (60, 0)),
        (cam("one", 80),),
        ANN,
        crew=(person("ann", performs_in=("s1",)),),
    )
    assert bool(rolls.blind) == is_lost


def test_nobody_reaches_what_is_shut_in_or_overhead() -> None:
    """Untouched from before the doors an hour earlier: 3600 s and 10 s."""
    for facts in ({"is_out_of_reach": True}, {"is_shut_in_by_audience": True}):
        rolls = rolled(
            TWO,
            (cam("one", 3700),),
            (placed("A", "one"),),
            positions=(position("front", **facts),),
        )
        assert rolls.rolls[0].clips[0].start_s == -3610
        assert inner(rolls) == []
        assert {(b.song, b.start_s, b.end_s) for b in rolls.blind} == {("s2", 90, 140)}


def test_an_operator_shut_in_with_the_camera_can_touch_it() -> None:
    """From shortly before the downbeat on."""
    rolls = rolled(
        TWO, (cam("one", 80),), ANN, positions=(position("front", is_shut_in_by_audience=True),)
    )
    assert spans(rolls) == [("A", 60, 70)]


def test_with_the_audience_in_nobody_walks_on_stage() -> None:
    """In a closed run those who may be there do."""
    places = (position("front", is_on_stage=True),)
    placements = (placed("A", "one"),)
    crew = (person("ann", may_be_on_stage=True),)
    bodies = (cam("one", 80),)
    assert rolled(TWO, bodies, placements, positions=places, crew=crew).blind != ()
    closed = (show(has_audience=False, doors=None),)
    free = rolled(TWO, bodies, placements, positions=places, crew=crew, passes=closed)
    assert free.blind == ()


def test_battery_and_card_share_one_stop() -> None:
    """30 s and 20 s less the restart that both have: 40 s."""
    rolls = rolled(
        songs_of((60, 50), (60, 0)),
        (cam("one", battery_s=80),),
        (
            placed(
                "A", "one", operator="ann", batteries=("cell-1", "cell-2"),
                cards=("card-1", "card-2"),
            ),
        ),
        kit={**worn((80, 80), 80), "cards": (card_of(80),)},
    )  # fmt: skip
    (touch,) = inner(rolls)
    assert set(touch.does) == {"battery", "card"}
    assert touch.end_s - touch.start_s == 40


def test_a_blocked_door_takes_the_plate_off() -> None:
    """40 s do not fit into a gap of 30 s."""
    placements = (placed("A", "one", operator="ann", batteries=("cell-1", "cell-2")),)
    songs, cells = songs_of((60, 30), (60, 0)), worn((80, 80), 80)
    free = rolled(songs, (cam("one", battery_s=80),), placements, kit=cells)
    assert free.blind == ()
    shut = (cam("one", battery_s=80, is_door_blocked=True),)
    assert rolled(songs, shut, placements, kit=cells).blind != ()


def test_a_hot_body_stands_still_for_as_long_as_it_cools() -> None:
    """40 s in a gap of 50 s."""
    hot = cam("one", heat_limit_min=80 / 60)
    rolls = rolled(songs_of((60, 50), (60, 0)), (hot,), ANN)
    assert [(t.does, t.end_s - t.start_s) for t in inner(rolls)] == [(("cool",), 40)]
    assert rolls.blind == ()


def test_a_reserve_is_worth_one_more_touch() -> None:
    """Restarted once, in either gap, 5 s are left somewhere; twice, more than the rule asks for."""
    songs = songs_of((60, 30), (30, 30), (60, 0))
    bodies = (cam("one", 135),)
    once = rolled(songs, bodies, ANN, rules={"reserve_s": 0})
    twice = rolled(songs, bodies, ANN, rules={"reserve_s": 20})
    assert len(inner(once)) == 1
    assert once.reached[0].value[6] < 20
    assert len(inner(twice)) == 2
    assert twice.reached[0].value[3] == 0


def test_songs_run_from_the_start_of_a_pass_with_an_end() -> None:
    """Cameras stop soon after the last song, long before the end."""
    passes = (show(end=at(22)),)
    rolls = rolled(TWO, (cam("one", 80),), ANN, passes=passes)
    assert rolls.rolls[0].clips[-1].end_s == 150


def test_every_pass_has_its_rolls() -> None:
    """Cameras of one pass are none of another's business."""
    placements = (*ANN, placed("B", "two", pass_id="small/run"))
    shoot = shoot_of(TWO, passes=(run(), show()))
    plan = plan_of(shoot, kit_of(cam("one", 80), cam("two", 80)), placements)
    rolls = roll_plan(plan)
    assert [(r.pass_id, r.letter) for r in rolls.rolls] == [("small/run", "B"), ("small/show", "A")]
    assert [each.pass_id for each in rolls.reached] == ["small/run", "small/show"]


def test_a_shot_of_no_use_need_not_roll() -> None:
    """Nobody restarts a camera of grade 0."""
    rolls = rolled(TWO, (cam("one", 80),), (placed("A", "one", operator="ann", grade=0),))
    assert inner(rolls) == []


def test_same_input_same_answer() -> None:
    """Whatever the load: steps, not seconds."""
    placements = (placed("A", "one", operator="ann"), placed("B", "two", operator="ben"))
    plan = plan_of(shoot_of(TWO), kit_of(cam("one", 80), cam("two", 80)), placements)
    assert roll_plan(plan) == roll_plan(plan)


def test_no_cameras_no_rolls() -> None:
    """A pass may have none."""
    rolls = roll_plan(plan_of(shoot_of(TWO), kit_of(cam("one")), ()))
    assert rolls.rolls == ()
    assert rolls.is_proven


def test_lengths_of_songs_round_to_the_safe_side() -> None:
    """60.4 s of song and 19.8 s of gap leave 19 whole seconds."""
    plan = plan_of(shoot_of(songs_of((60.4, 19.8), (60, 0))), kit_of(cam("one")), ANN)
    (day,) = days_of(plan)
    assert [(s.start_s, s.end_s, s.gap_s) for s in day.songs] == [(0, 61, 19), (80, 141, 0)]
