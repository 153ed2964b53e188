"""Shot sheets on paper: every row readable, moments with their cameras, what nobody holds."""

from __future__ import annotations

import pytest

from kitplan.errors import SettingError
from kitplan.paper.layout import WIDEST_TABLE
from kitplan.paper.shots import Wanted, clock, ranges, shots_records, shots_text
from kitplan.plan.records import Plan
from tests.day.shots.hall import hall, moment, placed, plan_with, sheets_of, song
from tests.small import person, role, run, show

STAGE = ("stage", "WS")
ALL = Wanted()


def text_of(plan: Plan, wanted: Wanted = ALL) -> str:
    """Return the page, which is never too wide."""
    text = shots_text(plan, sheets_of(plan), wanted)
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE
    return text


def full_plan() -> Plan:
    """Return four songs, a closed run and a show; Ben is on stage in the second."""
    songs = (
        song("first", moment(), name="The First"),
        song("second"),
        song("third"),
        song("fourth", moment("Roll", subject="drummer", size="CU", priority="nice")),
    )
    crew = (
        person("Ann"),
        person("Ben", is_skilled=False, performs_in=("second",)),
    )
    shoot = hall(
        *songs,
        crew=crew,
        passes=(run(), show(name="Show")),
        roles=(role("close", name="Singer tight"),),
    )
    return plan_with(
        shoot,
        placed("A", main=STAGE, operator="Ann"),
        placed("B", "left", operator="Ben", roles=("close",)),
        placed("C", "right", STAGE, operator=None),
        placed("D", "right", STAGE, operator=None, in_pass="run"),
    )


def test_a_sheet_reads_as_a_crew_lead_would_say_it() -> None:
    """Home, songs in ranges, cues with their times, what to fall back on, who is away."""
    text = " ".join(text_of(full_plan()).split())
    assert "Camera A: front, Ann Home shot: stage WS, 18.2 mm. A shot for every song." in text
    assert "0:30 to 0:50 singer MS, 119 mm" in text
    assert "Home shot: singer MS, 112 mm (Singer tight). Zone: singer MS." in text
    assert "1, 3-4 The First to fourth singer MS, 112 mm singer MLS, 72 mm" in text
    assert "Ben is on stage in second." in text
    assert "Camera C: right, locked off: stage WS" in text


def test_moments_and_what_nobody_holds() -> None:
    """First and second by letter and pass; a subject without a shot of its own."""
    text = " ".join(text_of(full_plan()).split())
    assert "The First Solo 0:30 singer MS must A, Show B, Show" in text
    assert "band has no shot of its own" in text
    assert "Proven best." in text
    far = plan_with(hall(song("first", moment())), placed("A", main=STAGE, operator=None))
    assert "MUST: 'Solo' in first at 0:30" in text_of(far)


def test_one_pass_or_one_camera() -> None:
    """By name, without regard to case; then no table of moments."""
    text = text_of(full_plan(), Wanted("show", "b"))
    assert "Camera B" in text
    assert "Camera A" not in text
    assert "Moments" not in text
    assert "Camera D" in text_of(full_plan(), Wanted("run"))
    for wanted, words in ((Wanted("gala"), "no pass"), (Wanted(None, "Q"), "no camera 'Q'")):
        with pytest.raises(SettingError, match=words):
            text_of(full_plan(), wanted)


def test_records_say_the_same() -> None:
    """All of it as plain data."""
    plan = full_plan()
    records = shots_records(plan, sheets_of(plan), ALL)
    assert [each["letter"] for each in records["sheets"]] == ["D", "A", "B", "C"]
    assert records["unseen"] == [["band", "band"]]
    assert records["is_proven"] is True
    assert records["value"]["musts"] == 1
    one = shots_records(plan, sheets_of(plan), Wanted("show", "A"))
    assert set(one) == {"sheets"}


def test_bounds_that_are_not_met_are_told() -> None:
    """Best found, with the goal that is open."""
    plan = full_plan()
    sheets = sheets_of(plan)
    bound = tuple(each + 1 for each in sheets.bound)
    text = shots_text(plan, sheets.model_copy(update={"bound": bound, "is_proven": False}), ALL)
    assert "Best found, not proven: musts 1, at best 2;" in " ".join(text.split())


def test_numbers_and_times() -> None:
    """As they are read aloud."""
    assert [ranges(each) for each in ([], [3], [1, 2, 3], [1, 2, 4, 6, 7])] == [
        "",
        "3",
        "1-3",
        "1-2, 4, 6-7",
    ]
    assert [clock(each) for each in (0, 59.6, 95, 3600)] == ["0:00", "1:00", "1:35", "60:00"]
