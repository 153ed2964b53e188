"""The forecast by hand: what is on offer in a song, what a second pass adds, what is said of it."""

from __future__ import annotations

from typing import Any

import pytest

from kitplan.paper.forecast import (
    against,
    as_records,
    column,
    every,
    forecast_lines,
    forecast_text,
)
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.names import Names
from kitplan.paper.summary import summary
from kitplan.plan.records import Placement, Plan
from kitplan.shoot.records import Shoot
from kitplan.shoot.rules import Rules, default_rules
from kitplan.shoot.venue import Subject
from kitplan.whatif.figures import offers
from kitplan.whatif.forecast import Forecast, SongForecast, forecast, insert_hold_s
from tests.small import SHOOT_ID, person, position, run, show, singer, small_shoot, song
from tests.whatif.small import SAFETY, hand_plan, placed, safety

STAGE = Subject(id="stage", kind="stage")
EVERY_60_S = {"length_s": 60, "gap_s": 60}


def concert(**parts: Any) -> Shoot:
    """Return a shoot of one song of 60 s at 5 s a shot, and four positions round the singer."""
    given: dict[str, Any] = {
        "positions": (
            position("front", rigs=4, room_m=9),
            position("left", rigs=2),
            position("right"),
            position("back", at_m=(0, 12)),
        ),
        "songs": (song("first", **EVERY_60_S),),
        "roles": (SAFETY,),
    }
    return small_shoot(**{**given, **parts})


def forecast_of(shoot: Shoot, *placements: Placement) -> Forecast:
    """Return the forecast of a hand-made plan."""
    return forecast(hand_plan(shoot, placements), SHOOT_ID)


def first_song(shoot: Shoot, *placements: Placement) -> SongForecast:
    """Return the forecast of its first song."""
    return forecast_of(shoot, *placements).songs[0]


def letters(found: SongForecast) -> str:
    """Return the cut of a song by camera letter."""
    return "".join(found.placements[slot.angle].letter for slot in found.slots)


THREE = (placed("B", "left"), placed("C", "right"), placed("D", "back"))
"""Three operated medium shots of the singer, each 90 degrees or more from the others."""


# -- one song --------------------------------------------------------------------------------------


def test_three_angles_and_the_safety_shot() -> None:
    """60 s / 5 s = 12 shots: A B C D B | A C D B C | A D.

    B starts at 5, 20 and 40 s, C at 10, 30 and 45, D at 15, 35 and 55: gaps of 15, 20, 20, 15, 20
    and 20 s. Median 20, least 15; the safety shot A does not count.
    """
    found = first_song(concert(), safety(), *THREE)
    assert letters(found) == "ABCDBACDBCAD"
    assert sorted(found.returns_s) == [15, 15, 20, 20, 20, 20]
    assert (found.soonest_s, found.typical_s) == (15, 20)
    assert (found.shots_needed, found.unplaced, found.angles) == (12, 0, 4)


def test_without_a_safety_shot_nothing_is_kept_free_for_it() -> None:
    """B C D and again: each is back after 15 s."""
    found = first_song(concert(), *THREE)
    assert letters(found) == "BCDBCDBCDBCD"
    assert set(found.returns_s) == {15}
    assert not found.has_safety


def test_a_safety_shot_that_is_not_counted_is_still_cut_to() -> None:
    """It is no viewpoint of its own, but it is safe."""
    found = first_song(concert(), safety(is_counted=False), *THREE)
    assert found.angles == 3
    assert letters(found) == "ABCDBACDBCAD"


def test_who_is_not_counted_is_not_cut_to() -> None:
    """The same view twice."""
    again = placed("E", "left", is_counted=False)
    assert letters(first_song(concert(), *THREE, again)) == "BCDBCDBCDBCD"


def test_who_performs_does_not_film() -> None:
    """Ben sings himself: his camera is away, as in the count of viewpoints."""
    crew = (person("ann"), person("ben", performs_in=("first",)))
    shoot = concert(crew=crew)
    away = (placed("B", "left", operator="ben"), *THREE[1:])
    found = first_song(shoot, *away)
    assert letters(found) == "CDCDCDCDCDCD"
    assert found.angles == offers(hand_plan(shoot, away), SHOOT_ID)["first"] == 2
    assert found.typical_s == 10


