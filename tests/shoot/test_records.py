"""The records of a shoot check themselves: bounds, order, what belongs together."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest
from pydantic import ValidationError

from kitplan.shoot.records import Delivery, Pass, Pattern, Person, Shoot, Song
from kitplan.shoot.rules import Rules, default_rules
from kitplan.shoot.venue import Light, Position, Subject
from kitplan.tables import table

SQUARE = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))


def at(hour: int, minute: int = 0, day: int = 15) -> datetime:
    """Return a time on the day of the shoot."""
    return datetime(2027, 5, day, hour, minute)


def refusal(model: type[Any], **facts: Any) -> str:
    """Return why a record refuses its facts."""
    with pytest.raises(ValidationError) as caught:
        model(**facts)
    return str(caught.value)


# -- passes and people -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("end", "is_right"),
    [(at(13, 59), False), (at(14), False), (at(14, 1), True)],
    ids=["before-start", "at-start", "after-start"],
)
def test_a_pass_ends_after_it_starts(end: datetime, is_right: bool) -> None:
    """The end is later than the start; past midnight needs the next day's date."""
    if is_right:
        assert Pass(id="show", start=at(14), end=end).end == end
    else:
        text = refusal(Pass, id="show", start=at(14), end=end)
        assert (
            f"end 2027-05-15 {end:%H:%M} is not after start 2027-05-15 14:00; give a later" in text
        )


@pytest.mark.parametrize(
    ("end", "is_right"),
    [(at(14, day=16), True), (at(14, 1, day=16), False)],
    ids=["a-day", "longer"],
)
def test_a_pass_is_no_longer_than_a_day(end: datetime, is_right: bool) -> None:
    """A slip in the date would make a pass of weeks."""
    if is_right:
        Pass(id="show", start=at(14), end=end)
    else:
        text = refusal(Pass, id="show", start=at(14), end=end)
        assert "more than 24 hours after start 2027-05-15 14:00; correct the dates" in text


@pytest.mark.parametrize(
    ("doors", "is_right"),
    [(at(18, 30), True), (at(19), True), (at(19, 1), False)],
    ids=["before", "at-start", "after"],
)
def test_doors_open_by_the_start(doors: datetime, is_right: bool) -> None:
    """The audience is in when the pass begins."""
    if is_right:
        assert Pass(id="show", start=at(19), doors=doors).doors == doors
    else:
        text = refusal(Pass, id="show", start=at(19), doors=doors)
        assert "doors 2027-05-15 19:01 is after start 2027-05-15 19:00; let the doors" in text


def test_times_of_a_record_agree_on_offsets() -> None:
    """A time with an offset cannot be compared with one without."""
    text = refusal(Pass, id="show", start="2027-05-15 19:00+02:00", end="2027-05-15 20:00")
    assert "do not agree on an offset such as +01:00; give it to all of them, or to none" in text
    text = refusal(Person, id="ana", since="2027-05-15 12:00", until="2027-05-15 20:00Z")
    assert "do not agree on an offset" in text
    Pass(id="show", start="2027-05-15 19:00+02:00", end="2027-05-15 18:00Z")


@pytest.mark.parametrize("start", ["2027-05-15", " 2027-5-15 ", at(0).date()])
def test_a_day_alone_is_no_time(start: Any) -> None:
    """It would silently be midnight, which is the wrong end of the day for `until`."""
    assert "has no time of day; write a time as well" in refusal(Pass, id="show", start=start)
    assert "has no time of day" in refusal(Person, id="ana", until=start)


@pytest.mark.parametrize(
    ("year", "is_right"), [(1989, False), (1990, True), (2199, True), (2200, False)]
)
def test_years_are_those_of_our_time(year: int, is_right: bool) -> None:
    """Arithmetic at the end of the calendar fails, and nobody films there."""
    if is_right:
        Pass(id="show", start=datetime(year, 5, 15))
    else:
        text = refusal(Pass, id="show", start=datetime(year, 5, 15))
        assert f"the year is {year}; write a year from 1990 to 2199" in text


def test_people_come_before_they_go() -> None:
    """`since` is before `until`."""
    text = refusal(Person, id="ana", since=at(20), until=at(12))
    assert "since 2027-05-15 20:00 is not before until 2027-05-15 12:00; swap them" in text
    assert Person(id="ana", since=at(12), until=at(20)).label == "ana"


# -- songs, delivery, locks ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length_s", "is_right"), [(0, False), (0.5, True), (86_400, True), (86_401, False)]
)
def test_a_song_has_a_length(length_s: float, is_right: bool) -> None:
    """More than nothing, at most a day."""
    if is_right:
        assert Song(id="one", length_s=length_s).length_s == length_s
    else:
        assert "length_s" in refusal(Song, id="one", length_s=length_s)


def test_the_aspect_of_the_delivery() -> None:
    """1920 / 1080 = 16 / 9; a square is 1."""
    assert Delivery().aspect == pytest.approx(16 / 9)
    assert Delivery(frame_width_px=1080).aspect == 1


def test_a_pattern_names_something() -> None:
    """A lock without parts would hold for every placement."""
    assert "names nothing; give position" in refusal(Pattern)
    pattern = Pattern.model_validate({"pass": "show", "position": "back"})
    assert pattern.parts == {"pass": "show", "position": "back"}
    assert str(pattern) == "pass show, position back"


