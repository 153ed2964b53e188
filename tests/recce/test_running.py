"""Running orders and runs, pasted as they come."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from kitplan.recce.answers import NotUnderstood, SongAnswer
from kitplan.recce.running import passes_of, songs_of

DAY = date(2027, 5, 15)


def test_songs_come_one_a_line_with_or_without_length() -> None:
    """Numbers before them and brackets round lengths fall away; a number in a name stays."""
    lines = ("1. Harbour Lights 4:10", "2) Last Bus (3:35)", "- Coal", "  Route 66, 250 s")
    assert songs_of("\n".join((*lines, "The 39 Steps - 12 min"))) == (
        SongAnswer("Harbour Lights", 250),
        SongAnswer("Last Bus", 215),
        SongAnswer("Coal", None),
        SongAnswer("Route 66", 250),
        SongAnswer("The 39 Steps", 720),
    )


def test_songs_come_as_a_table_too() -> None:
    """Semicolons, commas or tabs; columns in any order."""
    assert songs_of('Length;Title\n4:30;"Open; again"\n;Coal\n') == (
        SongAnswer("Open; again", 270),
        SongAnswer("Coal", None),
    )
    assert songs_of("title,time\nA,0:30") == (SongAnswer("A", 30),)


def test_songs_on_one_line_are_parted_by_semicolons() -> None:
    """As at the prompt."""
    assert [song.name for song in songs_of("One 1:00; Two; Three 2:30")] == ["One", "Two", "Three"]
    assert [song.name for song in songs_of("One (a; b); Two")] == ["One (a; b)", "Two"]


def test_a_bracket_that_stays_open_swallows_nothing() -> None:
    """It is a sign like any other then."""
    assert [song.name for song in songs_of("One (live 1:00; Two; Three")] == [
        "One (live",
        "Two",
        "Three",
    ]


def test_commas_part_songs_only_where_each_has_a_length() -> None:
    """A comma may belong to a title."""
    parted = songs_of("Harbour Lights 4:10, Last Bus 3:35")
    assert parted == (SongAnswer("Harbour Lights", 250), SongAnswer("Last Bus", 215))
    assert songs_of("Slowly, slowly 4:10") == (SongAnswer("Slowly, slowly", 250),)


@pytest.mark.parametrize("text", ["", "\n \n", "4:10", "Nothing 0:00"])
def test_songs_without_name_or_length_are_refused(text: str) -> None:
    """With what is missing."""
    with pytest.raises(NotUnderstood):
        songs_of(text)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("Sat 15 May, soundcheck 5pm, show 8pm", date(2027, 5, 15)),
        ("14th May show 20:00", date(2028, 5, 14)),
        ("show 20:00 on 3 January 2029", date(2029, 1, 3)),
        ("2027-06-01, show 20:00", date(2027, 6, 1)),
    ],
)
def test_days_come_in_words_too(text: str, day: date) -> None:
    """Without a year the next such day is meant, today included."""
    assert passes_of(text, DAY)[-1].start.date() == day


@pytest.mark.parametrize(
    ("cell", "length_s"),
    [("4:10", 250), ("0:04:10", 250), ("250 s", 250), ("4.5 min", 270), ("", None)],
)
def test_lengths_in_a_table_are_written_in_many_ways(cell: str, length_s: float | None) -> None:
    """A bare number counts where the column says that it holds minutes."""
    assert songs_of(f"title;length\nA;{cell}") == (SongAnswer("A", length_s),)
    assert songs_of("title,minutes\nA,4.5") == (SongAnswer("A", 270),)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("title,length\nA,3:00\nB,-3:00", "row 3: '-3:00' is no length"),
        ("title,length\nA,250", "row 2: '250' is no length"),
        ("title,length\nA,soon", "row 2: 'soon' is no length"),
        ("title,length\nA,99:99:99", "is no length"),
        ("title,length\n,3:00", "row 2 has a length and no title"),
        ('title,length\n"A,3:00\nB,2:00', "the table does not read"),
        (f'title,length\n"{"x" * 140_000}",3:00', "the table does not read"),
        ("title,length;x\nA;1", "not parted alike"),
        ("title,length\n", "the table has no songs"),
        ("A, 99999 min", "longer than a day"),
        ("A" + " " * 40_000 + "B", "has 40002 letters"),
        ("; ".join(f"Song {n}" for n in range(301)), "there are 301 songs"),
        ("A\0B 3:00", "invisible character"),
    ],
)
def test_hostile_running_orders_are_refused_at_once(text: str, words: str) -> None:
    """With the row that is wrong; nothing takes longer the more blanks there are."""
    with pytest.raises(NotUnderstood, match=words):
        songs_of(text)


def test_formulas_are_names() -> None:
    """Nothing is worked out, nothing is lost."""
    found = songs_of('title,length\n"=HYPERLINK(""x"")",3:00\n+1,2:00\n@sum,1:00')
    assert [song.name for song in found] == ['=HYPERLINK("x")', "+1", "@sum"]


@pytest.mark.parametrize(
    "text", ["2027-05-15 doors 23:00, show 00:30", "2027-05-15 rehearsal 23:00 to 01:00, show 1:30"]
)
def test_times_after_midnight_are_of_the_next_day(text: str) -> None:
    """Where one before them is of the evening; the rehearsal may end after midnight too."""
    show = passes_of(text, DAY)[-1]
    assert show.start.date() == date(2027, 5, 16)
    assert show.doors in (None, datetime(2027, 5, 15, 23, 0))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("9999-12-31 show 23:00 to 01:00", "9999-12-31 is no day"),
        ("0000-01-01 show 19:30", "0000-01-01 is no day"),
        ("show 99 pm", "no time of day"),
        ("show 13 am", "no time of day"),
        ("rehearsal 14:00 to 20:00, show 19:30", "before Rehearsal is over"),
        ("x" * 300 + " 19:30", "has 306 letters"),
        ("show 19:30, rehearsal 14:00", "does not come after"),
    ],
)
def test_hostile_passes_are_refused(text: str, words: str) -> None:
    """With what is wrong."""
    with pytest.raises(NotUnderstood, match=words):
        passes_of(text, DAY)


def test_passes_are_read_as_people_say_them() -> None:
    """Doors belong to the show after them; a day holds until another is named."""
    found = passes_of("2027-05-14 dress run 15:15-16:10, 2027-05-15 doors 6.30 pm, show 7 pm", DAY)
    assert [(run.name, run.is_show) for run in found] == [("Dress run", False), ("Show", True)]
    assert found[0].start == datetime(2027, 5, 14, 15, 15)
    assert found[0].end == datetime(2027, 5, 14, 16, 10)
    assert (found[1].start, found[1].doors) == (
        datetime(2027, 5, 15, 19, 0),
        datetime(2027, 5, 15, 18, 30),
    )


def test_a_show_past_midnight_ends_on_the_next_day() -> None:
    """Its end is earlier on the clock than its start."""
    (run,) = passes_of("gig 22:30 to 01:00", DAY)
    assert run.end == datetime(2027, 5, 16, 1, 0)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "show",
        "show 25:00",
        "show 19:30, rehearsal 14:00",
        "2027-02-30 show 19:00",
        "doors 19:00",
    ],
)
def test_passes_that_make_no_sense_are_refused(text: str) -> None:
    """No time, no such time or day, out of order, doors without a show."""
    with pytest.raises(NotUnderstood):
        passes_of(text, DAY)