def test_locked_off_angles_are_used_sparingly() -> None:
    """One operated, one locked off: three times, and then too often; A jumps with itself."""
    found = first_song(concert(), placed("B", "left"), placed("C", "right", operator=None))
    assert found.uses == ("free", "speciality")
    assert letters(found) == "BCBCBCBCBCBC"
    assert (found.jump_cuts, found.overused, found.unplaced) == (0, 3, 3)


def test_two_alike_angles_jump() -> None:
    """Side by side on the singer: only the turn between them is a jump, so the third goes between.

    Positions 0.5 m apart at 12 m: 2.4 degrees.
    """
    places = (position("front"), position("beside", at_m=(0.5, -10)), position("right"))
    shoot = concert(positions=places)
    two = (placed("B", "front"), placed("C", "beside"), placed("D", "right"))
    assert letters(first_song(shoot, *two)) == "BDCDBDCDBDCD"


def test_one_angle_means_jump_cuts() -> None:
    """11 of 12 shots; it is back at once, after 5 s."""
    found = forecast_of(concert(), placed("B"))
    assert found.songs[0].jump_cuts == found.unplaced == 11
    assert found.songs[0].typical_s == 5
    assert said(concert(), placed("B")) == (
        "The same angle comes round every 5 s in a typical song, at 5 s a shot. 11 of 12 shots "
        "cannot be placed without a jump cut or an angle once too often, in first: cut slower "
        "there, or film it from more angles."
    )


def test_a_safety_shot_alone_leaves_nothing_to_cut_to() -> None:
    """It never comes round, since it never goes; said so."""
    found = forecast_of(concert(), safety())
    assert found.songs[0].is_bare
    assert found.typical_s is None
    assert found.thinnest is None
    assert said(concert(), safety()) == (
        "No song has an angle that comes round twice. Nothing but the safety shot in first: there "
        "is nothing to cut to."
    )


def test_a_song_that_nobody_films() -> None:
    """All its shots are missing."""
    found = forecast_of(concert())
    assert found.songs[0].slots == ()
    assert found.unplaced == found.shots == 12
    assert said(concert()).endswith("No camera films first.")


@pytest.mark.parametrize(("length_s", "shots"), [(1, 1), (7, 1), (8, 2), (14, 3)])
def test_a_very_short_song_has_few_shots_and_nothing_comes_round(
    length_s: float, shots: int
) -> None:
    """Three angles for at most three shots."""
    shoot = concert(songs=(song("first", length_s=length_s),))
    found = first_song(shoot, *THREE)
    assert len(found.slots) == shots
    assert found.typical_s is None
    assert found.unplaced == 0
    assert every(found.typical_s) == "never twice"


# -- passes ----------------------------------------------------------------------------------------

MORE = (placed("B", "left", "singer", "CU", in_pass="run", is_counted=True),)
"""A close shot in the closed run: 0.5 m against 0.9 m, 90 degrees from right and back."""


def two_passes(**run_facts: Any) -> Shoot:
    """Return two songs; the closed run goes to a click in the first only."""
    songs = (
        song("first", has_click=True, **EVERY_60_S),
        song("second", **EVERY_60_S),
    )
    return concert(songs=songs, passes=(run(has_click=False, **run_facts), show()))


