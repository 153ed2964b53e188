"""The proof of cover and the repairs that are found by trying."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.day.cover import cover_of, gaps_between
from kitplan.day.rolls import roll_plan
from kitplan.gear.kit import Kit
from kitplan.gear.records import Body
from kitplan.plan.day.rolls import Cover
from kitplan.plan.records import Day, Placement
from kitplan.plan.verify.day import day_findings
from kitplan.shoot.past import Past, Stood
from kitplan.shoot.records import Shoot
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
from tests.small import MODE, person, position, run, show, unit

SAFETY: dict[str, Any] = {"id": "safe", "subject": "stage", "sizes": ("WS",), "is_safety": True}
SHORT_GAP = songs_of((60, 5), (60, 0))
"""Nobody can do anything in it: a camera of 80 s stops at 70 s, in second 5 of the second song."""


def covered(shoot: Shoot, kit: Kit, *placements: Placement) -> Cover:
    """Return the cover of a day; the checker comes to the same holes."""
    plan = plan_of(shoot, kit, placements)
    rolls = roll_plan(plan)
    cover = cover_of(plan, rolls)
    whole = plan.model_copy(update={"day": Day(rolls=rolls, cover=cover)})
    assert list(day_findings(whole, scenes_of(whole))) == []
    return cover


def repair(body: Body, *, kit: dict[str, Any] | None = None, **facts: Any) -> str:
    """Return the repair of the hole that a locked-off camera leaves."""
    parts = {name: facts.pop(name) for name in ("positions", "crew", "songs") if name in facts}
    shoot = shoot_of(parts.pop("songs", SHORT_GAP), **parts)
    (hole, *_) = covered(shoot, kit_of(body, **(kit or {})), placed("A", "one", **facts)).uncovered
    return hole.repair


def test_what_no_span_covers() -> None:
    """Spans may overlap, touch and lie outside."""
    assert list(gaps_between([(-5, 3), (2, 4), (6, 9)], 0, 10)) == [(4, 6), (9, 10)]
    assert list(gaps_between([(0, 10)], 0, 10)) == []
    assert list(gaps_between([], 0, 10)) == [(0, 10)]


def test_one_camera_that_rolls_covers_all() -> None:
    """To the last second."""
    assert covered(shoot_of(SHORT_GAP), kit_of(cam("one")), placed("A", "one")).is_throughout


def test_another_camera_covers_while_one_stands_still() -> None:
    """Never both at once."""
    kit = kit_of(cam("one", 80), cam("two"))
    assert covered(shoot_of(SHORT_GAP), kit, placed("A", "one"), placed("B", "two")).is_throughout


def test_a_pass_that_locks_covers_the_show() -> None:
    """Its pictures can stand anywhere in the edit; those of one that gives inserts cannot."""
    for has_click, is_throughout in ((True, True), (False, False)):
        shoot = shoot_of(SHORT_GAP, passes=(run(has_click=has_click), show()))
        kit = kit_of(cam("one", 80), cam("two"))
        other = placed("B", "two", pass_id="small/run")
        assert covered(shoot, kit, placed("A", "one"), other).is_throughout == is_throughout


def test_the_safety_is_missed_although_another_rolls() -> None:
    """Each pass that needs it."""
    shoot = shoot_of(SHORT_GAP, passes=(show(needs_safety=True),), roles=(SAFETY,))
    kit = kit_of(cam("one", 80), cam("two"))
    cover = covered(shoot, kit, placed("A", "one", roles=("safe",)), placed("B", "two"))
    assert [(u.song, u.pass_id, u.start_s, u.end_s) for u in cover.uncovered] == [
        ("s2", "small/show", 5, 60)
    ]


def test_without_a_usable_shot_nothing_is_covered() -> None:
    """Grade 0, or an operator who performs."""
    crew = (person("ann", performs_in=("s1",)),)
    for facts, songs in (({"grade": 0}, ["s1", "s2"]), ({"operator": "ann"}, ["s1"])):
        cover = covered(
            shoot_of(SHORT_GAP, crew=crew), kit_of(cam("one")), placed("A", "one", **facts)
        )
        assert [(u.song, u.stands) for u in cover.uncovered] == [(song, ()) for song in songs]


def test_what_a_camera_missed_in_a_pass_that_is_over_is_not_covered() -> None:
    """And nothing mends it any more."""
    camera = placed("A", "one")
    stood = Stood(
        in_pass="show", position="front", letter="A", body="one-1", mode="HD", lens=None,
        adapter=None, head=None, support="legs-1", operator=None, subject="singer", size="MS",
        roles=(), menu=(), batteries=(), cards=(), accessories=(), missed=("s1",),
    )  # fmt: skip
    other = stood.model_copy(update={"body": "two-1", "letter": "B", "missed": ()})
    past = Past(passes=("show",), stood=(stood, other))
    (hole,) = covered(shoot_of(SHORT_GAP, past=past), kit_of(cam("one")), camera).uncovered
    assert (hole.song, hole.start_s, hole.end_s, hole.stands) == ("s1", 0, 60, ())
    assert hole.repair.startswith("no single change")


def test_another_card_mends_it() -> None:
    """Where a gap is long enough for it."""
    kit = {"cards": (card_of(80),)}
    words = repair(cam("one"), kit=kit, songs=songs_of((60, 30), (60, 0)), cards=("card-1",))
    assert words == "show: one more card for camera A (card-2)"


def test_another_battery_mends_it() -> None:
    """One that is owned."""
    words = repair(
        cam("one", battery_s=80),
        kit=worn((80, 80), 80),
        songs=songs_of((60, 30), (60, 0)),
        batteries=("cell-1",),
    )
    assert words == "show: one more battery for camera A (cell-2)"


def test_mains_mend_it() -> None:
    """Where the body can run on them and no battery is left."""
    words = repair(
        cam("one", battery_s=80, runs_on_mains=True),
        kit={"units": [unit("cell", 9)]},
        batteries=("cell-9",),
    )
    assert words.startswith("show: mains for camera A at front")


def test_a_mode_without_a_clip_limit_mends_it() -> None:
    """The picture stays as it is."""
    modes = ({**MODE, "bit_rate_mbps": 80, "clip_limit_min": 80 / 60}, {**MODE, "name": "HD long"})
    body = cam("one").model_validate({**dict(cam("one")), "modes": modes})
    assert repair(body) == "show: camera A records in mode HD long"


def test_another_body_on_the_safety_mends_it() -> None:
    """The two have the same mount and sensor."""
    shoot = shoot_of(SHORT_GAP, passes=(show(needs_safety=True),), roles=(SAFETY,))
    kit = kit_of(cam("one", 80, mount="E"), cam("two", mount="E"))
    cover = covered(shoot, kit, placed("A", "one", roles=("safe",)), placed("B", "two"))
    assert [u.repair for u in cover.uncovered] == ["show: cameras A and B swap bodies"]


def test_a_longer_pause_mends_it_by_as_little_as_helps() -> None:
    """10 s for the restart: 5 more than there are."""
    words = repair(cam("one", 80), operator=None)
    assert words == "show: a pause of 10 s instead of 5 s after s1"
    words = repair(cam("one", 80), operator=None, songs=songs_of((60, 2.5), (60, 0)))
    assert words == "show: a pause of 10.5 s instead of 2.5 s after s1"


def test_where_nothing_helps_it_says_so() -> None:
    """A song that is longer than the clip, and nobody with the camera."""
    words = repair(cam("one", 80), songs=songs_of((100, 0)))
    assert words.startswith("no single change")


def test_where_not_all_is_tried_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """A pass that is hard to plan is not planned again for every change there is."""
    monkeypatch.setattr("kitplan.day.cover.MOST_TRIALS", 0)
    assert repair(cam("one", 80)).startswith("none of the first changes")


def test_out_of_reach_no_pause_helps() -> None:
    """Nobody can touch it."""
    places = (position("front", is_out_of_reach=True),)
    assert repair(cam("one", 3700), positions=places).startswith("no single change")
