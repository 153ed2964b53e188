"""Shot sheets rule by rule, with what they come to by hand."""

from __future__ import annotations

import pytest

from kitplan.plan.records import Plan
from kitplan.shoot.past import Past, Stood, WasHeld
from tests.day.shots.hall import (
    cues,
    hall,
    held,
    moment,
    pair,
    placed,
    plan_with,
    sheet,
    sheets_of,
    song,
    value,
)
from tests.small import AS_USUAL, QUIET, person, position, role, run, show
from tests.whatif.small import SAFETY

RIGS_SEEN = {**QUIET, "rig_least_share": AS_USUAL["rig_least_share"]}
SINGER, DRUMMER, STAGE = ("singer", "MS"), ("drummer", "MS"), ("stage", "WS")


def test_a_locked_off_camera_keeps_one_frame() -> None:
    """No cue, no fallback, whatever happens on stage."""
    plan = plan_with(hall(song("first", moment())), placed("A", operator=None, main=STAGE))
    own = sheet(plan)
    assert (own.kind, held(plan)) == ("locked-off", [STAGE])
    assert [(row.fallback, row.cues) for row in own.songs] == [(None, ())]
    assert value(plan, "musts") == 0


def test_the_safety_shot_is_never_left() -> None:
    """Though its operator alone could hold the solo."""
    shoot = hall(song("first", moment()), passes=(show(needs_safety=True),), roles=(SAFETY,))
    plan = plan_with(shoot, placed("A", main=STAGE, roles=("safety",)))
    assert (sheet(plan).kind, held(plan), value(plan, "musts")) == ("safety", [STAGE], 0)


def test_the_safety_frame_is_kept_where_nobody_has_the_role() -> None:
    """The same without the role; with another camera that has it, the operator is free."""
    shoot = hall(song("first", moment()), passes=(show(needs_safety=True),), roles=(SAFETY,))
    free = placed("A", main=STAGE)
    assert sheet(plan_with(shoot, free)).kind == "safety"
    other = placed("B", "left", STAGE, roles=("safety",), operator=None)
    plan = plan_with(shoot, free, other)
    assert (sheet(plan).kind, value(plan, "musts")) == ("by-song", 1)


def test_a_moment_is_held_by_a_cue_and_back() -> None:
    """From its beginning to its end; there and back are two changes."""
    plan = plan_with(hall(song("first", moment(at_s=30, length_s=20))), placed("A", main=STAGE))
    (row,) = sheet(plan).songs
    (cue,) = row.cues
    assert (pair(row.shot), cue.at_s, cue.length_s) == (STAGE, 30, 20)
    assert cue.shot.subject == "singer"
    assert (value(plan, "musts"), value(plan, "changes")) == (1, -2)


def test_a_cue_ends_with_its_song() -> None:
    """A moment that is longer than what is left of a song of 100 s."""
    plan = plan_with(hall(song("first", moment(at_s=90))), placed("A", main=STAGE))
    assert [cue.length_s for cue in sheet(plan).songs[0].cues] == [10]


def test_no_cue_where_the_shot_holds_the_moment() -> None:
    """A medium shot of the singer throughout."""
    plan = plan_with(hall(song("first", moment())), placed("A"))
    assert (cues(sheet(plan).songs[0]), value(plan, "musts"), value(plan, "changes")) == ([], 1, 0)


@pytest.mark.parametrize("size", ["MCU", "MLS"])
def test_tighter_is_tight_enough(size: str) -> None:
    """A medium shot holds what asks for MLS; for MCU it takes a cue."""
    plan = plan_with(hall(song("first", moment(size=size))), placed("A"))
    assert value(plan, "musts") == 1
    assert bool(cues(sheet(plan).songs[0])) is (size == "MCU")


def test_a_second_camera_goes_to_it_as_well() -> None:
    """For musts and wants; a nice moment is worth one camera only."""
    cameras = placed("A", main=STAGE), placed("B", "left", STAGE, operator="ben")
    for priority, number in (("must", 2), ("want", 2), ("nice", 1)):
        plan = plan_with(hall(song("first", moment(priority=priority))), *cameras)
        assert sum(len(cues(sheet(plan, letter).songs[0])) for letter in "AB") == number
    (row,) = sheets_of(plan).moments
    assert row.second is None


def test_of_two_moments_at_once_the_must_is_held() -> None:
    """One camera, the singer and the drummer at the same time."""
    want = moment("Fill", subject="drummer", priority="want")
    plan = plan_with(hall(song("first", want, moment())), placed("A", main=STAGE))
    assert [name for name, _ in cues(sheet(plan).songs[0])] == ["Solo"]
    assert (value(plan, "musts"), value(plan, "wants")) == (1, 0)