def test_a_closed_pass_adds_angles_only_where_it_locks() -> None:
    """First song: B C D in turn, 15 s. Second: C and D in turn, 10 s, and three inserts of the run.

    An insert of the singer holds 2 / 0.02 / 25 * 0.3333 = 1.33 s. The cut is C D C B D C D B C D C
    B D C: C and D are back after 10 s three times, and six times after 11.33 s, with an insert
    between; B twice after 16.33 s. The median of the eleven is 11.33 s.
    """
    shoot = two_passes()
    live = (placed("C", "right"), placed("D", "back"))
    both = forecast_of(shoot, *MORE, *live)
    alone = forecast_of(shoot, *live)
    assert [each.angles for each in both.songs] == [3, 2]
    assert [each.inserts for each in both.songs] == [0, 1]
    assert [each.typical_s for each in alone.songs] == [10, 10]
    assert both.songs[0].typical_s == 15
    locks, inserts = both.songs
    assert set(locks.returns_s) == {15}
    assert letters(inserts).count("B") == 3
    assert letters(inserts) == "CDCBDCDBCDCBDC"
    assert inserts.typical_s == pytest.approx(10 + 4 / 3, abs=1e-3)
    text = against(hand_plan(shoot, (*MORE, *live)), both, alone, "show")
    assert text[0] == (
        "Cut forecast: in 1 song with a pass that locks to show, the same angle comes round every "
        "15 s, with show alone every 10 s."
    )
    assert text[1] == (
        "In 1 song where nothing locks, what is shot outside show gives inserts at most: the same "
        "angle comes round every 11 s, with show alone every 10 s."
    )


def test_where_nothing_locks_it_is_said_of_all_songs() -> None:
    """Out of costume: inserts everywhere."""
    shoot = two_passes(is_in_costume=False)
    plan = hand_plan(shoot, (*MORE, *THREE))
    found = forecast(plan, SHOOT_ID)
    (line,) = against(plan, found, found, "show")
    assert line == (
        "Cut forecast: in 2 songs where nothing locks, what is shot outside show gives inserts at "
        f"most: the same angle comes round {every(found.typical_s)}, as with show alone."
    )


def test_the_safety_shot_of_a_closed_pass_is_a_speciality() -> None:
    """It is never the safety shot of the show."""
    shoot = two_passes()
    found = first_song(shoot, safety("A", in_pass="run"), placed("C", "right"))
    assert not found.has_safety
    assert set(found.uses) == {"free", "speciality"}


def test_not_run_is_not_on_offer() -> None:
    """Nothing of a song that the pass leaves out."""
    shoot = two_passes(songs={"second": "not-run"})
    found = forecast_of(shoot, *MORE)
    assert [len(each.placements) for each in found.songs] == [1, 0]


@pytest.mark.parametrize(
    ("kind", "hold_s"), [("person", 4 / 3), ("group", 4 / 3), ("stage", 4), ("audience", 4)]
)
def test_inserts_hold_as_long_as_nothing_shows_the_tempo(kind: Any, hold_s: float) -> None:
    """Two frames of 25 a second at 2 %: 4 s; lips, bows, sticks and slides a third of that."""
    subject = Subject(id="x", kind=kind, at_m=(0, 2))
    assert insert_hold_s(concert(), subject) == pytest.approx(hold_s, abs=1e-3)


def test_an_insert_that_only_flashes_is_left_out() -> None:
    """At 4 % of difference it would hold 0.67 s; where nothing differs it holds for good."""
    for difference, uses in ((0.04, 0), (0.02, 1), (0.0, 1)):
        shoot = two_passes(is_in_costume=False)
        rules = Rules(**{**dict(shoot.rules), "tempo_difference": difference})
        shoot = shoot.model_copy(update={"rules": rules})
        assert first_song(shoot, *MORE, *THREE).inserts == uses
    assert insert_hold_s(shoot, singer()) == float("inf")


# -- the show, and what is said --------------------------------------------------------------------


def said(shoot: Shoot, *placements: Placement) -> str:
    """Return what the summary says."""
    return " ".join(forecast_lines(Names(hand_plan(shoot, placements))))


def long_and_short() -> tuple[Shoot, tuple[Placement, ...]]:
    """Return three songs; in the second Ben, who films from the left, sings."""
    songs = tuple(song(name, **EVERY_60_S) for name in ("first", "second", "third"))
    crew = (person("ann"), person("ben", performs_in=("second",)))
    own = (placed("B", "left", operator="ben"), *THREE[1:])
    return concert(songs=songs, crew=crew), own


