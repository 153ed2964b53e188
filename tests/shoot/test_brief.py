"""The brief: what a pass is worth, who is on hand, roles, light, recording modes, the shutter."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from kitplan.gear.kit import Kit
from kitplan.gear.records import Body
from kitplan.shoot.brief import Brief
from kitplan.shoot.records import Pass, Shoot
from tests.shoot.small import SHOOT, changed, read


@pytest.fixture
def brief(tmp_path: Path) -> Brief:
    """The small evening: a closed pass that stops song two, and the show."""
    return read(tmp_path)


def with_pass(brief: Brief, pass_id: str, **facts: Any) -> tuple[Brief, Pass]:
    """Return the brief with a pass changed, and the pass."""
    each = brief.shoot.passes_by_id[pass_id].model_copy(update=facts)
    passes = tuple(each if old.id == pass_id else old for old in brief.shoot.passes)
    facts = {name: getattr(brief.shoot, name) for name in Shoot.model_fields}
    return Brief(Shoot.model_validate({**facts, "passes": passes}), brief.kit), each


# -- what a pass is worth ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "worth"),
    [
        ({}, "inserts"),
        ({"has_click": True}, "locks"),
        ({"has_click": True, "is_in_costume": False}, "inserts"),
        ({"has_click": True, "is_in_show_light": False}, "inserts"),
        ({"has_click": True, "songs": {"one": "stopped"}}, "inserts"),
        ({"has_click": True, "songs": {"one": "not-run"}}, "none"),
    ],
    ids=["free-tempo", "click", "no-costume", "no-light", "stopped", "not-run"],
)
def test_a_closed_pass_locks_only_if_nothing_differs(
    brief: Brief, facts: dict[str, Any], worth: str
) -> None:
    """It takes the tempo, the costume, the light and a complete run."""
    changed_brief, closed = with_pass(brief, "closed", **facts)
    assert changed_brief.worth(closed, brief.shoot.songs_by_id["one"]) == worth


def test_the_master_is_live_even_where_it_stops(brief: Brief) -> None:
    """The edit follows it; what it does not run it cannot give."""
    changed_brief, show = with_pass(brief, "show", songs={"one": "stopped", "two": "not-run"})
    one, two = brief.shoot.songs
    assert [changed_brief.worth(show, song) for song in (one, two)] == ["live", "none"]


def test_a_song_with_a_click_locks_in_every_pass(brief: Brief) -> None:
    """The click of the song is as good as that of the pass."""
    (closed, _), (one, _) = brief.shoot.passes, brief.shoot.songs
    assert brief.worth(closed, one.model_copy(update={"has_click": True})) == "locks"


def test_thirds_add_up_over_the_songs(brief: Brief) -> None:
    """Show 3 + 3 = 6; closed pass, inserts only, 1 + 1 = 2; with a click 3 + 1 (stopped) = 4."""
    closed, show = brief.shoot.passes
    assert (brief.thirds(closed), brief.thirds(show)) == (2, 6)
    with_click, clicked = with_pass(brief, "closed", has_click=True)
    assert with_click.thirds(clicked) == 4


def test_only_passes_that_are_live_or_lock_are_on_offer(brief: Brief) -> None:
    """Inserts cannot stand anywhere in the edit."""
    one, two = brief.shoot.songs
    with_click, _ = with_pass(brief, "closed", has_click=True)
    assert [each.id for each in brief.on_offer(one)] == ["show"]
    assert [each.id for each in with_click.on_offer(one)] == ["closed", "show"]
    assert [each.id for each in with_click.on_offer(two)] == ["show"]


def test_out_of_reach_a_camera_lasts_longer_than_the_pass(brief: Brief) -> None:
    """60 min x 1.15 + 10 min = 79 min."""
    assert brief.roll_min(brief.shoot.passes[0]) == pytest.approx(79)


# -- people --------------------------------------------------------------------------------------


def test_people_on_hand(brief: Brief) -> None:
    """The closed pass lists two; the show takes everyone whose hours cover it."""
    closed, show = brief.shoot.passes
    assert [person.id for person in brief.people(closed)] == ["ana", "ben"]
    assert [person.id for person in brief.people(show)] == ["ana", "ben", "cleo"]


@pytest.mark.parametrize(
    ("since", "is_there"), [("18:29", True), ("18:30", True), ("18:31", False)]
)
def test_people_are_there_from_doors(since: str, is_there: bool, tmp_path: Path) -> None:
    """Doors open at 18:30 for the show at 19:00."""
    text = SHOOT[: SHOOT.index("locks:")].replace("people: [ana, ben]\n-", "people: [ben]\n-")
    brief = read(tmp_path, changed(text, "since: 2027-05-15 12:00", f"since: 2027-05-15 {since}"))
    assert ("ana" in [person.id for person in brief.people(brief.shoot.passes[1])]) is is_there


def test_who_performs_during_a_pass(brief: Brief) -> None:
    """Ben is on stage in song two, if the pass runs it."""
    closed, show = brief.shoot.passes
    ben = brief.shoot.crew_by_id["ben"]
    assert [song.id for song in brief.sings_during(ben, show)] == ["two"]
    without = closed.model_copy(update={"songs": {"two": "not-run"}})
    assert brief.sings_during(ben, without) == ()


# -- roles ---------------------------------------------------------------------------------------


def test_a_safety_role_is_added_where_none_is_asked_for(tmp_path: Path) -> None:
    """It is a must on the stage in every pass that needs one."""
    asked = [line for line in SHOOT.split("\n") if "is_safety" not in line]
    brief = read(tmp_path, "\n".join(asked))
    safety = brief.roles[0]
    assert (safety.id, safety.subject, safety.priority) == ("safety", "stage", "must")
    assert (safety.passes, safety.in_passes) == (("closed", "show"), "every")
    relaxed, _ = with_pass(brief, "closed", needs_safety=False)
    assert Brief(relaxed.shoot, relaxed.kit).roles[0].passes == ("show",)


def test_a_safety_role_that_is_asked_for_stays_the_only_one(brief: Brief) -> None:
    """Nothing is added beside it."""
    assert [role.id for role in brief.roles] == ["safety", "vocals"]


def test_the_passes_of_a_role(brief: Brief) -> None:
    """A role counts in the passes it lists; the safety shot in those that need one."""
    safety, vocals = brief.roles
    assert [each.id for each in brief.passes_of(vocals)] == ["show"]
    assert [each.id for each in brief.passes_of(safety)] == ["closed", "show"]
    relaxed, _ = with_pass(brief, "closed", needs_safety=False)
    assert [each.id for each in relaxed.passes_of(safety)] == ["show"]


# -- picture and kit -----------------------------------------------------------------------------


def test_the_first_row_of_light_that_fits_counts(brief: Brief) -> None:
    """The singer has a row of her own in the closed pass only."""
    closed, show = brief.shoot.passes
    singer = brief.shoot.subjects_by_id["singer"]
    rows = [brief.light_on(singer, each) for each in (closed, show)]
    assert [row.dim_lux for row in rows if row is not None] == [500, 300]


@pytest.mark.parametrize(
    ("facts", "fits"),
    [
        ({}, True),
        ({"frame_rate_fps": 25.004}, True),
        ({"frame_rate_fps": 25.006}, False),
        ({"frame_rate_fps": 50}, False),
        ({"frame_width_px": 3840, "frame_height_px": 2160}, True),
        ({"frame_width_px": 1280, "frame_height_px": 720}, False),
        ({"frame_height_px": 1079}, False),
    ],
)
def test_modes_that_record_the_delivery(brief: Brief, facts: dict[str, Any], fits: bool) -> None:
    """The rate within 0.005 frames per second, the frame at least as large."""
    (body,) = brief.kit.of_kind(Body)
    mode = body.modes[0].model_copy(update=facts)
    assert bool(brief.modes_of(body.model_copy(update={"modes": (mode,)}))) is fits


def test_the_shutter_suits_mains_and_bodies(brief: Brief) -> None:
    """25 frames under 50 Hz: 1/50 s is flicker-free and 180 degrees; without it 1/100 s is next."""
    assert brief.shutter.shutter_s == pytest.approx(1 / 50)
    (body,) = brief.kit.of_kind(Body)
    fast = body.model_copy(update={"shutter_speeds_per_s": (60.0, 100.0)})
    assert Brief(
        brief.shoot, Kit(items=(fast,), units=brief.kit.units)
    ).shutter.shutter_s == pytest.approx(1 / 100)


def test_free_units_are_those_of_the_day(brief: Brief) -> None:
    """One camera, owned and in order."""
    assert [unit.id for unit in brief.free_units("cam", brief.shoot.passes[0])] == ["cam-1"]
    assert brief.free_units("crate", brief.shoot.passes[0]) == ()


# -- fewer passes --------------------------------------------------------------------------------


def test_only_some_passes(brief: Brief) -> None:
    """Roles listed for other passes only and locks on them go with the passes."""
    closed = brief.only_passes(("closed",))
    assert [each.id for each in closed.shoot.passes] == ["closed"]
    assert [role.id for role in closed.shoot.roles] == ["safety"]
    assert [str(keep) for keep in closed.shoot.locks.keep] == [
        "pass closed, position wing, person ana"
    ]
    assert len(closed.shoot.locks.never) == 1
    assert closed.shoot.master.id == "closed"
    assert closed.worth(closed.shoot.passes[0], brief.shoot.songs[0]) == "live"
    assert brief.only_passes(("closed", "show")).shoot == brief.shoot
