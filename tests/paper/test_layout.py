"""Lines and tables stay on the page and keep words whole."""

from __future__ import annotations

from textwrap import wrap

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitplan.paper.layout import WIDEST_TABLE, bullet, counted, heading, joined, table_text

LONG = "a word and another word " * 12


def test_table_wraps_its_widest_column() -> None:
    """Short columns stay as they are; nothing is lost."""
    text = table_text(["id", "note"], [["x-1", LONG]])
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE
    assert text.count("another") == LONG.count("another")


@given(st.text(st.sampled_from("ab -\té"), max_size=12))
def test_cells_that_fit_are_as_the_wrapper_leaves_them(text: str) -> None:
    """Blanks are taken from the ends of a line, as by the wrapper of the standard library."""
    printed = table_text(["1234567890"], [[text]], is_spaced=False).splitlines()[2:]
    expected = [line.strip(" ") for line in wrap(text, 12, break_on_hyphens=False)]
    assert [line.strip(" ") for line in printed if line.strip(" ")] == [*filter(None, expected)]


def test_table_keeps_hyphened_words_whole() -> None:
    """A lens is not broken in the middle of its focal range."""
    text = table_text(["rig"], [["70-200 f/4 zoom, " * 9]])
    assert text.count("70-200") == 9


def test_spaced_table_has_a_blank_line_between_rows() -> None:
    """Between rows only: not before the first, not after the last."""
    text = table_text(["a", "b"], [["1\n2", "x"], ["3", "y"]], is_spaced=True)
    lines = text.splitlines()
    assert [bool(line) for line in lines] == [True, True, True, True, False, True]


def test_table_without_rows_has_its_headers() -> None:
    """An empty table is a table."""
    assert table_text(["thing", "unit"], []).splitlines()[0].split() == ["thing", "unit"]


@pytest.mark.parametrize("columns", [1, 7, 12], ids=["one", "seven", "twelve"])
def test_tables_of_many_columns_stay_on_the_page(columns: int) -> None:
    """Long headers and long cells alike."""
    text = table_text([LONG] * columns, [[LONG] * columns] * 2)
    assert max(map(len, text.splitlines())) <= WIDEST_TABLE


def test_long_headings_and_bullets_wrap() -> None:
    """The mark under a heading is as long as its longest line."""
    lines = heading(LONG).splitlines()
    assert len(lines[-1]) == max(map(len, lines[:-1])) <= WIDEST_TABLE
    assert all(line.startswith("  ") for line in bullet(LONG).splitlines()[1:])


def test_words_in_a_sentence() -> None:
    """Commas, one 'and', and nouns that agree."""
    assert joined(["a", "b", "c"]) == "a, b and c"
    assert joined(["a"]) == "a"
    assert counted(1, "pass", "passes") == "1 pass"
    assert counted(2, "pass", "passes") == "2 passes"
