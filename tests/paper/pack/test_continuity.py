"""The continuity sheet stands for passes that are cut together, and for no others."""

from __future__ import annotations

from kitplan.paper.pack.blocks import Table, Words
from kitplan.paper.pack.contents.continuity import LOOK, PASSES_A_SHEET, sheets
from kitplan.paper.pack.setting import Setting
from kitplan.paper.pack.source import Source
from kitplan.plan.records import Plan
from tests.stored import stored_plan


def tables(plan: Plan) -> list[Table]:
    """Return the tables of the sheet of a plan."""
    return [b for s in sheets(Source(plan, Setting())) for b in s.blocks if isinstance(b, Table)]


def test_what_has_to_match_is_ticked_and_noted_for_each_pass() -> None:
    """A box and blank columns to note in, one a pass."""
    look, _ = tables(stored_plan("depot-brass"))
    assert look.has_boxes
    assert [column.title for column in look.columns[2:]] == [
        "Closed run: note, photo",
        "Show: note, photo",
    ]
    assert [row[:2] for row in look.rows] == list(LOOK)
    assert all(cell == "" for row in look.rows for cell in row[2:])


def test_songs_that_lock_have_a_row_each() -> None:
    """By their numbers; the others are inserts and stand in a line."""
    plan = stored_plan("depot-brass")
    _, songs = tables(plan)
    assert [row[:2] for row in songs.rows] == [
        ("6", "Rain on the Wires"),
        ("10", "Lamplighters"),
        ("11", "Last Tram Home"),
    ]
    (sheet,) = sheets(Source(plan, Setting()))
    words = " ".join(block.text for block in sheet.blocks if isinstance(block, Words))
    assert "First Tram Out" in words
    assert "Cobbles" not in words  # not run in the afternoon


def test_a_pass_that_does_not_lock_in_a_song_is_crossed_out_there() -> None:
    """Night Bus locks in the first show, not in the dress run."""
    _, songs = tables(stored_plan("school-dance"))
    (night,) = [row for row in songs.rows if row[1] == "Night Bus"]
    assert night[2:] == ("-", "", "")


def test_one_pass_needs_no_continuity() -> None:
    """Nor does a pass whose pictures are of no use in the show."""
    plan = stored_plan("depot-brass")
    alone = [p for p in plan.placements if p.pass_id == "depot-brass/show"]
    assert not tables(plan.model_copy(update={"placements": tuple(alone)}))
    afternoon = dict.fromkeys(plan.worth["depot-brass/afternoon"], "none")
    worth = {**plan.worth, "depot-brass/afternoon": afternoon}
    assert not tables(plan.model_copy(update={"worth": worth}))


def test_a_sheet_has_room_for_three_passes() -> None:
    """More would leave no room to write."""
    (sheet,) = sheets(Source(stored_plan("harbour-festival"), Setting()))
    assert len(sheet.lines) == PASSES_A_SHEET


def test_times_are_in_the_form_that_was_chosen() -> None:
    """Twelve hours where people say so."""
    (sheet,) = sheets(Source(stored_plan("depot-brass"), Setting(clock="12")))
    assert sheet.lines[0] == "Closed run: Sat, May 15, 2027, 2:30 pm"
