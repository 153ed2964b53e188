"""Facts as the text of cells: lists with | in them, days away, guards."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.gear.cells import csv_cell, data_of, joined, marked_as_text, split, unprotected
from kitplan.gear.kit import Away, Unit


@given(parts=st.lists(st.text("a|\\ ", min_size=1, max_size=6).map(str.strip).filter(bool)))
def test_lists_come_back_whatever_they_hold(parts: list[str]) -> None:
    """Separators and backslashes inside the texts too."""
    assert split(joined(parts)) == parts


@pytest.mark.parametrize(
    ("cell", "parts"),
    [
        ("a|b", ["a", "b"]),
        (r"a\|b", ["a|b"]),
        (r"C:\kit\one.jpg | C:\kit\two.jpg", [r"C:\kit\one.jpg", r"C:\kit\two.jpg"]),
        ("|", []),
    ],
)
def test_lists_typed_by_hand_are_read(cell: str, parts: list[str]) -> None:
    """Paths keep their backslashes."""
    assert split(cell) == parts


@pytest.mark.parametrize(
    ("cell", "begins", "ends", "why"),
    [
        ("2027-05-14/2027-05-16 with the owner", "2027-05-14", "2027-05-16", "with the owner"),
        ("2027-05-14/ 2nd shoot", "2027-05-14", None, "2nd shoot"),
        ("2027-05-14 at a wedding", "2027-05-14", "2027-05-14", "at a wedding"),
    ],
)
def test_days_away_are_read(cell: str, begins: str, ends: str | None, why: str) -> None:
    """A range, an open end, one day."""
    (found,) = data_of(Unit, {"away": cell})["away"]
    assert Away.model_validate(found) == Away.model_validate(
        {"begins": begins, "ends": ends, "why": why}
    )


def test_numbers_need_no_guard() -> None:
    """-1.5 stays a number; a text that begins so is guarded."""
    assert (csv_cell(-1.5), csv_cell("-1.5")) == ("-1.5", "'-1.5")


@pytest.mark.parametrize("text", ["=1", "'=1", "''", "'t Hooft", "+"])
def test_marked_text_comes_back(text: str) -> None:
    """Where the type of the cell guards, only guards of one's own are doubled."""
    assert unprotected(marked_as_text(text)) == text