# -- venue ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["person", "object"])
def test_a_person_or_object_stands_somewhere(kind: str) -> None:
    """Without a place nothing can be framed."""
    text = refusal(Subject, id="singer", kind=kind)
    assert f"at_m is missing, but a {kind} stands somewhere; add at_m: [x, y]" in text
    Subject(id="singer", kind=kind, at_m=(0, 2))


def test_a_group_has_an_outline_or_a_place() -> None:
    """The stage and the audience have the venue's."""
    assert "outline_m is missing, but a group stands somewhere" in refusal(
        Subject, id="band", kind="group"
    )
    Subject(id="band", kind="group", outline_m=SQUARE)
    Subject(id="band", kind="group", at_m=(0, 2))
    Subject(id="stage", kind="stage")
    Subject(id="house", kind="audience")


def test_light_is_dimmer_than_bright() -> None:
    """Equal is one constant light."""
    text = refusal(Light, dim_lux=500, bright_lux=400)
    assert "dim_lux 500 is above bright_lux 400; swap them" in text
    assert Light(dim_lux=400, bright_lux=400).lamp == "tungsten"


def test_where_the_lens_is() -> None:
    """A lens 1.6 m above a riser of 0.6 m is 2.2 m above the house floor."""
    position = Position(id="back", at_m=(-1, -13), floor_height_m=0.6, lens_height_m=1.6)
    assert position.lens_at_m == pytest.approx((-1, -13, 2.2))
    assert position.label == "back"


# -- rules ---------------------------------------------------------------------------------------


def test_rules_have_defaults_from_the_table() -> None:
    """Every rule stands in the table, and what a shoot says replaces it."""
    assert default_rules().model_dump(mode="json") == table("rules")
    assert Rules.model_validate({"angle_deg": 20}).angle_deg == 20


@pytest.mark.parametrize(
    ("facts", "text"),
    [
        ({"points_locked": [3, 4]}, "points_locked rises, but the first"),
        ({"grade_percent": [10, 30, 60, 100]}, "grade_percent does not rise from 0"),
        ({"grade_percent": [0, 60, 30, 100]}, "write four percentages such as [0, 30, 60, 100]"),
    ],
)
def test_points_and_grades_are_ordered(facts: dict[str, Any], text: str) -> None:
    """Locked-off points fall and grades rise; equal ones are allowed."""
    assert text in refusal(Rules, **facts)
    Rules.model_validate({"points_locked": [4, 4], "grade_percent": [0, 30, 30, 100]})


# -- the shoot -----------------------------------------------------------------------------------


def shoot(*passes: Pass) -> Shoot:
    """Return a shoot of two songs: 300 s with a gap of 15 s, 240 s with one of 45 s."""
    return Shoot.model_validate(
        {
            "title": "Evening",
            "mains_hz": 50,
            "venue": {
                "name": "Hall",
                "stage": {"outline_m": SQUARE},
                "positions": [{"id": "back", "at_m": [0, -9], "lens_height_m": 1.5}],
            },
            "subjects": [{"id": "stage", "kind": "stage"}],
            "light": [{"dim_lux": 300, "bright_lux": 600}],
            "songs": [
                {"id": "one", "length_s": 300},
                {"id": "two", "length_s": 240, "gap_s": 45},
            ],
            "passes": passes,
        }
    )


def test_a_pass_lasts_as_long_as_its_songs() -> None:
    """300 + 15 + 240 + 45 s = 10 min; without song two 315 s = 5.25 min; or as its end says."""
    whole = Pass(id="whole", start=at(14))
    part = Pass(id="part", start=at(15), songs={"two": "not-run"})
    timed = Pass(id="timed", start=at(16), end=at(16, 30), songs={"one": "stopped"})
    made = shoot(whole, part, timed)
    assert [made.length_min(each) for each in made.passes] == [10, 5.25, 30]
    assert [len(made.run_songs(each)) for each in made.passes] == [2, 1, 2]
    assert made.end_of(whole) == at(14, 10)


def test_the_gap_between_passes() -> None:
    """Work stops at the doors, else at the start; what is said comes first."""
    first = Pass(id="first", start=at(14))  # ends at 14:10
    show = Pass(id="show", start=at(19), doors=at(18, 30), has_audience=True)
    late = Pass(id="late", start=at(22))  # the show ends at 19:10
    assert shoot(first, show).gap_min(0) == 260
    assert shoot(show, late).gap_min(0) == 170
    said = first.model_copy(update={"gap_after_min": 45.0})
    assert shoot(said, show).gap_min(0) == 45


def test_the_master_is_marked_or_the_last_pass() -> None:
    """The edit follows one take."""
    first, second = Pass(id="first", start=at(14)), Pass(id="second", start=at(19))
    assert shoot(first, second).master is second
    marked = first.model_copy(update={"is_master": True})
    assert shoot(marked, second).master.id == "first"


def test_records_are_found_by_id() -> None:
    """The look-ups hold what the lists hold."""
    made = shoot(Pass(id="show", start=at(19)))
    assert made.songs_by_id["two"].gap_s == 45
    assert made.subjects_by_id["stage"].kind == "stage"
    assert made.passes_by_id["show"].start == at(19)
    assert (made.crew_by_id, made.roles_by_id) == ({}, {})