def test_the_show_is_the_median_of_its_songs_and_names_the_thinnest() -> None:
    """15, 10 and 15 s."""
    shoot, own = long_and_short()
    found = forecast_of(shoot, *own)
    assert found.typical_s == 15
    assert found.thinnest is found.songs[1]
    assert said(shoot, *own) == (
        "The same angle comes round every 15 s in a typical song, at 5 s a shot; soonest in second "
        "(every 10 s, 2 angles)."
    )
    assert column(found) == {
        "same angle comes round": "every 15 s",
        "soonest in a song": "every 10 s",
        "shots not placed": "0 of 36",
    }
    assert column(None) == {}


def test_songs_alike_are_said_once() -> None:
    """Nothing stands out."""
    songs = tuple(song(name, **EVERY_60_S) for name in ("first", "second"))
    assert said(concert(songs=songs), *THREE) == (
        "The same angle comes round every 15 s in a typical song, at 5 s a shot, and no sooner in "
        "any other."
    )


def test_the_worst_song_is_named_where_shots_cannot_be_placed() -> None:
    """One angle: of 12 shots 11 jump, and of 24 of the longer song 23."""
    songs = (song("first", **EVERY_60_S), song("second", length_s=120))
    text = said(concert(songs=songs), placed("B"))
    assert "34 of 36 shots cannot be placed" in text
    assert "in 2 songs, most in second (23)" in text


def test_the_summary_has_it_short_and_in_detail_by_song() -> None:
    """And within the page."""
    shoot, own = long_and_short()
    plan = hand_plan(shoot, own)
    short, long = summary(plan), summary(plan, is_detailed=True)
    assert "Cut forecast\n------------\n- The same angle comes round every 15 s" in short
    assert "shortest" not in short
    assert "second  2         0          12       every 10 s          10 s" in long
    assert max(map(len, long.splitlines())) <= WIDEST_TABLE


@pytest.mark.parametrize("placements", [(), (safety(),), (placed("B"),), (safety(), *THREE)])
def test_every_odd_plan_has_a_table(placements: tuple[Placement, ...]) -> None:
    """No camera, a safety shot alone, one angle."""
    plan = hand_plan(two_passes(), placements)
    text = forecast_text(Names(plan))
    assert text.startswith("Cut forecast")
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE
    data = as_records(forecast(plan, SHOOT_ID))
    assert len(data["songs"]) == 2
    assert data["shots"] >= data["shots_not_placed"]


def test_a_plan_without_worth_has_nothing_on_offer() -> None:
    """As in a file changed by hand; the check says so, this is no fault of its own."""
    plan: Plan = hand_plan(concert(), THREE)
    spoilt = plan.model_copy(update={"worth": {f"{SHOOT_ID}/show": {"first": "none"}}})
    assert forecast(spoilt, SHOOT_ID).songs[0].slots == ()


# -- rules -----------------------------------------------------------------------------------------


def test_the_rules_as_shipped() -> None:
    """Three times a song; back after 5 to 8 shots."""
    rules = default_rules()
    assert (rules.speciality_most, rules.safety_every_shots) == (3, (5, 8))


def test_the_interval_of_the_safety_shot_rises() -> None:
    """Both ends may be one number."""
    assert Rules.model_validate({"safety_every_shots": [6, 6]}).safety_every_shots == (6, 6)
    with pytest.raises(ValueError, match="8 to 5 is no interval; write the smaller number first"):
        Rules.model_validate({"safety_every_shots": [8, 5]})
    with pytest.raises(ValueError, match="greater than or equal to 1"):
        Rules.model_validate({"safety_every_shots": [0, 5]})


def test_the_rules_of_the_shoot_count() -> None:
    """The safety shot back after every second shot; each locked-off angle once."""
    rules = {"safety_every_shots": [2, 2], "speciality_most": 1, "average_shot_s": 10}
    shoot = concert(rules=rules)
    assert letters(first_song(shoot, safety(), *THREE)) == "ABACAD"
    found = first_song(shoot, placed("B", "left"), placed("C", "right", operator=None))
    assert found.overused == 2