@pytest.mark.parametrize(("at_s", "num_held"), [(54, 1), (55, 2)])
def test_time_to_recompose_between_two_cues(at_s: float, num_held: int) -> None:
    """The first moment ends at 50 s; 5 s later the next shot can stand."""
    fill = moment("Fill", at_s, subject="drummer")
    plan = plan_with(hall(song("first", moment(), fill)), placed("A", main=STAGE))
    assert value(plan, "musts") == num_held


@pytest.mark.parametrize(("at_s", "musts"), [(54, 1), (55, 2)])
def test_a_cue_disturbs_what_the_shot_holds(at_s: float, musts: int) -> None:
    """The singer is held throughout but for the drummer's cue, 5 s before and after included."""
    fill = moment("Fill", at_s, subject="drummer")
    plan = plan_with(hall(song("first", moment(), fill)), placed("A"))
    assert value(plan, "musts") == musts


@pytest.mark.parametrize(("operator", "musts"), [("ann", 8), ("ben", 6)])
def test_a_zone_has_six_exceptions(operator: str, musts: int) -> None:
    """Eight songs with a solo each: the steady hand goes to all of them."""
    songs = [song(f"song-{number}", moment()) for number in range(8)]
    plan = plan_with(hall(*songs), placed("A", main=STAGE, operator=operator))
    assert value(plan, "musts") == musts
    assert sheet(plan).kind == ("by-song" if operator == "ann" else "zone")


def test_a_zone_is_main_shot_and_menu() -> None:
    """Home first."""
    plan = plan_with(hall(), placed("A", operator="ben", menu=[STAGE]))
    assert [pair(shot) for shot in sheet(plan).zone] == [SINGER, STAGE]
    assert sheet(plan_with(hall(), placed("A", menu=[STAGE]))).zone == ()


@pytest.mark.parametrize(("roles", "at_home"), [((), 0), (("close",), 2)])
def test_a_role_is_done_in_half_of_the_songs(roles: tuple[str, ...], at_home: int) -> None:
    """Beside a locked-off camera with the same view, Ann would leave her main shot in all four."""
    songs = [song(f"song-{number}") for number in range(4)]
    shoot = hall(*songs, roles=(role("close"),))
    locked = placed("B", main=SINGER, operator=None)
    plan = plan_with(shoot, placed("A", menu=[STAGE], roles=roles), locked)
    assert held(plan).count(SINGER) == at_home
    assert value(plan, "alike") == -at_home


def test_shots_live_at_once_differ() -> None:
    """Two medium shots of the singer from one place are one viewpoint; the menu has another."""
    plan = plan_with(hall(), placed("A", operator=None), placed("B", menu=[STAGE]))
    assert held(plan, "B") == [STAGE, STAGE]
    assert value(plan, "alike") == 0
    assert value(plan_with(hall(), placed("A", operator=None), placed("B")), "alike") == -2


def test_shots_of_passes_that_are_cut_together_differ() -> None:
    """The run locks to the show: the same view in both is one viewpoint. Not if it does not lock:
    then there is no live shot to be alike to, and only variety asks for another one.
    """
    cameras = placed("A", operator=None), placed("A", menu=[STAGE], in_pass="run")
    plan = plan_with(hall(passes=(run(), show())), *cameras)
    assert (held(plan, in_pass="run"), value(plan, "alike")) == ([STAGE, STAGE], 0)
    same = placed("A", operator=None), placed("A", in_pass="run")
    assert value(plan_with(hall(passes=(run(), show())), *same), "alike") == -2
    free = hall(passes=(run(has_click=False), show()))
    assert value(plan_with(free, *same), "alike") == 0
    assert held(plan_with(free, *cameras), in_pass="run") == [STAGE, STAGE]


def test_inserts_hold_no_moment() -> None:
    """A run without a click is out of step: no cue, and the moment stays unheld."""
    shoot = hall(song("first", moment()), passes=(run(has_click=False), show()))
    plan = plan_with(shoot, placed("A", in_pass="run"))
    assert (value(plan, "musts"), value(plan, "subjects")) == (0, 0)


def test_every_subject_is_seen() -> None:
    """One camera, two songs: the drummer in one of them, though that is a change more."""
    plan = plan_with(hall(), placed("A", menu=[("drummer", "MS")]))
    assert set(held(plan)) == {SINGER, DRUMMER}
    assert (value(plan, "subjects"), value(plan, "changes")) == (2, -1)


def test_changes_are_few() -> None:
    """Four songs, one of the drummer: at the beginning or the end, where it is one change."""
    songs = [song(f"song-{number}") for number in range(4)]
    plan = plan_with(hall(*songs), placed("A", menu=[DRUMMER]))
    assert value(plan, "changes") == -1
    assert value(plan, "main") == 3


