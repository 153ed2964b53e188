"""A changed set list: no rig moves, all that follows is worked out anew, and what fails is said."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest

from kitplan.allocate.solver import Limits
from kitplan.errors import BadInput
from kitplan.plan.records import Plan
from kitplan.plan.verify import Scene, verify
from kitplan.plan.verify.counting import best_counting
from kitplan.plan.verify.resolve import resolve
from kitplan.produce.day import with_day
from kitplan.shoot.past import Past
from kitplan.shoot.records import Moment
from kitplan.whatif.got import read_past
from kitplan.whatif.losses import plan_without
from kitplan.whatif.setlist import Listed
from kitplan.whatif.songs import NewSongs, plan_songs
from tests.plan.small import changed
from tests.small import (
    WIDE,
    at,
    body,
    cameras,
    optic,
    person,
    position,
    reached,
    role,
    run,
    show,
    small_brief,
    small_kit,
    solve,
    song,
)

FILE = Path("order.txt")
SOLO = Moment(name="Solo", subject="singer", at_s=60, length_s=30, priority="must")


@cache
def before() -> Plan:
    """Return a closed run and a show with two cameras each, three songs, and shot sheets."""
    kit = small_kit(body(built_in=optic(**WIDE)))
    songs = (song("first", moments=(SOLO,)), song("second"), song("third"))
    return with_day(solve(small_brief(kit, songs=songs, passes=(run(), show()))))


def listed(plan: Plan, *names: str, **times: Any) -> tuple[Listed, ...]:
    """Return songs in an order; all with other lengths or gaps where they are given."""
    (shoot,) = plan.shoots.values()
    return tuple(Listed(shoot.songs_by_id[name], **times) for name in names)


def after(plan: Plan, *names: str, **times: Any) -> NewSongs:
    """Return what becomes of a plan, which holds."""
    new = plan_songs(plan, listed(plan, *names, **times), FILE)
    assert [str(finding) for finding in verify(new.plan)] == []
    assert new.plan.day is not None
    return new


def test_the_same_songs_change_nothing() -> None:
    """Placements, units and goals as before; only the proof is gone."""
    new = after(before(), "first", "second", "third")
    assert new.plan.placements == before().placements
    assert new.plan.day == before().day
    for goal in before().goals:
        assert reached(new.plan, goal.goal) == goal.value
    assert (new.gone, new.unmet, new.unheld, new.holds, new.dropped) == ((), (), (), (), ())


@pytest.mark.parametrize("names", [("third", "first", "second"), ("third", "first"), ("second",)])
def test_other_orders(names: tuple[str, ...]) -> None:
    """Every rig stays; rows of the sheets follow; what counts is the best that these rigs give."""
    new = after(before(), *names)
    (shoot,) = new.plan.shoots.values()
    assert tuple(each.id for each in shoot.songs) == names
    assert {each.id for each in new.dropped} == {"first", "second", "third"} - set(names)
    assert [p.units for p in new.plan.placements] == [p.units for p in before().placements]
    assert new.plan.day is not None
    assert new.plan.day.shots is not None
    assert all(tuple(r.song for r in s.songs) == names for s in new.plan.day.shots.sheets)
    scene = Scene(shoot, new.plan.kit)
    best = best_counting(scene, [p.setup for p in resolve(new.plan, "small", scene, [])])
    values = reached(new.plan, "thinnest"), reached(new.plan, "viewpoints") * 300
    assert values == (best.thinnest, best.viewpoints)


def test_a_dropped_song_takes_its_moment_along() -> None:
    """It is asked for no more, so nothing is missed."""
    new = after(before(), "second", "third")
    assert [demand.kind for demand in new.plan.demands] == []
    assert (new.unmet, new.plan.status) == ((), "solved")


def test_a_moment_behind_the_new_end_goes() -> None:
    """The first song lasts 50 s, its solo began at 60."""
    new = after(before(), "first", length_s=50)
    assert [(each.id, moment.name) for each, moment in new.moments_lost] == [("first", "Solo")]


def test_who_performs_in_all_that_is_left_films_nothing() -> None:
    """Ann is on stage in the second song: with that one alone nobody is at her camera."""
    crew = (person("ann", performs_in=("second",)), person("ben", is_operator=False))
    plan = solve(small_brief(crew=crew, roles=(role(manner="operated"),)))
    assert {each.operator for each in cameras(plan)} >= {"ann"}
    new = after(plan, "second")
    ((gone,), (unmet,)) = new.gone, new.unmet
    assert gone.placement.operator == "ann"
    assert "performs in every song" in gone.reason
    assert unmet.startswith("MUST: role 'close'")
    assert new.plan.status == "musts-missed"
    assert after(plan, "first").gone == ()


def test_a_rig_that_does_not_last() -> None:
    """Out of reach, 280 minutes of battery: enough for 20 minutes x 1.15 + 10, not for 300."""
    places = (position("rail", is_out_of_reach=True),)
    plan = solve(small_brief(positions=places))
    assert len(cameras(plan)) == 1
    assert after(plan, "first", "second", length_s=6000).gone == ()
    (gone,) = after(plan, "first", "second", length_s=9000).gone
    assert "280" in gone.reason or "battery" in gone.reason


def test_a_pass_lasts_as_long_as_its_songs() -> None:
    """A given end is moved; a shorter list leaves it."""
    plan = solve(small_brief(passes=(show(end=at(20, 30)),)))
    new = after(plan, "first", "second", length_s=1200)
    ((late, minutes),) = new.later_ends
    assert (late.id, minutes) == ("show", 11)  # 20 + 1 + 20 minutes
    assert after(plan, "first").later_ends == ()


def test_songs_that_last_into_the_next_pass_are_refused() -> None:
    """The closed run begins at 16:00, the doors open at 19:00."""
    with pytest.raises(BadInput, match="doors"):
        after(before(), "first", "second", "third", length_s=4000)


def test_a_pass_that_would_run_nothing_is_refused() -> None:
    """The closed run left out the second song."""
    passes = (run(songs={"second": "not-run"}), show())
    plan = solve(small_brief(passes=passes))
    with pytest.raises(BadInput, match="runs no song"):
        after(plan, "second")
    assert [each.songs for each in after(plan, "first").plan.shoots["small"].passes] == [{}, {}]


def test_after_a_pass_it_stays_as_it_was(tmp_path: Path) -> None:
    """What stood, how long it lasted and what was held is not touched."""
    (tmp_path / "got.yaml").write_text("- {pass: run, camera: A, song: second, result: spoiled}")
    past = read_past(tmp_path / "got.yaml", before())
    plan = with_day(plan_without(before(), (), Limits(seconds=5, workers=1), past=past).plan)
    assert [str(finding) for finding in verify(plan)] == []
    new = after(plan, "third", "first", length_s=100)
    old, shoot = plan.shoots["small"], new.plan.shoots["small"]
    assert shoot.length_min(shoot.passes[0]) == old.length_min(old.passes[0])
    assert shoot.length_min(shoot.passes[1]) < old.length_min(old.passes[1])
    assert cameras(new.plan, "run") == tuple(
        changed(p, is_counted=q.is_counted, roles=q.roles)
        for p, q in zip(cameras(plan, "run"), cameras(new.plan, "run"), strict=True)
    )
    assert {row.song for stood in shoot.past.stood for row in stood.held} <= {"first", "third"}


def test_what_was_held_is_noted_once(tmp_path: Path) -> None:
    """When a pass is over its sheets become what was held, and stay so."""
    (tmp_path / "got.yaml").write_text("- {pass: run, result: got}")
    past = read_past(tmp_path / "got.yaml", before())
    assert all(len(stood.held) >= 3 for stood in past.stood)
    plan = with_day(plan_without(before(), (), Limits(seconds=5, workers=1), past=past).plan)
    bare = plan.model_copy(update={"day": None})
    again = read_past(tmp_path / "got.yaml", bare)
    assert again == past
    assert isinstance(again, Past)