def test_who_performs_films_nothing_in_that_song() -> None:
    """And a song that is not run has no row in any sheet."""
    crew = (person("ann", performs_in=("second",)),)
    shoot = hall(song("first"), song("second"), song("third"), crew=crew)
    assert [row.song for row in sheet(plan_with(shoot, placed("A"))).songs] == ["first", "third"]
    shoot = hall(passes=(show(songs={"first": "not-run"}),))
    plan = plan_with(shoot, placed("A"), placed("B", "left", operator=None))
    assert [row.song for letter in "AB" for row in sheet(plan, letter).songs] == ["second"] * 2


@pytest.mark.parametrize(
    ("main", "menu", "fallback"),
    [
        (SINGER, [], ("singer", "MLS")),  # the least wide of the same
        (SINGER, [("drummer", "MLS")], ("drummer", "MLS")),  # a wider one that is planned
        (SINGER, [("drummer", "CU")], ("singer", "MLS")),  # not tighter while there is a wider one
        (("stage", "EWS"), [], None),  # nothing is wider
        (("stage", "EWS"), [SINGER], SINGER),  # then what is planned
    ],
)
def test_what_to_fall_back_on(
    main: tuple[str, str], menu: list[tuple[str, str]], fallback: tuple[str, str] | None
) -> None:
    """Where nobody else is there; the first song of one, so that the menu is not needed."""
    plan = plan_with(hall(song("first")), placed("A", main=main, menu=menu))
    (row,) = sheet(plan).songs
    assert (pair(row.shot), pair(row.fallback)) == (main, fallback)


def test_nobody_falls_back_on_what_another_holds() -> None:
    """A locked-off medium long shot (1.4 m) from the same place: the same and the full figure
    (2.1 m) are alike to it; the stage at 3.2 m is the least wide that is not.
    """
    locked = placed("B", main=("singer", "MLS"), operator=None)
    plan = plan_with(hall(song("first")), placed("A", main=("singer", "MCU")), locked)
    assert pair(sheet(plan).songs[0].fallback) == ("stage", "MLS")


def past_plan(*was: WasHeld) -> Plan:
    """Return a plan after the closed run, in which Ann held what is noted."""
    passes, camera = (run(), show()), placed("A", menu=[STAGE], in_pass="run")
    stood = Stood(
        in_pass="run",
        position="front",
        letter="A",
        body="cam-1",
        mode="HD",
        lens=None,
        adapter=None,
        head=None,
        support="legs-1",
        operator="ann",
        subject="singer",
        size="MS",
        roles=(),
        menu=(STAGE,),
        batteries=(),
        cards=(),
        accessories=(),
        missed=("third",),
        held=was,
    )
    past = Past(passes=("run",), stood=(stood,))
    songs = (song("first", moment()), song("second"), song("third"))
    return plan_with(hall(*songs, passes=passes, past=past), camera)


def test_what_is_over_stays_as_it_was() -> None:
    """The main shot where nothing is noted, no row for what was missed."""
    assert held(past_plan(), in_pass="run") == [SINGER, SINGER]
    noted = (
        WasHeld(song="first", subject="stage", size="WS"),
        WasHeld(song="first", moment="Solo", subject="singer", size="CU"),
        WasHeld(song="second", subject="stage", size="WS"),
    )
    plan = past_plan(*noted)
    assert held(plan, in_pass="run") == [STAGE, STAGE]
    assert cues(sheet(plan, in_pass="run").songs[0]) == [("Solo", ("singer", "CU"))]
    assert value(plan, "musts") == 1
    assert value(past_plan(*noted[::2]), "musts") == 0


@pytest.mark.parametrize(("there", "musts"), [(False, 1), (True, 0)])
def test_nobody_goes_to_a_shot_with_a_rig_in_it(there: bool, musts: int) -> None:
    """A camera 6 m before Ann's hides the singer from her, not the drummer, who stands aside."""
    places = (position("front"), position("ahead", at_m=(0, -4)))
    shoot = hall(song("first", moment()), positions=places, rules=RIGS_SEEN)
    cameras = [placed("A", main=("drummer", "CU")), placed("B", "ahead", DRUMMER, operator=None)]
    plan = plan_with(shoot, *cameras[: 1 + there])
    assert value(plan, "musts") == musts


def test_the_same_sheets_every_time() -> None:
    """Whatever the clock says."""
    songs = [song(f"song-{number}", moment()) for number in range(3)]
    cameras = [placed(letter, main=STAGE, menu=[SINGER, DRUMMER]) for letter in "ABC"]
    assert plan_with(hall(*songs), *cameras) == plan_with(hall(*songs), *cameras)


def test_nothing_to_hold() -> None:
    """A plan without cameras has no sheets, and nobody holds the moment."""
    plan = plan_with(hall(song("first", moment())))
    assert sheets_of(plan).sheets == ()
    assert [(row.first, row.second) for row in sheets_of(plan).moments] == [(None, None)]
